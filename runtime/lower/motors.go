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

// exact is where the axes are to be, in steps, before they are rounded.
func (s *stepper) exact(page geom.Point) geom.Point {
	m := s.skew.axes(geom.Point{X: page.X + s.margin, Y: page.Y + s.margin})
	return geom.Point{X: float64(m.X * s.scale.X), Y: float64(m.Y * s.scale.Y)}
}

// travel is the offset from one place to another, in mm of motor travel.
func (s *stepper) travel(from, to machine.Steps) geom.Point {
	return geom.Point{X: float64(to.X-from.X) / s.scale.X, Y: float64(to.Y-from.Y) / s.scale.Y}
}
