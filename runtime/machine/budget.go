package machine

import (
	"math"

	"wend/runtime/elementary"
	"wend/runtime/geom"
)

// The tolerance is one budget for all that may move the line: chords in place
// of curves and vertices left out take a share each, whole steps of the motors
// take what they must, and taking up slack in motion has the rest, which is
// worth most there: it shortens the time of a drawing.
const (
	FlattenShare  = 0.15
	SimplifyShare = 0.05
)

// FlattenToleranceMM is how far the chords of a curve may be from it.
func (p *Profile) FlattenToleranceMM() float64 { return float64(FlattenShare * p.Drawing.ToleranceMM) }

// SimplifyToleranceMM is how far leaving out vertices may move the line. Where
// whole steps take more than their share of the tolerance, less is left for
// this, down to nothing.
func (p *Profile) SimplifyToleranceMM() float64 {
	left := p.Drawing.ToleranceMM - p.FlattenToleranceMM() - p.StepsMM(true)
	return max(0, min(float64(SimplifyShare*p.Drawing.ToleranceMM), left))
}

// AxisStepsMM is how far whole steps may move the stylus along each axis: half
// a step by rounding. Where slack is made up for, a line that wavers by less
// than a step does not reverse the motor, which costs another half step; slack
// of less than half a step counts as none.
func (p *Profile) AxisStepsMM(compensated bool) geom.Point {
	off := func(a *Axis, stepsPerMM float64) float64 {
		half := 0.5 / stepsPerMM
		if !compensated {
			return half
		}
		if a.SlackSteps() == 0 {
			return half + a.SlackMM
		}
		return half + half
	}
	s := p.StepsPerMM()
	return geom.Point{X: off(&p.X, s.X), Y: off(&p.Y, s.Y)}
}

// StepsMM is how far whole steps may move the stylus, both axes at once.
func (p *Profile) StepsMM(compensated bool) float64 {
	return p.awayMM(p.AxisStepsMM(compensated))
}

// awayMM is how far the stylus is off at most when each axis is off by so much
// to either side: the longer diagonal of a frame that is out of square.
func (p *Profile) awayMM(axes geom.Point) float64 {
	lean := 0.0
	if p.Frame.SquarenessDeg != 90 {
		lean = math.Abs(elementary.CosDegrees(p.Frame.SquarenessDeg))
	}
	return math.Sqrt(float64(axes.X*axes.X) + float64(axes.Y*axes.Y) + float64(2*axes.X*axes.Y*lean))
}

// SmallestToleranceMM is the finest tolerance that a profile may ask for, in
// whole thousandths: rounding to whole steps may take what flattening leaves.
func (p *Profile) SmallestToleranceMM() float64 {
	return math.Ceil(p.StepsMM(false)/(1-FlattenShare)*1000) / 1000
}

// ReachedMM is how far the drawn line may be from the one asked for: the
// tolerance, or more where the steps are too coarse for it.
func (p *Profile) ReachedMM() float64 {
	return max(p.Drawing.ToleranceMM, p.FlattenToleranceMM()+p.StepsMM(true))
}

// ReadBackToleranceMM is how far the stylus may be from the planned line, whose
// curves are chords already, when instructions are read back: what flattening
// leaves of what is reached.
func (p *Profile) ReadBackToleranceMM(compensated bool) float64 {
	const binary = 1e-9 // of sums
	if !compensated {
		return p.SimplifyToleranceMM() + p.StepsMM(false) + binary
	}
	return p.ReachedMM() - p.FlattenToleranceMM() + binary
}

// TakeUpBandMM is how far taking up slack in motion may move the stylus along
// each axis while it is off by so much on the other.
func (p *Profile) TakeUpBandMM(off geom.Point) geom.Point {
	whole := p.ReadBackToleranceMM(true) - p.SimplifyToleranceMM()
	lean := 0.0
	if p.Frame.SquarenessDeg != 90 {
		lean = math.Abs(elementary.CosDegrees(p.Frame.SquarenessDeg))
	}
	// The largest u with u² + v² + 2 u v lean = whole², v the other axis.
	left := func(other float64) float64 {
		across := float64(other * lean)
		root := float64(whole*whole) - float64(other*other) + float64(across*across)
		if root <= 0 {
			return 0
		}
		return max(0, math.Sqrt(root)-across)
	}
	return geom.Point{X: left(off.Y), Y: left(off.X)}
}
