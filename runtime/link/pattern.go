package link

import (
	"context"
	"errors"

	"wend/lang/diag"
	"wend/runtime/gate"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

// What a calibration needs: the profile changes while the machine is connected,
// a box of its own guards the motions until the area is known, and patterns
// speak to the motors, not to the stylus.

// Adopt takes over a profile that a calibration has changed: by it the motors
// stand at a place, in machine mm, as somebody said who looked, and from now on
// no motion leaves a box. What is remembered of the position counts only for
// whoever comes with that same profile later, and only if it is calibrated and
// the box is its area: a smaller one says that something is still in doubt. The
// board keeps its settings: Mismatches tells what differs, Settle writes it, and
// Follow refuses until then.
func (l *Link) Adopt(ctx context.Context, p *machine.Profile, at geom.Point, box geom.Box) error {
	if l.Mode() != Connected {
		return l.refused("be calibrated")
	}
	limits := gate.LimitsOf(p)
	limits.Left, limits.Right, limits.Bottom, limits.Top = box.Min.X, box.Max.X, box.Min.Y, box.Max.Y
	guard, err := gate.New(limits)
	if err != nil {
		return notPassed(err)
	}
	if err := guard.Declare(at.X, at.Y); err != nil {
		return notPassed(err)
	}
	if !sameFlanks(l.profile, p) {
		l.flanks = newFlanks(p)
	}
	profile := *p
	l.profile, l.gate, l.model, l.flow = &profile, guard, newModel(p), newFlow(p)
	l.board.adopt(&profile)
	l.provisional = !p.Calibrated || box != p.AreaBox()
	x, y := guard.At()
	l.rest = geom.Point{X: x, Y: y}
	// Until the board knows, nobody does.
	l.certainty, l.why, l.board.stated = Lost, "the session before ended while the machine was calibrated", false
	if l.memory != nil {
		l.memory.profile = Fingerprint(p)
	}
	if err := l.keep(still); err != nil {
		return err
	}
	// Settle states the place too, and what is set otherwise moves nothing.
	if len(l.Mismatches()) == 0 {
		if err := l.state(ctx); err != nil {
			return err
		}
	}
	l.certainty, l.why = Confirmed, ""
	return l.keep(still)
}

// notPassed says to people what the gate refused.
func notPassed(err error) error {
	var refusal *gate.Refusal
	if errors.As(err, &refusal) {
		return &diag.Fault{Code: "gate-refused", Args: diag.Args{"word": refusal.Word, "reason": refusal.Reason}}
	}
	return err
}

// sameFlanks tells whether the flank on which an axis rests means the same by
// two profiles.
func sameFlanks(a, b *machine.Profile) bool {
	same := func(a, b *machine.Axis) bool { return a.SlackSteps() == b.SlackSteps() && a.Reversed == b.Reversed }
	return same(&a.X, &b.X) && same(&a.Y, &b.Y)
}

// Follow brings the motors straight from place to place, in machine mm, at most
// with so many mm/s along the way, and returns when they stand. Slack is not
// made up for. The machine stays connected.
func (l *Link) Follow(ctx context.Context, path []geom.Point, speedMMS float64, op Operator) error {
	switch {
	case l.Mode() != Connected:
		return l.refused("follow a pattern")
	case l.certainty == Lost:
		return &diag.Fault{Code: "position-lost", Args: diag.Args{"why": l.why}}
	case len(l.Mismatches()) > 0:
		return &diag.Fault{Code: "board-settings-differ", Args: diag.Args{"count": len(l.Mismatches())}}
	}
	if err := l.restate(ctx); err != nil {
		return err
	}
	items, err := l.through(path, speedMMS)
	if err != nil {
		return err
	}
	return l.travel(ctx, items, op, false)
}

// through passes a way through the gate: all of it, or nothing of it.
func (l *Link) through(path []geom.Point, speedMMS float64) ([]gate.Item, error) {
	before := *l.gate
	var items []gate.Item
	for _, to := range path {
		more, err := l.gate.To(to.X, to.Y, speedMMS)
		if err != nil {
			*l.gate = before
			return nil, notPassed(err)
		}
		items = append(items, more...)
	}
	return items, nil
}
