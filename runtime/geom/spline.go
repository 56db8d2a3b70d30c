package geom

import "math"

// SplineCubics are the pieces of the centripetal Catmull-Rom spline (knots
// apart by the square root of the distance; Catmull & Rom 1974, Yuksel,
// Schaefer & Keyser 2011) from start through all points, each as an equal
// cubic Bézier. Beyond either end stands the reflection of the next point in
// the end point. Neighbours that are the same point count once.
func SplineCubics(start Point, points []Point) []Cubic {
	through := make([]Point, 1, len(points)+3)
	through = append(through, start)
	for _, p := range points {
		if p.Distance(through[len(through)-1]) > SamePoint {
			through = append(through, p)
		}
	}
	n := len(through) - 1
	if n < 2 {
		return nil
	}
	through[0] = reflect(through[1], through[2])
	through = append(through, reflect(through[n], through[n-1]))
	cubics := make([]Cubic, 0, n-1)
	for i := 0; i+3 < len(through); i++ {
		cubics = append(cubics, catmullRom(through[i], through[i+1], through[i+2], through[i+3]))
	}
	return cubics
}

func reflect(end, next Point) Point { return end.Add(end.Sub(next)) }

// catmullRom is the piece from b to c of the spline through a, b, c, d, no two
// neighbours of which coincide.
func catmullRom(a, b, c, d Point) Cubic {
	ab, bc, cd := math.Sqrt(a.Distance(b)), math.Sqrt(b.Distance(c)), math.Sqrt(c.Distance(d))
	return Cubic{b, tangentEnd(a, b, c, ab, bc), tangentEnd(d, c, b, cd, bc), c}
}

// tangentEnd is the control point beside b on the way to c: a third of the
// derivative of the parabola through a, b, c at knots apart by ab and bc.
func tangentEnd(a, b, c Point, ab, bc float64) Point {
	toC := c.Sub(b).Times(ab / bc)
	fromA := b.Sub(a).Times(bc / ab)
	return b.Add(toC.Add(fromA).Times(bc / float64(3*(ab+bc))))
}

// Spline appends the flattened spline from start through all points, without
// start, within tolerance > 0 mm; every point passed is a vertex, exactly. The
// limit counts the points appended; beyond it a *TooManyPointsError comes back
// and nothing is appended.
func Spline(dst []Point, start Point, points []Point, tolerance float64, limit int) ([]Point, error) {
	begin := len(dst)
	for _, c := range SplineCubics(start, points) {
		var err error
		dst, err = Bezier(dst, c, tolerance, limit-(len(dst)-begin))
		if tooMany, ok := err.(*TooManyPointsError); ok {
			needed := float64(len(dst)-begin) + tooMany.Needed
			return dst[:begin], &TooManyPointsError{Limit: limit, Needed: needed}
		}
	}
	return dst, nil
}
