package link

import (
	"context"

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
	profile := *p
	l.position.adopt(&profile, guard, !p.Calibrated || box != p.AreaBox())
	l.board.adopt(p)
	l.flow = newFlow(p, l.board, l.position)
	// Until the board knows, nobody does.
	l.board.stated = false
	if err := l.keep(still); err != nil {
		return err
	}
	// Settle states the place too, and what is set otherwise moves nothing.
	if len(l.Mismatches()) == 0 {
		if err := l.state(ctx); err != nil {
			return err
		}
	}
	l.position.certainty, l.position.why = Confirmed, ""
	return l.keep(still)
}

// Follow brings the motors straight from place to place, in machine mm, at most
// with so many mm/s along the way, and returns when they stand. Slack is not
// made up for. The machine stays connected.
func (l *Link) Follow(ctx context.Context, path []geom.Point, speedMMS float64, op Operator) error {
	switch {
	case l.Mode() != Connected:
		return l.refused("follow a pattern")
	case l.position.certainty == Lost:
		return l.position.known()
	case len(l.Mismatches()) > 0:
		return &diag.Fault{Code: "board-settings-differ", Args: diag.Args{"count": len(l.Mismatches())}}
	}
	if err := l.restate(ctx); err != nil {
		return err
	}
	items, err := l.position.through(path, speedMMS)
	if err != nil {
		return err
	}
	return l.travel(ctx, items, op, false)
}
