package gcode

import (
	"bytes"
	"fmt"
	"iter"
	"math"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/machine"
	"wend/runtime/plan"
)

// Verdict is what reading a sheet back found.
type Verdict struct {
	Faults diag.List
	// Parted is the vertex of the plan's line after which the two part; -1 if they do
	// not.
	Parted int
}

// Verification reads a sheet back while it is written to it, and compares what the
// stylus will draw with the plan: the two lines must be within the profile's
// tolerance for that of each other all along, in order (Fréchet distance), and the
// motors must stay in the area.
//
// Coordinates are rounded to whole steps as a board does, and go through a model of
// slack and skew that knows nothing of how they were made up for.
type Verification struct {
	p           *machine.Profile
	sheet       *plan.Sheet
	compensated bool
	toleranceMM float64
	stands      stylus // before the first motion

	written, emptied chan []byte // stretches of the text
	ended            chan struct{}
	// The text, which has no content before all of it is there. What is said before
	// refers to it.
	file   *source.File
	said   diag.List // by the reader
	faults []fault   // beside that
	parted int
}

// fault is what is wrong with the line that begins at an offset in the text.
type fault struct {
	start int
	why   string
}

// NewVerification begins; compensated and gap are those with which the sheet was
// lowered. It ends with Done, which must be called.
func NewVerification(p *machine.Profile, sheet *plan.Sheet, compensated bool, gap machine.Gap) *Verification {
	v := &Verification{
		p: p, sheet: sheet, compensated: compensated, toleranceMM: p.ReadBackToleranceMM(compensated),
		stands:  newStylus(p, compensated, p.ToMachine(sheet.Points[0]), gap),
		written: make(chan []byte, mostWaitings), emptied: make(chan []byte, mostWaitings+2), ended: make(chan struct{}),
		file: &source.File{},
	}
	// Reading goes on beside the model of the machine and the comparison.
	motions := newPipe[step]()
	var read []fault
	go func() {
		defer motions.close()
		read = v.read(motions)
	}()
	go func() {
		defer close(v.ended)
		apart := v.compare(motions)
		v.faults = append(read, apart...)
	}()
	return v
}

// Write takes the next lines, all of them whole. It never fails.
func (v *Verification) Write(lines []byte) (int, error) {
	for stretch := range stretches(lines) {
		var room []byte
		select {
		case room = <-v.emptied:
		default:
		}
		v.written <- append(room[:0], stretch...)
	}
	return len(lines), nil
}

// Done is the verdict on all that was written. The text is asked for if it has
// faults, which are shown in it.
func (v *Verification) Done(name string, text func() []byte) Verdict {
	close(v.written)
	<-v.ended
	if len(v.said)+len(v.faults) > 0 {
		*v.file = *source.New(name, string(text()))
	}
	verdict := Verdict{Faults: v.said, Parted: v.parted}
	for _, f := range v.faults {
		verdict.Faults = append(verdict.Faults, diag.New("instruction-differs", lineSpan(v.file, f.start), diag.Args{"why": f.why}))
	}
	return verdict
}

// step is a place, in machine mm of the motors or in page mm of the line, with
// the offset of its line in the text.
type step struct {
	point geom.Point
	start int
}

// read passes on where the motors go, from where they begin.
func (v *Verification) read(motions *pipe[step]) (faults []fault) {
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
	}, func() *source.File { return v.file })
	for stretch := range v.written {
		reader.lines(stretch)
		v.emptied <- stretch
	}
	var reading Reading
	reading, v.said = reader.done()
	if outside >= 0 {
		faults = append(faults, fault{outside, "a motion leaves the area"})
	}
	oneStep := v.p.AtSteps(machine.Steps{X: 1, Y: 1})
	off := v.stands.motor.Sub(reading.Start)
	switch {
	case !reading.Asserted:
		faults = append(faults, fault{reading.FirstMotion, "they do not say where they start"})
	case math.Abs(off.X) > oneStep.X || math.Abs(off.Y) > oneStep.Y:
		faults = append(faults, fault{reading.FirstMotion, "they start elsewhere"})
	}
	return faults
}

// follow passes on the line that the stylus draws while the motors go their way.
func (v *Verification) follow(motions *pipe[step], drawn func(at geom.Point, start int)) {
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

// compare holds the line that is drawn against the plan's, and sets Verdict.Parted.
func (v *Verification) compare(motions *pipe[step]) []fault {
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
	v.parted = -1
	if !match.lost() && match.complete() {
		return nil
	}
	v.parted = match.first
	if match.lost() {
		return []fault{{last, fmt.Sprintf("%.3f mm apart", apart)}}
	}
	return []fault{{last, "they end before the line does"}}
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
