package machine

import (
	"math"

	"wend/runtime/geom"
)

// MMPerMotorTurn is the line drawn in one turn of the motor, gears included.
func (a *Axis) MMPerMotorTurn() float64 {
	if a.LineMMPerMotorTurn != 0 {
		return a.LineMMPerMotorTurn
	}
	return a.LineMMPerKnobTurn / a.GearRatio
}

// StepsPerMM is steps a turn × microsteps ÷ line per motor turn. A motor of
// 1.8° makes 360/1.8 = 200 full steps a turn (common practice, no source).
func (a *Axis) StepsPerMM() float64 {
	return float64(a.StepsPerTurn*a.Microsteps) / a.MMPerMotorTurn()
}

// ResolutionMM is the line of one step.
func (a *Axis) ResolutionMM() float64 { return 1 / a.StepsPerMM() }

// LargestSpeedMMS is the speed at which the axis uses up a step rate in Hz.
func (a *Axis) LargestSpeedMMS(stepRateHz float64) float64 { return stepRateHz / a.StepsPerMM() }

// ScaleUncertainty is the relative error that the measured line may carry:
// its uncertainty divided by its length.
func (a *Axis) ScaleUncertainty() float64 {
	line := a.LineMMPerMotorTurn
	if line == 0 {
		line = a.LineMMPerKnobTurn
	}
	return a.LineUncertaintyMM / line
}

// SlackSteps is the slack in whole steps.
func (a *Axis) SlackSteps() int { return int(math.Round(a.SlackMM * a.StepsPerMM())) }

// UnknownSlack names the axes whose slack nobody has measured. Knobs and gears have
// some, so that 0 in a profile is no measure.
func (p *Profile) UnknownSlack() []string {
	axes := []string{}
	if p.X.SlackMM == 0 {
		axes = append(axes, "x")
	}
	if p.Y.SlackMM == 0 {
		axes = append(axes, "y")
	}
	return axes
}

// LeadSteps is how many steps a motor stands ahead of the middle of its slack
// when so many of it are left (see Gap). An odd number of steps counts half a
// step more on the flank of larger coordinates.
func (a *Axis) LeadSteps(gap int32) int32 {
	slack := int32(a.SlackSteps())
	return slack - slack/2 - max(gap, 0)
}

// StepsPerMM is what turns machine mm into whole steps: the board's own
// setting, since it is the board that multiplies.
func (p *Profile) StepsPerMM() geom.Point { return p.Board.StepsPerMM }

// LinkBytesPerSecond is what the link carries: ten bits a byte, a start bit,
// eight of data and a stop bit.
func (p *Profile) LinkBytesPerSecond() float64 { return float64(p.Board.Baud) / 10 }

// MarginNeededMM is what the margin must cover on an axis of the given span:
// slack, the error of the scale over the span, and one step. Within it, a
// stylus kept on the page cannot reach the edge of the area.
func (a *Axis) MarginNeededMM(spanMM float64) float64 {
	return a.SlackMM + float64(a.ScaleUncertainty()*spanMM) + a.ResolutionMM()
}

// NearestStep is the whole step nearest to a place in machine mm.
func (p *Profile) NearestStep(m geom.Point) Steps {
	s := p.StepsPerMM()
	return Steps{X: int32(math.Round(m.X * s.X)), Y: int32(math.Round(m.Y * s.Y))}
}

// AtSteps is the place of a count of steps, in machine mm.
func (p *Profile) AtSteps(at Steps) geom.Point {
	s := p.StepsPerMM()
	return geom.Point{X: float64(at.X) / s.X, Y: float64(at.Y) / s.Y}
}

// CoordinateDecimals is how many decimals a coordinate needs in an instruction
// so that the board, multiplying by its steps per mm, lands within a fifth of
// a step of the step that is meant.
func (p *Profile) CoordinateDecimals() int {
	finest := max(p.StepsPerMM().X, p.StepsPerMM().Y)
	decimals, half := 2, 0.005
	for half*finest > 0.2 && decimals < 6 {
		decimals++
		half /= 10
	}
	return decimals
}
