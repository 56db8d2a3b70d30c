package link

import (
	"errors"

	"wend/lang/diag"
	"wend/runtime/gate"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

// Ways of the motors, as the position allows them.

// fastest is the most that a way may be given, in mm/s: the gate keeps each axis
// to its own.
func (p *position) fastest() float64 { return max(p.profile.X.MaxSpeedMMS, p.profile.Y.MaxSpeedMMS) }

// through passes a way through the gate: all of it, or nothing of it.
func (p *position) through(path []geom.Point, speedMMS float64) ([]gate.Item, error) {
	before := *p.gate
	var items []gate.Item
	for _, to := range path {
		more, err := p.gate.To(to.X, to.Y, speedMMS)
		if err != nil {
			*p.gate = before
			return nil, notPassed(err)
		}
		items = append(items, more...)
	}
	return items, nil
}

// aside passes a way through the gate, from where the motors rest, that is no
// part of the program. What the gate has in mind of the program stays.
func (p *position) aside(way []geom.Point, speedMMS float64) ([]gate.Item, error) {
	program := *p.gate
	defer func() { *p.gate = program }()
	if err := p.gate.Rejoin(p.rest.X, p.rest.Y); err != nil {
		return nil, notPassed(err)
	}
	return p.through(way, speedMMS)
}

// notPassed says to people what the gate refused.
func notPassed(err error) error {
	var refusal *gate.Refusal
	if errors.As(err, &refusal) {
		return &diag.Fault{Code: "gate-refused", Args: diag.Args{"word": refusal.Word, "reason": refusal.Reason}}
	}
	return err
}

// gapAfter is where each axis stands in its slack after a way.
func (p *position) gapAfter(gap machine.Gap, by geom.Point) machine.Gap {
	after := func(now int32, mm float64, a *machine.Axis) int32 {
		switch {
		case mm > 0:
			return 0
		case mm < 0:
			return int32(a.SlackSteps())
		}
		return now
	}
	return machine.Gap{X: after(gap.X, by.X, &p.profile.X), Y: after(gap.Y, by.Y, &p.profile.Y)}
}

// wayBack is the way of the motors that leads the stylus back over what it drew:
// the motors went through some places from where they rested, with so much slack
// left, and shall come back to one of the first of them as they were there, slack
// and all.
func (p pitch) wayBack(f flanks, from geom.Point, went, back []geom.Point) []geom.Point {
	type spot struct {
		at    geom.Point
		motor [2]float64
		left  [2]float64
	}
	steps := p.stepsOf
	spots := []spot{{from, steps(from), f.low}}
	last := from
	for _, at := range went {
		f.move(steps(at.Sub(last)))
		spots = append(spots, spot{at, steps(at), f.low})
		last = at
	}
	now := spots[len(spots)-1]
	motor, left := now.motor, now.left
	var way []geom.Point
	to := func(m [2]float64) {
		if m == motor {
			return
		}
		motor = m
		way = append(way, geom.Point{X: float64(m[0] * p.stepMM.X), Y: float64(m[1] * p.stepMM.Y)})
	}
	next := len(spots) - 2
	for _, at := range back {
		for next > 0 && spots[next].at != at {
			next--
		}
		goal := spots[max(0, next)]
		if goal.at != at {
			goal = spot{at, steps(at), left} // from elsewhere: straight
		}
		taken, moved := motor, motor
		for i := range motor {
			here, there := motor[i]+left[i], goal.motor[i]+goal.left[i]
			switch {
			case there > here:
				taken[i], moved[i], left[i] = here, there, 0
			case there < here:
				left[i] = f.slack[i]
				taken[i], moved[i] = here-left[i], there-left[i]
			}
		}
		to(taken)
		to(moved)
		if next > 0 {
			next--
		}
	}
	if len(back) > 0 {
		to(steps(back[len(back)-1]))
	}
	return way
}

// seenMM is how far a stroke beside the line may be from it that is not told of:
// the tolerance and one step.
func (p *position) seenMM() float64 { return p.profile.Drawing.ToleranceMM + p.stepMM.Length() }

// sameFlanks reports whether the flank on which an axis rests means the same by
// two profiles.
func sameFlanks(a, b *machine.Profile) bool {
	same := func(a, b *machine.Axis) bool { return a.SlackSteps() == b.SlackSteps() && a.Reversed == b.Reversed }
	return same(&a.X, &b.X) && same(&a.Y, &b.Y)
}
