package window

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"wend/cmd/wend/engine"
	"wend/cmd/wend/operate"
	"wend/cmd/wend/sending"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/plan"
	"wend/runtime/preview"
)

// seat is the page before which somebody sits, with the program that it shows.
type seat struct {
	bench *bench
	page  *fromPage
}

var _ sending.Seat = seat{}

// begin takes the sheet that a page shows at hand.
func (b *bench) begin(m *fromPage) {
	list := sending.NewList(b.machine.Kept, b.sending.Profile, []string{filepath.Join(b.server.options.Folder, filepath.FromSlash(m.Path))})
	list.Single = true
	b.sending.Take(m.Path, list)
	b.sending.Seat = seat{b, m}
}

// Read is that of sending.Seat.
func (s seat) Read(ctx context.Context, start geom.Point) (*engine.Program, *plan.Plan, error) {
	settings := s.bench.server.options.Settings
	settings.Start = &start
	program, list := engine.Load(source.New(s.page.Path, s.page.Text), settings)
	if program == nil {
		return nil, nil, list
	}
	drawn, list := program.Draw(ctx)
	if list.Failed() || drawn == nil {
		return nil, nil, list
	}
	if flow := &s.bench.sending; !flow.Resumes() {
		sheets := engine.WithLine(drawn)
		if s.page.Sheet < 0 || s.page.Sheet >= len(sheets) {
			return nil, nil, errors.New("there is no line on such a sheet")
		}
		flow.List.Sheet = sheets[s.page.Sheet]
	}
	return program, drawn, nil
}

// ToStart is that of sending.Seat: a program begins where the stylus stands, or is
// walked to.
func (s seat) ToStart(context.Context, geom.Point, geom.Point) error { return nil }

// Begins is that of sending.Seat.
func (s seat) Begins(ctx context.Context, sheet int) {
	b := s.bench
	b.showLeft(leftMessage{})
	place, _, _ := b.machine.Where()
	times, list := b.sending.Program.Times(ctx, b.sending.Plan, sheet, place.Gap)
	if list.Failed() {
		return // it was judged before, and only how far it comes is not shown
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.line = newDrawnLine(b.sending.Plan.Sheets[sheet].Points, times.At)
}

// Ended is that of sending.Seat.
func (s seat) Ended() error {
	s.bench.talk.Note("%s", s.bench.sending.Drawn())
	return nil
}

// Stopped is that of sending.Seat.
func (s seat) Stopped(error) bool { return false }

// MayStand is that of sending.Seat: the sheet of the page shows it.
func (s seat) MayStand(_ preview.Picture, stretch *link.Stretch) {
	s.bench.showLeft(leftMessage{Drawn: pairs(stretch.Drawn), Possible: pairs(stretch.Possible), Within: pairs(stretch.Within)})
	s.bench.talk.Say("%s", operate.Shows("the sheet", stretch))
}

func pairs(line []geom.Point) [][2]float64 {
	all := make([][2]float64, len(line))
	for i, p := range line {
		all[i] = [2]float64{p.X, p.Y}
	}
	return all
}

// Stands is that of sending.Seat.
func (s seat) Stands(at *geom.Point) string {
	if at == nil {
		return "say where it stands: move its mark on the sheet, or type its place"
	}
	return fmt.Sprintf("say that it stands at (%.2f, %.2f)", at.X, at.Y)
}

// GoesOn is that of sending.Seat.
func (s seat) GoesOn() string {
	s.bench.mu.Lock()
	defer s.bench.mu.Unlock()
	if s.bench.abandoned {
		return ""
	}
	return "`Go on with it` goes on; `Abandon the rest` drops what is left of it"
}

// Check is that of sending.Seat: the page holds the program against the machine all
// the time.
func (s seat) Check() string { return "" }

// unfinished is the drawing that was cut off on the machine that is connected, as a
// page may go on with it.
func (b *bench) unfinished() *unfinishedMessage {
	b.begin(&fromPage{})
	u, err := b.sending.Unfinished()
	if err != nil || u == nil {
		return nil // it was said when the machine was connected
	}
	m := &unfinishedMessage{Name: u.Name}
	switch {
	case b.machine.Kept == nil:
		m.Path = u.Name
	case u.File != "":
		if path, err := filepath.Rel(b.server.options.Folder, u.File); err == nil && filepath.IsLocal(path) {
			m.Path = filepath.ToSlash(path)
		}
	}
	return m
}
