package link

import (
	"math"

	"wend/runtime/geom"
	"wend/runtime/machine"
)

// pitch is what one whole step of the motors is, and within which two places are
// one.
type pitch struct{ stepMM geom.Point }

func newPitch(p *machine.Profile) pitch {
	s := p.StepsPerMM()
	return pitch{geom.Point{X: 1 / s.X, Y: 1 / s.Y}}
}

// pathMM is how far a reported place may be from the line: a board steps each
// axis to the nearest whole step by itself, and reports three decimals.
func (p pitch) pathMM() float64 { return 1.5*max(p.stepMM.X, p.stepMM.Y) + readingMM }

// roundedMM is how far a whole step may lie from the place that it was rounded from,
// on one axis.
func (p pitch) roundedMM() float64 { return 0.5 * max(p.stepMM.X, p.stepMM.Y) }

// stillMM is how far two places may be apart that are one whole step.
func (p pitch) stillMM() float64 { return 0.6*max(p.stepMM.X, p.stepMM.Y) + readingMM }

func (p pitch) stepsOf(mm geom.Point) [2]float64 {
	return [2]float64{math.Round(mm.X / p.stepMM.X), math.Round(mm.Y / p.stepMM.Y)}
}

// readingMM is how far two coordinates of three decimals may be apart that mean
// one place.
const readingMM = 0.0025
