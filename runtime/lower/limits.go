package lower

import (
	"math"

	"wend/runtime/geom"
	"wend/runtime/machine"
)

// axisLimits are the largest speed and acceleration of each axis, in mm/s and
// mm/s². The two knobs are independent, so a move may be as fast as its
// slower axis allows: a diagonal faster than either axis alone.
type axisLimits struct {
	speed, acceleration geom.Point
	cornerDeviation     float64 // mm
}

func limitsOf(p *machine.Profile) axisLimits {
	return axisLimits{
		speed:           geom.Point{X: p.X.MaxSpeedMMS, Y: p.Y.MaxSpeedMMS},
		acceleration:    geom.Point{X: p.X.MaxAccelerationMMS2, Y: p.Y.MaxAccelerationMMS2},
		cornerDeviation: p.Drawing.CornerDeviationMM,
	}
}

// along is the largest value in a direction (any length but zero) when each
// axis has its own: min over the axes of limit ÷ |direction cosine|.
func along(limit, direction geom.Point) float64 {
	return alongOf(limit, direction, direction.Length())
}

// alongOf is along for a direction of which the length is known.
func alongOf(limit, direction geom.Point, length float64) float64 {
	x, y := math.Abs(direction.X), math.Abs(direction.Y)
	// Compared as products, so that an axis at rest needs no special case.
	if float64(limit.X*y) <= float64(limit.Y*x) {
		return limit.X * length / x
	}
	return limit.Y * length / y
}

// cornerRadius is the radius of the arc that is tangent to both legs of a
// corner and passes it at a distance: r = d s/(1-s) with s the sine of half
// the interior angle (elementary geometry). It is 0 for a full reversal and
// infinite where the line goes straight on.
//
// turnCosine is the cosine of the change of direction.
func cornerRadius(turnCosine, deviationMM float64) float64 {
	s := math.Sqrt(max(0, (1+turnCosine)/2))
	if s >= 1-1e-13 {
		return math.Inf(1)
	}
	return deviationMM * s / (1 - s)
}

// cornerSpeedSquared is how fast a corner between two unit directions may be
// passed: the speed at which the arc of cornerRadius needs no more than each
// axis' acceleration towards its centre, v² = a r.
func (l axisLimits) cornerSpeedSquared(in, out geom.Point) float64 {
	r := cornerRadius(in.Dot(out), l.cornerDeviation)
	if math.IsInf(r, 1) || r == 0 {
		return r
	}
	return along(l.acceleration, out.Sub(in)) * r
}

// leg is a piece of line: the offset from its beginning to its end, and its length.
type leg struct {
	geom.Point
	length float64
}

func newLeg(from, to geom.Point) leg {
	offset := to.Sub(from)
	return leg{offset, offset.Length()}
}

// curveSpeedSquared is how fast a line that bends between two legs, on its way from
// a to c, may run there if it is the flattened piece of a curve: v²/r within each
// axis' acceleration, r the radius of the circle through the three points.
// A corner rule alone would let finely flattened curves run too fast. It is
// infinite where the corner rule is the stricter one: there the board slows
// down by itself.
func (l axisLimits) curveSpeedSquared(in, out leg, a, c geom.Point) float64 {
	cross := math.Abs(in.Cross(out.Point))
	if cross == 0 {
		return math.Inf(1)
	}
	product := in.length * out.length
	across := c.Sub(a).Length()
	r := product * across / (2 * cross)
	if r >= cornerRadius(in.Dot(out.Point)/product, l.cornerDeviation) {
		return math.Inf(1)
	}
	// Towards the centre: at right angles to the chord from a to c. Each axis has
	// its own limit. Of these, cos φ v²/r goes to turning, φ the angle from the
	// axis to the direction of the centre, and the rest to the change of speed: if
	// all of it is used, v² = 2 a r/(1 + cos φ) on a circle (elementary; 16 sin
	// 22.5° √(r/a) a lap for two axes alike, the least there can be). Where the
	// axes differ much, the ellipse of their limits may allow more.
	nx, ny := math.Abs(a.Y-c.Y), math.Abs(c.X-a.X)
	box := min(l.acceleration.X/(across+nx), l.acceleration.Y/(across+ny))
	ex, ey := nx/l.acceleration.X, ny/l.acceleration.Y
	ellipse := 1 / math.Sqrt(float64(ex*ex)+float64(ey*ey))
	return r * across * max(2*box, ellipse)
}
