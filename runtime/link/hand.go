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
	items, err := l.through([]geom.Point{l.profile.AtSteps(MotorsAt(l.profile, to, l.gapAfter(at.Gap, by)))}, l.fastest())
	if err != nil {
		return err
	}
	return l.travel(ctx, items, op, true)
}

// AskedAgain says that somebody was asked and wants to go on moving the stylus
// while nobody knows where it is.
func (l *Link) AskedAgain() { l.gate.AskedAgain() }

// gapAfter is where each axis stands in its slack after a way.
func (l *Link) gapAfter(gap machine.Gap, by geom.Point) machine.Gap {
	after := func(now int32, mm float64, a *machine.Axis) int32 {
		switch {
		case mm > 0:
			return 0
		case mm < 0:
			return int32(a.SlackSteps())
		}
		return now
	}
	return machine.Gap{X: after(gap.X, by.X, &l.profile.X), Y: after(gap.Y, by.Y, &l.profile.Y)}
}

// Walk brings the motors to a place, drawing a line on the way, and comes to
// it such that each axis stands in its slack as the place says. The machine is
// connected or armed, and stays so.
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
	beforeX, flankX := comeTo(at.Steps.X, to.Steps.X, at.Gap.X, to.Gap.X, int32(l.profile.X.SlackSteps()))
	beforeY, flankY := comeTo(at.Steps.Y, to.Steps.Y, at.Gap.Y, to.Gap.Y, int32(l.profile.Y.SlackSteps()))
	items, err := l.through([]geom.Point{
		l.profile.AtSteps(machine.Steps{X: beforeX, Y: beforeY}), l.profile.AtSteps(machine.Steps{X: flankX, Y: flankY}), l.profile.AtSteps(to.Steps),
	}, l.fastest())
	if err != nil {
		return err
	}
	return l.travel(ctx, items, op, false)
}

// comeTo is the way of an axis to a place at which so much of its slack is to be
// left: before is where it comes from, and flank where it rests on a flank with
// the stylus in its place. From there the motor goes back within the slack.
func comeTo(at, to, has, want, slack int32) (before, flank int32) {
	switch {
	case want == machine.UnknownGap || want == has && at == to:
		return to, to
	case want == slack:
		return max(to+slack, at), to // farther away is all the better
	}
	return min(to+want-slack, at), to + want
}

func (l *Link) fastest() float64 { return max(l.profile.X.MaxSpeedMMS, l.profile.Y.MaxSpeedMMS) }

// rejudge has the gate go on from where the motors stand: what it passed last
// may not have been sent.
func (l *Link) rejudge() {
	if l.certainty == Lost {
		l.board.stated = false
		return
	}
	if err := l.gate.Declare(l.rest.X, l.rest.Y); err != nil {
		l.lose("the motors stand outside the area that is guarded")
	}
}

// restate tells the board modes and position again, where it may have lost
// them.
func (l *Link) restate(ctx context.Context) error {
	if l.board.stated {
		return nil
	}
	l.rejudge()
	if err := l.board.reset(ctx); err != nil {
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
		e := entry{Item: item, label: label{index: d.survey.Moves}}
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
