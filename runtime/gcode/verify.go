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
func Verify(name string, text []byte, p *machine.Profile, sheet *plan.Sheet, compensated bool, gap machine.Gap) Verdict {
	v := verification{p: p, sheet: sheet, compensated: compensated, toleranceMM: p.ReadBackToleranceMM(compensated)}
	v.file = sync.OnceValue(func() *source.File { return source.New(name, string(text)) })
	v.stands = newStylus(p, compensated, p.ToMachine(sheet.Points[0]), gap)
	// Reading goes on beside the model of the machine and the comparison.
	motions := newPipe[step]()
	var readFaults diag.List
	go func() {
		defer motions.close()
		readFaults = v.read(text, motions)
	}()
	faults, parted := v.compare(motions)
	return Verdict{Faults: append(readFaults, faults...), Parted: parted}
}

// Verdict is what reading a sheet back found.
type Verdict struct {
	Faults diag.List
	// Parted is the vertex of the plan's line after which the two part; -1 if they do
	// not.
	Parted int
}

// verification is what reading a sheet back needs all along.
type verification struct {
	p           *machine.Profile
	sheet       *plan.Sheet
	compensated bool
	toleranceMM float64
	file        func() *source.File
	stands      stylus // before the first motion
}

// step is a place, in machine mm of the motors or in page mm of the line, with
// the offset of its line in the text.
type step struct {
	point geom.Point
	start int
}

// read passes on where the motors go, from where they begin.
func (v *verification) read(text []byte, motions *pipe[step]) diag.List {
	area := v.p.AreaBox().Grow(edgeToleranceMM)
	outside := -1 // where the first motion stands that leaves the area
	begun := false
	reader := newReader(Settings{Start: v.p.ToMachine(v.p.Area.StartMM)}, func(m *Motion) {
		if !begun {
			motions.send(step{m.From, m.Start})
			begun = true
		}
		if outside < 0 && !(area.Contains(m.To) && area.Contains(m.From)) {
			outside = m.Start
		}
		if m.Arc == nil {
			motions.send(step{m.To, m.Start})
			return
		}
		m.Arc.Chords(m.From, m.To, v.toleranceMM/8, func(at geom.Point) { motions.send(step{at, m.Start}) })
	}, v.file)
	for stretch := range stretches(text) {
		reader.lines(stretch)
	}
	reading, faults := reader.done()
	fault := func(start int, why string) { faults = append(faults, differs(v.file(), start, why)) }
	if outside >= 0 {
		fault(outside, "a motion leaves the area")
	}
	oneStep := v.p.AtSteps(machine.Steps{X: 1, Y: 1})
	off := v.stands.motor.Sub(reading.Start)
	switch {
	case !reading.Asserted:
		fault(reading.FirstMotion, "they do not say where they start")
	case math.Abs(off.X) > oneStep.X || math.Abs(off.Y) > oneStep.Y:
		fault(reading.FirstMotion, "they start elsewhere")
	}
	return faults
}

// follow passes on the line that the stylus draws while the motors go their way.
func (v *verification) follow(motions *pipe[step], drawn func(at geom.Point, start int)) {
	stylus := v.stands
	start := 0
	emit := func(at geom.Point) { drawn(v.p.ToPage(at), start) }
	emit(stylus.at())
	// The file's names for whole steps and the model's may differ by a part of a
	// step, since half the slack need not be a whole number of steps.
	var shift geom.Point
	begun := false
	motions.each(func(m *step) {
		at := v.p.AtSteps(v.p.NearestStep(m.point))
		if !begun {
			shift, begun = v.stands.motor.Sub(at), true
			return
		}
		start = m.start
		stylus.move(at.Add(shift), emit)
	})
}

// compare holds the line that is drawn against the plan's, and gives
// Verdict.Parted.
func (v *verification) compare(motions *pipe[step]) (diag.List, int) {
	var match *matching
	last, apart := 0, 0.0 // where the last motion stands that kept to the line
	v.follow(motions, func(at geom.Point, start int) {
		switch {
		case match == nil:
			match = newMatching(v.sheet.Points, at, v.toleranceMM)
		case match.lost():
			return
		default:
			match.extend(at)
		}
		if match.lost() {
			apart = match.distance(at)
			return
		}
		last = start
	})
	switch {
	case match.lost():
		return diag.List{differs(v.file(), last, fmt.Sprintf("%.3f mm apart", apart))}, match.first
	case !match.complete():
		return diag.List{differs(v.file(), last, "they end before the line does")}, match.first
	}
	return nil, -1
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
