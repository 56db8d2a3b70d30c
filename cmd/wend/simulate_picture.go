package main

import (
	"bytes"
	"context"
	"fmt"
	"sync"
	"time"

	"wend/runtime/geom"
	"wend/runtime/machine"
	"wend/runtime/preview"
	"wend/runtime/simulator"
)

// pictureOf is the picture of a line that a stylus really drew, in mm from the
// walls' lower left corner.
func pictureOf(ctx context.Context, p *machine.Profile, line []geom.Point, name string) (output, error) {
	page := p.Page()
	on := make([]geom.Point, len(line))
	for i, at := range line {
		on[i] = p.ToPage(at)
	}
	var picture bytes.Buffer
	err := preview.PNG(ctx, &picture, preview.Picture{
		Page:   preview.Page{WidthMM: page.Width(), HeightMM: page.Height(), MarginMM: p.Area.MarginMM},
		Points: on, LineWidthMM: p.Drawing.LineWidthMM,
	}, preview.Options{})
	return output{name: name, data: picture.Bytes()}, err
}

// drawnBy makes the pictures of what a simulated machine really drew, on its
// last sheets, at most so many.
func drawnBy(m *simulator.Machine, p *machine.Profile, base string, most int) ([]output, error) {
	lines := linesOf(m)
	lines = lines[max(0, len(lines)-most):]
	outputs := make([]output, len(lines))
	for i, line := range lines {
		var err error
		if outputs[i], err = pictureOf(context.Background(), p, line, sheetName(base, i)+".png"); err != nil {
			return nil, err
		}
	}
	return outputs, nil
}

// linesOf are the lines of all sheets, the one under way last.
func linesOf(m *simulator.Machine) [][]geom.Point {
	var lines [][]geom.Point
	for _, sheet := range m.Sheets() {
		lines = append(lines, sheet.Line)
	}
	return append(lines, m.Trace())
}

func namesOf(outputs []output) []string {
	all := make([]string, 0, len(outputs))
	for _, o := range outputs {
		all = append(all, o.name)
	}
	return all
}

// album is the pictures of a machine while it runs. The sheet under way always
// has the same name, so that whoever looks at it need not change files; each
// sheet that was wiped is kept beside it.
type album struct {
	machine *simulator.Machine
	profile *machine.Profile
	base    string

	mu    sync.Mutex
	wiped []string     // the pictures of wiped sheets
	shown []geom.Point // the line of the latest picture; nil before the first
}

func (a *album) name() string { return a.base + ".png" }

// update writes the pictures anew, those that would not look the same.
func (a *album) update(ctx context.Context) error {
	a.mu.Lock()
	defer a.mu.Unlock()
	lines := linesOf(a.machine)
	last := len(lines) - 1
	var outputs []output
	for i, line := range lines[len(a.wiped):] {
		name := a.name()
		switch i += len(a.wiped); {
		case i < last:
			name = fmt.Sprintf("%s.sheet-%d.png", a.base, i+1)
		case len(outputs) == 0 && a.shows(line):
			return nil
		}
		o, err := pictureOf(ctx, a.profile, line, name)
		if err != nil {
			return err
		}
		outputs = append(outputs, o)
	}
	if err := commit(outputs, nil); err != nil {
		return err
	}
	a.wiped = append(a.wiped, namesOf(outputs[:len(outputs)-1])...)
	a.shown = lines[last]
	return nil
}

// shows reports whether the latest picture is of a line: a line on the same
// sheet only grows, at its end.
func (a *album) shows(line []geom.Point) bool {
	n := len(line)
	return n == len(a.shown) && line[n-1] == a.shown[n-1]
}

// all are the names of all pictures, in the order of the sheets.
func (a *album) all() []string {
	a.mu.Lock()
	defer a.mu.Unlock()
	return append(append([]string{}, a.wiped...), a.name())
}

// grow updates the pictures until the context is done: once a second, or more
// seldom where drawing them takes long, so that the wire comes first. What
// could not be written is told once, and tried again.
func (a *album) grow(ctx context.Context, failed func(error)) {
	told := false
	for pause := time.Second; ; {
		select {
		case <-ctx.Done():
			return
		case <-time.After(pause):
		}
		began := time.Now()
		if err := a.update(ctx); err != nil && ctx.Err() == nil && !told {
			failed(err)
			told = true
		}
		pause = max(time.Second, 9*time.Since(began))
	}
}
