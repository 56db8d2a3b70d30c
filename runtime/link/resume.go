package link

import (
	"context"
	"fmt"
	"math"

	"wend/lang/diag"
	"wend/runtime/gate"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

// eyeMM is how far a place that somebody saw may be from the line on which it
// is: about what a ruler and an eye can tell.
const eyeMM = 1.0

// GoOn finds where a drawing that did not come to its end goes on. The caller
// opened the port after the record's DrainedBy. The place is certain where the
// drawing was stopped, or where the board kept running and still counts on; or
// an operator has said since where the stylus is. Otherwise the error says
// between which places it is. The position is assumed then, or as it was.
func (l *Link) GoOn(ctx context.Context, r *Record, text string) (*Resumption, error) {
	if r.Text != TextFingerprint(text) || r.Profile != Fingerprint(l.position.profile) {
		return nil, &diag.Fault{Code: "resume-differs", Args: diag.Args{"name": r.Name}}
	}
	path, err := stretchOf(l.position, r, text)
	if err != nil {
		return nil, err
	}
	if len(r.Back) > 0 && !r.Stopped {
		return l.leadBack(ctx, r)
	}
	going := func(drawn int) *Resumption {
		return &Resumption{Start: r.Start, Drawn: drawn, OffMM: r.OffMM, OffAt: r.OffAt}
	}
	switch {
	case r.Stopped:
		stood := going(r.Drawn)
		stood.Back = r.Back
		// A record that says so was written before anything moved again.
		if l.position.certainty == Lost && l.position.memory != nil && l.position.memory.cutOff() {
			l.position.place(r.At, Assumed)
			return stood, l.state(ctx)
		}
		if at, _, _ := l.Where(); l.position.certainty != Lost && at.Steps == r.At.Steps {
			return stood, nil
		}
	case l.board.heldOffset(r.shift()):
		at := l.board.opening.at.Add(r.shift())
		if j, on, _ := path.find(at, l.position.pathMM()); j >= 0 {
			l.position.place(Place{Steps: l.position.profile.NearestStep(on), Gap: path.gap(l.position, r, j, on)}, Assumed)
			return going(r.Drawn + j), l.state(ctx)
		}
	}
	if len(r.Back) > 0 {
		return l.leadBack(ctx, r)
	}
	if l.position.certainty != Lost {
		certainty := l.position.certainty
		if j, on, _ := path.find(l.position.rest, eyeMM); j >= 0 {
			l.position.place(Place{Steps: l.position.profile.NearestStep(on), Gap: path.gap(l.position, r, j, on)}, certainty)
			return going(r.Drawn + j), l.state(ctx)
		}
	}
	from, to := StylusAt(l.position.profile, l.position.profile.NearestStep(path.points[0]), r.Start.Gap), StylusAt(l.position.profile, l.position.profile.NearestStep(path.points[len(path.points)-1]), r.Start.Gap)
	length := 0.0
	for i := 1; i < len(path.points); i++ {
		length += path.points[i].Distance(path.points[i-1])
	}
	fault := &diag.Fault{Code: "resume-uncertain", Args: diag.Args{
		"mm": fmt.Sprintf("%.1f", length), "x1": short(from.X), "y1": short(from.Y), "x2": short(to.X), "y2": short(to.Y),
	}}
	if l.position.certainty != Lost {
		_, said, _ := l.Where()
		_, _, away := path.find(l.position.rest, math.Inf(1))
		fault.Hint = fmt.Sprintf("(%s, %s), where it is said to stand, is %.1f mm from that piece, which leads from (%s, %s) to (%s, %s); look again, say `wend machine here X Y`, and resume",
			short(said.X), short(said.Y), away, short(from.X), short(from.Y), short(to.X), short(to.Y))
	}
	return nil, fault
}

// leadBack is GoOn for motors that were on their way back to where the line was
// left, when the session ended. They go there straight, from wherever they are:
// what they draw by that is to be seen.
func (l *Link) leadBack(ctx context.Context, r *Record) (*Resumption, error) {
	left := r.Back[len(r.Back)-1]
	if l.board.heldOffset(r.shift()) {
		at := l.board.opening.at.Add(r.shift())
		l.position.place(Place{Steps: l.position.profile.NearestStep(at), Gap: r.Start.Gap}, Assumed)
	}
	if err := l.position.known(); err != nil {
		return nil, err
	}
	_, stylus, _ := l.Where()
	return &Resumption{
		Start: r.Start, Drawn: r.Drawn, Back: []geom.Point{left}, OffMM: max(r.OffMM, l.position.rest.Distance(left)), OffAt: stylus,
	}, l.state(ctx)
}

// stretchOfLine is where the motors may be, by a record.
type stretchOfLine struct {
	before []geom.Point // ends of the moves that surely are drawn
	points []geom.Point // ends of those that may have been, from the last sure one on
}

// stretchOf is where the motors may be by a record.
func stretchOf(p *position, r *Record, text string) (*stretchOfLine, error) {
	g, err := gate.New(p.gate.Limits())
	if err != nil {
		return nil, err
	}
	at := p.profile.AtSteps(r.Start.Steps)
	if err := g.Declare(at.X, at.Y); err != nil {
		return nil, err
	}
	read := &reader{text: text, gate: g}
	path := &stretchOfLine{}
	last := at
	for read.moves < r.MaySend {
		e, more, err := read.next()
		if err != nil || !more {
			return nil, &diag.Fault{Code: "resume-differs", Args: diag.Args{"name": r.Name}}
		}
		if e.Kind != gate.Move && e.Kind != gate.Dwell {
			continue
		}
		if e.index > r.Drawn && len(path.points) == 0 {
			path.points = append(path.points, last)
		}
		if e.Kind == gate.Move {
			last = geom.Point{X: e.X, Y: e.Y}
		}
		if e.index <= r.Drawn {
			path.before = append(path.before, last)
		} else {
			path.points = append(path.points, last)
		}
	}
	if len(path.points) == 0 {
		path.points = append(path.points, last)
	}
	return path, nil
}

// find gives the move on which a place is, counted from the first that is not
// sure to be drawn, and the place on it; -1 if it is on none.
func (s *stretchOfLine) find(at geom.Point, within float64) (int, geom.Point, float64) {
	best, on, least := -1, geom.Point{}, math.Inf(1)
	if d := at.Distance(s.points[0]); d <= within {
		best, on, least = 0, s.points[0], d
	}
	for i := 1; i < len(s.points); i++ {
		a, b := s.points[i-1], s.points[i]
		ab := b.Sub(a)
		t := 0.0
		if square := ab.Dot(ab); square > 0 {
			t = max(0, min(1, at.Sub(a).Dot(ab)/square))
		}
		p := a.Add(ab.Times(t))
		if d := at.Distance(p); d <= within && d < least {
			best, on, least = i-1, p, d
			if t == 1 {
				best = i
			}
		}
	}
	return best, on, least
}

// gap follows the slack from the start to a place on the line.
func (s *stretchOfLine) gap(p *position, r *Record, j int, on geom.Point) machine.Gap {
	f := newFlanks(p.profile)
	f.rest(r.Start.Gap)
	last := p.profile.AtSteps(r.Start.Steps)
	to := func(at geom.Point) {
		f.move(p.stepsOf(at.Sub(last)))
		last = at
	}
	for _, at := range s.before {
		to(at)
	}
	for _, at := range s.points[:j+1] {
		to(at)
	}
	to(on)
	return f.gap()
}
