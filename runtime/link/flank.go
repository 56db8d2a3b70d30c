package link

import (
	"math"

	"wend/runtime/elementary"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

// flanks follows the slack of both axes: how far each motor is ahead of what it
// pulls, in steps, as an interval while that is not known for sure.
type flanks struct {
	slack     [2]float64
	low, high [2]float64
}

func newFlanks(p *machine.Profile) flanks {
	f := flanks{slack: [2]float64{float64(p.X.SlackSteps()), float64(p.Y.SlackSteps())}}
	f.forget()
	return f
}

// forget: each axis may rest anywhere in its slack.
func (f *flanks) forget() {
	for i, s := range f.slack {
		f.low[i], f.high[i] = -s/2, s/2
	}
}

// rest puts each axis on a flank.
func (f *flanks) rest(side machine.Side) {
	for i, s := range [2]int8{side.X, side.Y} {
		if s != 0 {
			f.low[i] = float64(s) * f.slack[i] / 2
			f.high[i] = f.low[i]
		}
	}
}

// move follows the motors by some steps, straight.
func (f *flanks) move(steps [2]float64) {
	for i, d := range steps {
		half := f.slack[i] / 2
		f.low[i] = max(-half, min(half, f.low[i]+d))
		f.high[i] = max(-half, min(half, f.high[i]+d))
	}
}

// side is the flank of each axis, 0 where it is not known or within the slack.
func (f *flanks) side() machine.Side {
	var side [2]int8
	for i, s := range f.slack {
		switch {
		case s == 0 || f.low[i] > s/2-0.51:
			side[i] = 1
		case f.high[i] < -s/2+0.51:
			side[i] = -1
		}
	}
	return machine.Side{X: side[0], Y: side[1]}
}

// StylusAt is where the stylus stands, in page mm, when the motors stand at
// some steps and each axis rests on a flank: what lowering does, undone.
func StylusAt(p *machine.Profile, at machine.Steps, side machine.Side) geom.Point {
	ahead := func(slack int, side int8) int32 {
		if side < 0 {
			return -int32(slack / 2)
		}
		return int32(slack - slack/2)
	}
	axes := p.AtSteps(machine.Steps{X: at.X - ahead(p.X.SlackSteps(), side.X), Y: at.Y - ahead(p.Y.SlackSteps(), side.Y)})
	if p.Frame.SquarenessDeg != 90 {
		sin, cos := elementary.SinCosDegrees(p.Frame.SquarenessDeg)
		axes = geom.Point{X: axes.X + float64(axes.Y*cos), Y: float64(axes.Y * sin)}
	}
	return p.ToPage(axes)
}

// MotorsAt is where the motors stand when the stylus stands at a place of the
// page and each axis rests on a flank; a flank that is not known counts as the
// one after a move to larger coordinates.
func MotorsAt(p *machine.Profile, page geom.Point, side machine.Side) machine.Steps {
	m := p.ToMachine(page)
	if p.Frame.SquarenessDeg != 90 {
		sin, cos := elementary.SinCosDegrees(p.Frame.SquarenessDeg)
		y := m.Y / sin
		m = geom.Point{X: m.X - float64(y*cos), Y: y}
	}
	scale := p.StepsPerMM()
	steps := func(mm, scale float64, slack int, side int8) int32 {
		at := int32(math.Round(mm * scale))
		if side < 0 {
			return at - int32(slack/2)
		}
		return at + int32(slack-slack/2)
	}
	return machine.Steps{X: steps(m.X, scale.X, p.X.SlackSteps(), side.X), Y: steps(m.Y, scale.Y, p.Y.SlackSteps(), side.Y)}
}
