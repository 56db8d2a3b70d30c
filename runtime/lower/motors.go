package lower

import (
	"math"

	"wend/runtime/elementary"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

// skew turns where the stylus is to be into where the axes must stand when
// the angle between them is not 90°. With the x axis along (1, 0) and the y
// axis along (cos θ, sin θ), the stylus is at (x + y cos θ, y sin θ).
type skew struct{ cotangent, cosecant float64 }

func skewOf(squarenessDeg float64) skew {
	if squarenessDeg == 90 {
		return skew{0, 1}
	}
	sine := elementary.SinDegrees(squarenessDeg)
	return skew{elementary.CosDegrees(squarenessDeg) / sine, 1 / sine}
}

func (s skew) axes(stylus geom.Point) geom.Point {
	return geom.Point{X: stylus.X - float64(s.cotangent*stylus.Y), Y: stylus.Y * s.cosecant}
}

// takeUp is the inverse of slack on one axis, in whole steps.
//
// Slack is the play operator: the stylus follows the motor with a gap of
// ±slack/2 that is used up after each reversal. Its exact inverse puts the
// motor half the slack ahead of the stylus on the side it runs to, and jumps
// by the whole slack at each reversal (Tao & Kokotovic, Adaptive Control of
// Systems with Actuator and Sensor Nonlinearities, 1996; from memory).
//
// A line that wavers by one step, as rounding makes of one that is nearly
// parallel to the other axis, must not rattle the gears: the motor waits at
// the farthest step until the line comes back by more than one.
type takeUp struct {
	slack int32
	gap   int32 // what is left of the slack to larger coordinates, 0 … slack
	motor int32 // where the motor stands
}

func newTakeUp(a *machine.Axis, gap int32) takeUp {
	slack := int32(a.SlackSteps())
	return takeUp{slack: slack, gap: max(0, min(slack, gap))}
}

// offset is how far the motor is ahead of the middle of the slack.
func (t *takeUp) offset() int32 { return t.slack - t.slack/2 - t.gap }

// turns tells whether slack is to be taken up before going on to a stylus step.
func (t *takeUp) turns(stylus int32) bool {
	ahead := stylus - (t.motor - t.offset())
	switch t.gap {
	case 0:
		return t.slack > 0 && ahead < -1
	case t.slack:
		return ahead > 1
	}
	return ahead != 0
}

// reverse takes up what is left of the slack on the way to a stylus step: the
// stylus rests.
func (t *takeUp) reverse(stylus int32) {
	flank := int32(0)
	if stylus < t.motor-t.offset() {
		flank = t.slack
	}
	t.motor += t.gap - flank
	t.gap = flank
}

// follow moves the motor so that the stylus reaches a step.
func (t *takeUp) follow(stylus int32) {
	want := stylus + t.offset()
	if t.slack == 0 || t.gap == 0 && want > t.motor || t.gap == t.slack && want < t.motor {
		t.motor = want
	}
}

// roundSteps is the nearest whole step, halves away from zero, so that places
// left and right of the corner are treated alike.
func roundSteps(x float64) int32 { return int32(math.Round(x)) }

// stepper turns places on the page into whole steps, each from its absolute
// place, so rounding never adds up.
type stepper struct {
	margin float64
	skew   skew
	scale  geom.Point // steps per mm
}

func newStepper(p *machine.Profile, compensate bool) stepper {
	s := stepper{margin: p.Area.MarginMM, skew: skew{0, 1}, scale: p.StepsPerMM()}
	if compensate {
		s.skew = skewOf(p.Frame.SquarenessDeg)
	}
	return s
}

func (s *stepper) steps(page geom.Point) machine.Steps {
	m := s.skew.axes(geom.Point{X: page.X + s.margin, Y: page.Y + s.margin})
	return machine.Steps{X: roundSteps(m.X * s.scale.X), Y: roundSteps(m.Y * s.scale.Y)}
}

// travel is the offset from one place to another, in mm of motor travel.
func (s *stepper) travel(from, to machine.Steps) geom.Point {
	return geom.Point{X: float64(to.X-from.X) / s.scale.X, Y: float64(to.Y-from.Y) / s.scale.Y}
}
