package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strconv"
	"strings"

	"wend/cmd/wend/operate"
	"wend/lang/diag"
	"wend/runtime/calibrate"
	"wend/runtime/geom"
	"wend/runtime/machine"
	"wend/runtime/preview"
)

var _ calibrate.Operator = (*tuning)(nil)

// Ready is that of calibrate.Operator.
func (t *tuning) Ready(ctx context.Context, q calibrate.Question) error {
	if q.Wipe && t.profile.Eraser.Kind == machine.EraserSerial {
		if wiped, err := t.wipeClean(ctx); wiped || err != nil {
			return err
		}
	}
	t.o.c.say("  %s", q.Ask)
	for {
		text, err := t.answer(ctx, "  Enter when done> ")
		if err != nil {
			return err
		}
		if text == "" || text == "done" {
			break
		}
		t.o.c.say("  Enter alone, or `done`, says that it is done; `again`, `leave` and `stop` as everywhere")
	}
	t.wiped()
	return nil
}

// wiped notes that the simulated sheet is blank from here.
func (t *tuning) wiped() {
	if t.rehearsal {
		t.blank = len(t.connection.simulated.Trace()) - 1
	}
}

// answer waits for a line that is an answer: neither `stop`, nor `leave` or
// `again`, which are about the part.
func (t *tuning) answer(ctx context.Context, prompt string) (string, error) {
	text, err := t.o.Ask(ctx, prompt)
	switch text = strings.TrimSpace(text); {
	case ctx.Err() != nil:
		return "", ctx.Err()
	case errors.Is(err, io.EOF), errors.Is(err, operate.ErrLeft), text == "stop":
		return "", errLeft
	case text == "leave":
		return "", calibrate.ErrLeft
	case text == "again":
		return "", errAgain
	}
	return text, err
}

// again asks whether a part that found nothing begins again, or an earlier one,
// or is left.
func (t *tuning) again(ctx context.Context, from calibrate.Part) (bool, error) {
	for {
		t.o.c.say("  Enter begins %s again; `leave` goes on without, `stop` ends", from)
		switch text, err := t.answer(ctx, "  > "); {
		case errors.Is(err, calibrate.ErrLeft):
			return false, nil
		case errors.Is(err, errAgain), err == nil && text == "":
			return true, nil
		case err != nil:
			return false, err
		}
	}
}

// question shows what is asked, and where to look.
func (t *tuning) question(ctx context.Context, q calibrate.Question) error {
	if err := t.look(ctx, q); err != nil {
		return err
	}
	if q.More != "" {
		t.o.c.say("  %s", q.More)
	}
	t.o.c.say("  %s", q.Ask)
	return nil
}

// look shows, in a rehearsal, what is to be looked at.
func (t *tuning) look(ctx context.Context, q calibrate.Question) error {
	if !t.rehearsal {
		return nil
	}
	// Where the stylus is must be seen then; otherwise its mark would cover what
	// is to be measured.
	toMark := q.Look.Kind == calibrate.ToMark
	if err := t.draw(ctx, toMark || q.Look.Kind == calibrate.Heading, toMark); err != nil {
		return err
	}
	from := "rulers begin at the walls of the toy"
	if toMark {
		from = "inner frame is the four marks, where its rulers begin"
	}
	t.o.c.say("  see %s, whose %s", filepath.ToSlash(t.picture), from)
	return nil
}

// draw makes the picture of what is on the simulated sheet, in the millimetres
// that a ruler on the sheet has. With marks, the frame stands where they are.
func (t *tuning) draw(ctx context.Context, marked, marks bool) error {
	line := t.connection.simulated.Trace()
	line = line[min(t.blank, len(line)-1):]
	walls := t.hidden.setup.Mechanics
	page := preview.Page{WidthMM: walls.WidthMM, HeightMM: walls.HeightMM}
	if marks {
		page = preview.Page{WidthMM: walls.WidthMM - 2*rehearsalMarkMM, HeightMM: walls.HeightMM - 2*rehearsalMarkMM, MarginMM: rehearsalMarkMM}
		for i, at := range line {
			line[i] = geom.Point{X: at.X - rehearsalMarkMM, Y: at.Y - rehearsalMarkMM}
		}
	}
	var picture bytes.Buffer
	err := preview.PNG(ctx, &picture, preview.Picture{
		Page: page, Points: line, LineWidthMM: min(t.profile.Drawing.LineWidthMM, 0.2), Title: "what the stylus drew", Unmarked: !marked,
	}, preview.Options{PixelsPerMM: 12})
	if err != nil {
		return err
	}
	return commit([]output{{name: t.picture, data: picture.Bytes()}}, nil)
}

// Measure is that of calibrate.Operator.
func (t *tuning) Measure(ctx context.Context, q calibrate.Question) (float64, error) {
	if err := t.question(ctx, q); err != nil {
		return 0, err
	}
	prompt := "  > "
	if q.Unit != "" {
		prompt = "  " + q.Unit + "> "
	}
	for {
		text, err := t.answer(ctx, prompt)
		if err != nil {
			return 0, err
		}
		v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
		switch {
		case err != nil || v != v:
			t.o.c.say("  it takes a number, such as 12.5")
		case v < q.Low || v > q.High:
			low, high := math.Ceil(q.Low*10)/10, math.Floor(q.High*10)/10
			t.o.c.say("  from %s to %s can be; `again` begins the part again, `leave` goes on without it", diag.Tenths(low), diag.Tenths(high))
		default:
			return v, nil
		}
	}
}

// Choose is that of calibrate.Operator.
func (t *tuning) Choose(ctx context.Context, q calibrate.Question) (int, error) {
	if err := t.question(ctx, q); err != nil {
		return 0, err
	}
	var options strings.Builder
	for i, option := range q.Options {
		fmt.Fprintf(&options, "  %d %s", i+1, option)
	}
	t.o.c.say("%s", &options)
	for {
		text, err := t.answer(ctx, "  > ")
		if err != nil {
			return 0, err
		}
		for i, option := range q.Options {
			if text == strconv.Itoa(i+1) || text != "" && strings.HasPrefix(strings.ToLower(option), strings.ToLower(text)) {
				return i, nil
			}
		}
		t.o.c.say("  a number from 1 to %d, or the first letters", len(q.Options))
	}
}
