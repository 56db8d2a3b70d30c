package link

import (
	"context"
	"fmt"
	"math"

	"wend/lang/diag"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

// eyeMM is how far a place that somebody saw may be from the line on which it
// is: about what a ruler and an eye can tell.
const eyeMM = 1.0

// GoOn finds where a drawing that did not come to its end goes on. The caller
// opened the port after the record's DrainedBy. The place is certain where the
// drawing was stopped, or where the board kept running and still counts on, unless
// the motors were turned since the port was opened; or an operator has said since
// where the stylus is. Otherwise the error says
// between which places it is. The position is assumed then, or as it was.
//
// Of the passes of the line near the place that the operator said, which chooses
// one, or says why none; nil chooses the nearest.
func (l *Link) GoOn(ctx context.Context, r *Record, text string, which func(passes []Pass) (Pass, error)) (*Resumption, error) {
	path, err := StretchOf(l.position.profile, r, text)
	if err != nil {
		return nil, err
	}
	if r.Beside() {
		return l.leadBack(ctx, path, r)
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
	case l.countedOn(r):
		at := l.board.opening.at.Add(r.shift())
		if j, on := path.find(at, l.position.pathMM()); j >= 0 {
			l.position.place(Place{Steps: l.position.profile.NearestStep(on), Gap: path.gap(l.position.profile, j, on)}, Assumed)
			return going(r.Drawn + j), l.state(ctx)
		}
	}
	if len(r.Back) > 0 {
		return l.leadBack(ctx, path, r)
	}
	_, said, certainty := l.Where()
	if certainty != Lost {
		if passes := l.Passes(path); len(passes) > 0 {
			pass := Nearest(passes)
			if which != nil {
				if pass, err = which(passes); err != nil {
					return nil, err
				}
			}
			seen := going(r.Drawn + pass.move)
			mm, err := l.StandOn(ctx, path, pass)
			if mm > seen.OffMM {
				seen.OffMM, seen.OffAt = mm, pass.At
			}
			return seen, err
		}
	}
	fault := uncertain(path)
	from, to := path.Possible[0], path.Possible[len(path.Possible)-1]
	if certainty != Lost {
		away := Nearest(path.Near(said, math.Inf(1))).OffMM
		fault.Hint = fmt.Sprintf("(%s, %s), where it is said to stand, is %.1f mm from that piece, which leads from (%s, %s) to (%s, %s); look again, say `wend machine here X Y`, and resume",
			short(said.X), short(said.Y), away, short(from.X), short(from.Y), short(to.X), short(to.Y))
	}
	return nil, fault
}

// countedOn reports whether what the board said when its port was opened tells where
// a drawing was left: it counted on until then, and its motors have not turned since.
func (l *Link) countedOn(r *Record) bool { return !l.turned && l.board.heldOffset(r.shift()) }

// uncertain says where the stylus may stand.
func uncertain(path *Stretch) *diag.Fault {
	from, to := path.Possible[0], path.Possible[len(path.Possible)-1]
	fault := &diag.Fault{Code: "resume-uncertain", Args: diag.Args{
		"on": "on", "mm": fmt.Sprintf("%.1f", geom.Length(path.Possible)), "x1": short(from.X), "y1": short(from.Y), "x2": short(to.X), "y2": short(to.Y),
	}}
	if path.Within != nil {
		fault.Args["on"] = "on or beside"
		fault.Hint = "the board refused a line, so it may stand on a straight way past what is missing; look, say `wend machine here X Y`, and resume again"
	}
	return fault
}

// Passes lists where a line of which nobody knows how far it came passes near the
// place at which somebody said that the stylus stands.
func (l *Link) Passes(path *Stretch) []Pass {
	_, said, certainty := l.Where()
	if certainty == Lost {
		return nil
	}
	return path.Near(said, eyeMM)
}

// StandOn takes the stylus, whose place somebody said, to stand on a pass of the
// line, and the slack to be as the line left it there. It gives how far a stroke
// beside the line may be from it, in mm, where the line goes on from there: 0
// unless that is to be seen. The certainty stays.
func (l *Link) StandOn(ctx context.Context, path *Stretch, pass Pass) (offMM float64, err error) {
	p := l.position
	p.place(Place{Steps: p.profile.NearestStep(pass.motors), Gap: path.gap(p.profile, pass.move, pass.motors)}, p.certainty)
	if mm := path.hidden(pass); mm > p.seenMM() {
		offMM = mm
	}
	return offMM, l.state(ctx)
}

// leadBack is GoOn for motors that were on their way back to where the line was
// left, when the session ended, or that may be beside it past a refused line. A
// board that still counts says where on that way they are; otherwise they go there
// straight from where somebody saw the stylus, and what that draws is to be seen.
func (l *Link) leadBack(ctx context.Context, path *Stretch, r *Record) (*Resumption, error) {
	p := l.position
	going := &Resumption{Start: r.Start, Drawn: r.Drawn, OffMM: r.OffMM, OffAt: r.OffAt}
	if l.countedOn(r) {
		at := l.board.opening.at.Add(r.shift())
		if r.Refused {
			// Which way they came is not known, so neither is their slack.
			p.place(Place{Steps: p.profile.NearestStep(at), Gap: machine.Gap{X: machine.UnknownGap, Y: machine.UnknownGap}}, Assumed)
			return l.straightBack(ctx, path, r, going)
		}
		f, from := newFlanks(p.profile), p.profile.AtSteps(r.At.Steps)
		f.rest(r.At.Gap)
		for i, to := range r.Back {
			if geom.SegmentDistance(from, to, at) <= p.pathMM() {
				f.move(p.stepsOf(at.Sub(from)))
				p.place(Place{Steps: p.profile.NearestStep(at), Gap: f.gap()}, Assumed)
				going.Back = r.Back[i:]
				return going, l.state(ctx)
			}
			f.move(p.stepsOf(to.Sub(from)))
			from = to
		}
	}
	return l.straightBack(ctx, path, r, going)
}

// straightBack leads the motors, which stand beside the line, straight to where it
// surely was left. What that draws is to be seen, and shortcuts past refused lines
// may be.
func (l *Link) straightBack(ctx context.Context, path *Stretch, r *Record, going *Resumption) (*Resumption, error) {
	p := l.position
	if p.certainty == Lost {
		return nil, uncertain(path)
	}
	left := p.profile.NearestStep(path.points[0])
	slack := geom.Point{X: p.flanks.slack[0] * p.stepMM.X, Y: p.flanks.slack[1] * p.stepMM.Y}
	_, going.OffAt, _ = l.Where()
	going.OffMM = max(r.OffMM, p.rest.Distance(path.points[0])+slack.Length())
	if r.Refused {
		going.OffMM = max(going.OffMM, shortcutMM(path.points)+slack.Length())
	}
	going.Back = p.wayTo(Place{Steps: left, Gap: path.gap(p.profile, 0, path.points[0])})
	return going, l.state(ctx)
}
