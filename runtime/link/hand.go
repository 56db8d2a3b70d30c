package link

import (
	"context"
	"errors"

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
	if l.position.certainty == Lost {
		item, err := l.position.gate.Nudge(by.X, by.Y)
		if err != nil {
			return err
		}
		defer l.position.gate.Arrived()
		return l.travel(ctx, []gate.Item{item}, op, true)
	}
	at, stylus, _ := l.Where()
	to := stylus.Add(by)
	if !l.position.onPage(to) {
		return l.position.outside(to)
	}
	items, err := l.position.through([]geom.Point{l.position.profile.AtSteps(MotorsAt(l.position.profile, to, l.position.gapAfter(at.Gap, by)))}, l.position.fastest())
	if err != nil {
		return err
	}
	return l.travel(ctx, items, op, true)
}

// AskedAgain says that somebody was asked and wants to go on moving the stylus
// while nobody knows where it is.
func (l *Link) AskedAgain() { l.position.gate.AskedAgain() }

// Walk brings the motors to a place, drawing a line on the way, and comes to
// it such that each axis stands in its slack as the place says. The machine is
// connected or armed, and stays so.
func (l *Link) Walk(ctx context.Context, to Place, op Operator) error {
	if mode := l.Mode(); mode != Connected && mode != Armed {
		return l.refused("walk")
	}
	if err := l.position.known(); err != nil {
		return err
	}
	if err := l.restate(ctx); err != nil {
		return err
	}
	items, err := l.position.through(l.position.wayTo(to), l.position.fastest())
	if err != nil {
		return err
	}
	return l.travel(ctx, items, op, false)
}

// wayTo is the way of the motors to a place, its slack as asked for.
func (p *position) wayTo(to Place) []geom.Point {
	at, _, _ := p.where()
	beforeX, flankX := comeTo(at.Steps.X, to.Steps.X, at.Gap.X, to.Gap.X, int32(p.profile.X.SlackSteps()))
	beforeY, flankY := comeTo(at.Steps.Y, to.Steps.Y, at.Gap.Y, to.Gap.Y, int32(p.profile.Y.SlackSteps()))
	return []geom.Point{
		p.profile.AtSteps(machine.Steps{X: beforeX, Y: beforeY}), p.profile.AtSteps(machine.Steps{X: flankX, Y: flankY}), p.profile.AtSteps(to.Steps),
	}
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

// rejudge has the gate go on from where the motors stand.
func (l *Link) rejudge() {
	if l.position.rejudge(); l.position.certainty == Lost {
		l.board.stated = false
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
	l.flow.drawnMM, l.flow.drawnS, l.mode = 0, 0, Moving
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
