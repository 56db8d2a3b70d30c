package link

import (
	"math"
	"slices"

	"wend/runtime/elementary"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

// flanks follows the slack of both axes: how many steps each motor has to go to
// larger coordinates until what it pulls follows, as an interval while that is
// not known for sure.
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
		f.low[i], f.high[i] = 0, s
	}
}

// rest says where each axis stands in its slack.
func (f *flanks) rest(gap machine.Gap) {
	for i, left := range [2]int32{gap.X, gap.Y} {
		if left >= 0 {
			f.low[i] = min(float64(left), f.slack[i])
			f.high[i] = f.low[i]
		}
	}
}

// move follows the motors by some steps, straight.
func (f *flanks) move(steps [2]float64) {
	for i, d := range steps {
		f.low[i] = max(0, min(f.slack[i], f.low[i]-d))
		f.high[i] = max(0, min(f.slack[i], f.high[i]-d))
	}
}

// extremes are the ends of what is possible where it is not known for sure how
// much of the slack is left.
func (f *flanks) extremes() []flanks {
	var all []flanks
	for _, x := range [2]float64{f.low[0], f.high[0]} {
		for _, y := range [2]float64{f.low[1], f.high[1]} {
			one := flanks{slack: f.slack, low: [2]float64{x, y}, high: [2]float64{x, y}}
			if !slices.Contains(all, one) {
				all = append(all, one)
			}
		}
	}
	return all
}

// gap is where each axis stands in its slack, if that is known to a step.
func (f *flanks) gap() machine.Gap {
	var left [2]int32
	for i := range left {
		left[i] = machine.UnknownGap
		if f.high[i]-f.low[i] <= 1 {
			left[i] = int32(math.Round(f.low[i]))
		}
	}
	return machine.Gap{X: left[0], Y: left[1]}
}

// StylusAt is where the stylus stands, in page mm, when the motors stand at
// some steps and each axis somewhere in its slack: what lowering does, undone.
func StylusAt(p *machine.Profile, at machine.Steps, gap machine.Gap) geom.Point {
	axes := p.AtSteps(machine.Steps{X: at.X - p.X.LeadSteps(gap.X), Y: at.Y - p.Y.LeadSteps(gap.Y)})
	if p.Frame.SquarenessDeg != 90 {
		sin, cos := elementary.SinCosDegrees(p.Frame.SquarenessDeg)
		axes = geom.Point{X: axes.X + float64(axes.Y*cos), Y: float64(axes.Y * sin)}
	}
	return p.ToPage(axes)
}

// MotorsAt is where the motors stand when the stylus stands at a place of the
// page and each axis somewhere in its slack.
func MotorsAt(p *machine.Profile, page geom.Point, gap machine.Gap) machine.Steps {
	m := p.ToMachine(page)
	if p.Frame.SquarenessDeg != 90 {
		sin, cos := elementary.SinCosDegrees(p.Frame.SquarenessDeg)
		y := m.Y / sin
		m = geom.Point{X: m.X - float64(y*cos), Y: y}
	}
	at := p.NearestStep(m)
	return machine.Steps{X: at.X + p.X.LeadSteps(gap.X), Y: at.Y + p.Y.LeadSteps(gap.Y)}
}
