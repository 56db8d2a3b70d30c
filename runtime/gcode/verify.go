package gcode

import (
	"fmt"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/machine"
	"wend/runtime/plan"
)

// Verify reads a written sheet back and compares what the stylus will draw
// with the plan: the two lines must be within toleranceMM of each other all
// along, in order (Fréchet distance), and the motors must stay in the area.
// compensated and side are those with which the sheet was lowered.
func Verify(name, text string, p *machine.Profile, sheet *plan.Sheet, compensated bool, side machine.Side, toleranceMM float64) diag.List {
	const batch = 4096
	type step struct {
		point geom.Point
		start int
	}
	batches := make(chan []step, 4)
	var reading Reading
	var diagnostics diag.List
	go func() {
		defer close(batches)
		steps := make([]step, 0, batch)
		var follow *stylus
		area := p.AreaBox().Grow(edgeToleranceMM)
		outside := leaving{}
		emit := func(at geom.Point, start int) {
			if steps = append(steps, step{p.ToPage(at), start}); len(steps) == batch {
				batches <- steps
				steps = make([]step, 0, batch)
			}
		}
		reading, diagnostics = Read(name, text, Settings{Start: p.ToMachine(p.Area.StartMM)}, func(m *Motion) {
			if follow == nil {
				first := newStylus(p, compensated, m.From, side)
				follow = &first
				emit(follow.at(), m.Start)
			}
			if !area.Contains(m.To) || !area.Contains(m.From) {
				outside.note(1, m.Start)
			}
			towards := func(at geom.Point) {
				follow.move(at, func(drawn geom.Point) { emit(drawn, m.Start) })
			}
			if m.Arc == nil {
				towards(m.To)
			} else {
				m.Arc.Chords(m.From, m.To, toleranceMM/8, towards)
			}
		})
		if follow == nil {
			first := newStylus(p, compensated, reading.Start, side)
			emit(first.at(), 0)
		}
		if outside.count > 0 {
			diagnostics = append(diagnostics, differs(name, text, diagnostics, outside.start, "a motion leaves the area"))
		}
		if !reading.Asserted {
			diagnostics = append(diagnostics, differs(name, text, diagnostics, reading.FirstMotion, "it does not say where it starts"))
		}
		batches <- steps
	}()

	var match *matching
	last, apart, failed := step{}, 0.0, false
	for steps := range batches {
		for _, s := range steps {
			switch {
			case failed:
			case match == nil:
				match = newMatching(sheet.Points, s.point, toleranceMM)
				failed = match.lost()
			default:
				match.extend(s.point)
				failed = match.lost()
			}
			if failed && apart == 0 {
				apart = match.distance(s.point)
			}
			if !failed {
				last = s
			}
		}
	}
	if failed {
		why := fmt.Sprintf("%.3f mm apart", apart)
		return append(diagnostics, differs(name, text, diagnostics, last.start, why))
	}
	if !match.complete() {
		return append(diagnostics, differs(name, text, diagnostics, last.start, "they end before the line does"))
	}
	return diagnostics
}

func differs(name, text string, so diag.List, start int, why string) diag.Diagnostic {
	return diag.New("instruction-differs", lineSpan(fileOf(name, text, so), start), diag.Args{"why": why})
}

// fileOf is the file that other diagnostics of the text refer to, so that all
// of one text refer to one file.
func fileOf(name, text string, so diag.List) *source.File {
	for _, d := range so {
		if d.Span.Known() {
			return d.Span.File
		}
	}
	return source.New(name, text)
}

// lineSpan is the line that begins at an offset.
func lineSpan(file *source.File, start int) source.Span {
	return source.Span{File: file, Start: start, End: start + len(file.Line(file.LineOf(start)))}
}
