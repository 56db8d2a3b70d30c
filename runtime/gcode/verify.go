package gcode

import (
	"bytes"
	"fmt"
	"iter"
	"math"
	"sync"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/machine"
	"wend/runtime/plan"
)

// Verify reads a written sheet back and compares what the stylus will draw
// with the plan: the two lines must be within the profile's tolerance for that
// of each other all along, in order (Fréchet distance), and the motors must
// stay in the area. compensated and gap are those with which the sheet was
// lowered.
//
// Coordinates are rounded to whole steps as a board does, and go through a
// model of slack and skew that knows nothing of how they were made up for.
//
// The text is read in stretches, so that no second copy of it need be held.
func Verify(name string, text []byte, p *machine.Profile, sheet *plan.Sheet, compensated bool, gap machine.Gap) diag.List {
	toleranceMM := p.ReadBackToleranceMM(compensated)
	const batch, waiting = 4096, 4
	type step struct {
		point geom.Point // page mm
		start int
	}
	file := sync.OnceValue(func() *source.File { return source.New(name, string(text)) })
	batches := make(chan []step, waiting)
	// Batches to fill anew. There are never more than those that wait and one in
	// the hands of either side.
	compared := make(chan []step, waiting+2)
	var reading Reading
	var diagnostics diag.List
	go func() {
		defer close(batches)
		steps := make([]step, 0, batch)
		emit := func(at geom.Point, start int) {
			if steps = append(steps, step{p.ToPage(at), start}); len(steps) == batch {
				batches <- steps
				select {
				case steps = <-compared:
					steps = steps[:0]
				default:
					steps = make([]step, 0, batch)
				}
			}
		}
		fault := func(start int, why string) {
			diagnostics = append(diagnostics, differs(file(), start, why))
		}
		follow := newStylus(p, compensated, p.ToMachine(sheet.Points[0]), gap)
		stands := follow.motor
		emit(follow.at(), 0)
		area := p.AreaBox().Grow(edgeToleranceMM)
		outside := -1 // where the first motion stands that leaves the area
		// The file's names for whole steps and the model's may differ by a part
		// of a step, since half the slack need not be a whole number of steps.
		var shift geom.Point
		begun := false
		towards := func(at geom.Point, start int) {
			follow.move(p.AtSteps(p.NearestStep(at)).Add(shift), func(drawn geom.Point) { emit(drawn, start) })
		}
		reader := newReader(Settings{Start: p.ToMachine(p.Area.StartMM)}, func(m *Motion) {
			if !begun {
				shift, begun = stands.Sub(p.AtSteps(p.NearestStep(m.From))), true
			}
			if outside < 0 && (!area.Contains(m.To) || !area.Contains(m.From)) {
				outside = m.Start
			}
			if m.Arc == nil {
				towards(m.To, m.Start)
				return
			}
			m.Arc.Chords(m.From, m.To, toleranceMM/8, func(at geom.Point) { towards(at, m.Start) })
		}, file)
		for stretch := range stretches(text) {
			reader.lines(string(stretch))
		}
		reading, diagnostics = reader.done()
		if outside >= 0 {
			fault(outside, "a motion leaves the area")
		}
		oneStep := p.AtSteps(machine.Steps{X: 1, Y: 1})
		off := stands.Sub(reading.Start)
		switch {
		case !reading.Asserted:
			fault(reading.FirstMotion, "they do not say where they start")
		case math.Abs(off.X) > oneStep.X || math.Abs(off.Y) > oneStep.Y:
			fault(reading.FirstMotion, "they start elsewhere")
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
		compared <- steps
	}
	if failed {
		why := fmt.Sprintf("%.3f mm apart", apart)
		return append(diagnostics, differs(file(), last.start, why))
	}
	if !match.complete() {
		return append(diagnostics, differs(file(), last.start, "they end before the line does"))
	}
	return diagnostics
}

func differs(file *source.File, start int, why string) diag.Diagnostic {
	return diag.New("instruction-differs", lineSpan(file, start), diag.Args{"why": why})
}

// stretchBytes is about how much text is read at a time.
const stretchBytes = 1 << 16

// stretches cuts a text into stretches of whole lines.
func stretches(text []byte) iter.Seq[[]byte] {
	return func(yield func([]byte) bool) {
		for len(text) > 0 {
			end := min(stretchBytes, len(text))
			if next := bytes.IndexByte(text[end:], '\n'); next >= 0 {
				end += next + 1
			} else {
				end = len(text)
			}
			if !yield(text[:end]) {
				return
			}
			text = text[end:]
		}
	}
}

// lineSpan is the line that begins at an offset.
func lineSpan(file *source.File, start int) source.Span {
	return source.Span{File: file, Start: start, End: start + len(file.Line(file.LineOf(start)))}
}
