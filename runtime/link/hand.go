package link

import (
	"context"
	"errors"

	"wend/lang/diag"
	"wend/runtime/gate"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

// Jog moves the stylus by some mm of the page, for one key press of somebody
// who looks. While the position is lost that is at most gate.NudgeMM, slowly,
// and after gate.NudgeTotalMM somebody must be asked again: the error is a
// *gate.Refusal then. Otherwise it stays on the page, slack taken up.
func (l *Link) Jog(ctx context.Context, by geom.Point, op Operator) error {
	if l.Mode() != Connected {
		return l.refused("be jogged")
	}
	if err := l.restate(ctx); err != nil {
		return err
	}
	if l.certainty == Lost {
		item, err := l.gate.Nudge(by.X, by.Y)
		if err != nil {
			return err
		}
		defer l.gate.Arrived()
		return l.travel(ctx, []gate.Item{item}, op, true)
	}
	at, stylus, _ := l.Where()
	to := stylus.Add(by)
	if !l.profile.Page().Grow(samePlaceMM).Contains(to) {
		return &diag.Fault{Code: "position-outside", Args: diag.Args{
			"x": short(to.X), "y": short(to.Y), "width": short(l.profile.Page().Width()), "height": short(l.profile.Page().Height()),
		}}
	}
	side := sideAfter(at.Side, by)
	items, err := l.through([]geom.Point{l.profile.AtSteps(MotorsAt(l.profile, to, side))}, l.fastest())
	if err != nil {
		return err
	}
	return l.travel(ctx, items, op, true)
}

// AskedAgain says that somebody was asked and wants to go on moving the stylus
// while nobody knows where it is.
func (l *Link) AskedAgain() { l.gate.AskedAgain() }

// sideAfter is the flank on which each axis rests after a way.
func sideAfter(side machine.Side, by geom.Point) machine.Side {
	flank := func(now int8, mm float64) int8 {
		switch {
		case mm > 0:
			return 1
		case mm < 0:
			return -1
		}
		return now
	}
	return machine.Side{X: flank(side.X, by.X), Y: flank(side.Y, by.Y)}
}

// Walk brings the motors to a place, drawing a line on the way, and comes to
// it from the lower left if that is asked for by its side: a drawing that is
// compensated for slack begins on known flanks. The machine is connected or
// armed, and stays so.
func (l *Link) Walk(ctx context.Context, to Place, op Operator) error {
	if mode := l.Mode(); mode != Connected && mode != Armed {
		return l.refused("walk")
	}
	if l.certainty == Lost {
		return &diag.Fault{Code: "position-lost", Args: diag.Args{"why": l.why}}
	}
	if err := l.restate(ctx); err != nil {
		return err
	}
	at, _, _ := l.Where()
	before := machine.Steps{
		X: before(at.Steps.X, to.Steps.X, to.Side.X, at.Side.X, int32(l.profile.X.SlackSteps())),
		Y: before(at.Steps.Y, to.Steps.Y, to.Side.Y, at.Side.Y, int32(l.profile.Y.SlackSteps())),
	}
	items, err := l.through([]geom.Point{l.profile.AtSteps(before), l.profile.AtSteps(to.Steps)}, l.fastest())
	if err != nil {
		return err
	}
	return l.travel(ctx, items, op, false)
}

// before is where an axis must come from to rest on a flank at its end.
func before(at, to int32, want, has int8, slack int32) int32 {
	switch {
	case want == 0 || want == has && at == to:
		return to
	case want > 0:
		return min(to-slack, at) // farther away is all the better
	default:
		return max(to+slack, at)
	}
}

func (l *Link) fastest() float64 { return max(l.profile.X.MaxSpeedMMS, l.profile.Y.MaxSpeedMMS) }

// rejudge has the gate go on from where the motors stand: what it passed last
// may not have been sent.
func (l *Link) rejudge() {
	if l.certainty == Lost {
		l.stated = false
		return
	}
	if err := l.gate.Declare(l.rest.X, l.rest.Y); err != nil {
		l.lose("the motors stand outside the area that is guarded")
	}
}

// restate tells the board modes and position again, where it may have lost
// them.
func (l *Link) restate(ctx context.Context) error {
	if l.stated {
		return nil
	}
	l.rejudge()
	if err := l.reset(ctx); err != nil {
		return err
	}
	return l.state(ctx)
}

// travel sends motions that are no drawing: the mode afterwards is what it was.
// After a brief one, which somebody waits for who wants to make the next, the
// settings are not read once more.
func (l *Link) travel(ctx context.Context, items []gate.Item, op Operator, brief bool) error {
	came := l.mode
	d := &drawing{l: l, op: op, brief: brief, total: 1e-9, job: Job{Name: "a motion by hand"}}
	for _, item := range items {
		d.survey.Moves++
		d.survey.LineMM += item.Length
		e := entry{Item: item, index: d.survey.Moves}
		d.total += e.seconds()
		d.ahead = append(d.ahead, e)
	}
	d.ended, d.read = true, func() (entry, bool, error) { return entry{}, false, nil }
	if err := l.look(ctx, true); err != nil {
		l.rejudge()
		return err
	}
	l.drawnMM, l.drawnS, l.mode = 0, 0, Moving
	err := d.run(ctx)
	if !d.running {
		l.rejudge()
	}
	if l.mode == Armed {
		l.mode = came
	}
	if errors.Is(err, errDone) {
		return nil
	}
	return err
}
