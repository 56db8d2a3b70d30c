package geom

import "math"

// Cubic is a cubic Bézier curve: its ends P0 and P3, and its control points.
type Cubic struct{ P0, P1, P2, P3 Point }

// At is the point at t, by de Casteljau's construction; the ends are exact.
func (c Cubic) At(t float64) Point {
	a, b, d := c.P0.Mix(c.P1, t), c.P1.Mix(c.P2, t), c.P2.Mix(c.P3, t)
	return a.Mix(b, t).Mix(b.Mix(d, t), t)
}

// Split cuts the curve at t into two.
func (c Cubic) Split(t float64) (Cubic, Cubic) {
	a, b, d := c.P0.Mix(c.P1, t), c.P1.Mix(c.P2, t), c.P2.Mix(c.P3, t)
	ab, bd := a.Mix(b, t), b.Mix(d, t)
	m := ab.Mix(bd, t)
	return Cubic{c.P0, a, ab, m}, Cubic{m, bd, d, c.P3}
}

// WangPieces is the number of pieces, equal in t, that surely stay within
// tolerance of the curve (Wang's formula; Goldman, Pyramid Algorithms, 2003,
// section 5.6.3): sqrt(3/4 max|second difference| / tolerance).
func (c Cubic) WangPieces(tolerance float64) float64 {
	return math.Ceil(math.Sqrt(0.75 * c.secondDifference() / tolerance))
}

func (c Cubic) secondDifference() float64 {
	a := c.P0.Sub(c.P1).Add(c.P2.Sub(c.P1))
	b := c.P1.Sub(c.P2).Add(c.P3.Sub(c.P2))
	return max(a.Length(), b.Length())
}

// deviation bounds how far the curve leaves its chord, and its chord the
// curve, in mm.
func (c Cubic) deviation() float64 {
	// Point by point against the chord walked evenly; holds always.
	even := 0.75 * c.secondDifference()
	chord := c.P3.Sub(c.P0)
	length := chord.Length()
	if length == 0 {
		return even
	}
	u := Point{chord.X / length, chord.Y / length}
	a, b := c.P1.Sub(c.P0), c.P2.Sub(c.P0)
	// With both feet on the chord and in order the curve does not overshoot it,
	// and the distance is a Bernstein sum of the two heights: at most 3/4 of the
	// larger on one side, 4/9 on two.
	along1, along2 := a.Dot(u), b.Dot(u)
	if along1 < 0 || along2 < 0 || along1 > length || along2 > length {
		return even
	}
	h1, h2 := u.Cross(a), u.Cross(b)
	share := 0.75
	if (h1 < 0) != (h2 < 0) {
		share = 4.0 / 9
	}
	return min(even, float64(share*max(math.Abs(h1), math.Abs(h2))))
}

// shortestStep, as a share of what is left of the curve, is where differences
// are rounding and nothing can be gained by stepping shorter.
const shortestStep = 0x1p-40

// Bezier appends the flattened curve, without its start and with its exact
// end, within tolerance > 0 mm. Its pieces are as long as the bound allows. It
// appends nothing and returns a *TooManyPointsError when more than limit
// points would be needed. A curve whose four points are one appends nothing.
func Bezier(dst []Point, c Cubic, tolerance float64, limit int) ([]Point, error) {
	if c.P1 == c.P0 && c.P2 == c.P0 && c.P3 == c.P0 {
		return dst, nil
	}
	// Not so for coordinates that are not finite, or no tolerance at all.
	if wang := c.WangPieces(tolerance); !(wang < math.Inf(1)) {
		return dst, &TooManyPointsError{Limit: limit, Needed: wang}
	}
	begin := len(dst)
	rest := c
	for step := 1.0; ; {
		piece, tail := rest, Cubic{}
		if step < 1 {
			piece, tail = rest.Split(step)
		}
		deviation := piece.deviation()
		if deviation > tolerance && step > shortestStep {
			step = float64(step * shorter(tolerance, deviation))
			continue
		}
		if len(dst)-begin >= limit {
			return dst[:begin], &TooManyPointsError{Limit: limit, Needed: max(float64(limit)+1, c.WangPieces(tolerance))}
		}
		dst = append(dst, piece.P3)
		if step == 1 {
			return dst, nil
		}
		rest = tail
		step = evenStep(float64(step*longer(tolerance, deviation))/(1-step), 1)
	}
}

// The deviation of a short piece grows with the square of its step; these are
// the factors to try next, a little on the safe side.
func shorter(tolerance, deviation float64) float64 {
	if math.IsInf(deviation, 1) {
		return 0.5
	}
	return max(0.1, min(0.9, float64(0.97*math.Sqrt(tolerance/deviation))))
}

func longer(tolerance, deviation float64) float64 {
	if float64(deviation*9) <= tolerance {
		return 3
	}
	return float64(0.98 * math.Sqrt(tolerance/deviation))
}

// evenStep takes all of what is left when the step reaches the end, and half
// when two steps do, so that no splinter remains.
func evenStep(step, left float64) float64 {
	switch {
	case step >= left:
		return left
	case float64(2*step) > left:
		return left / 2
	}
	return step
}

// Extent is the smallest box around the curve itself: its ends and the points
// where it turns back along an axis.
func (c Cubic) Extent() Box {
	box := EmptyBox().Include(c.P0).Include(c.P3)
	for _, t := range turningPoints(c.P0.X, c.P1.X, c.P2.X, c.P3.X) {
		box = box.Include(c.At(t))
	}
	for _, t := range turningPoints(c.P0.Y, c.P1.Y, c.P2.Y, c.P3.Y) {
		box = box.Include(c.At(t))
	}
	return box
}

// turningPoints are the 0 < t < 1 where the derivative of a cubic Bernstein
// polynomial vanishes.
func turningPoints(p0, p1, p2, p3 float64) []float64 {
	// A third of the derivative is d0(1-t)² + 2 d1 t(1-t) + d2 t².
	d0, d1, d2 := p1-p0, p2-p1, p3-p2
	a, b := (d0-d1)-(d1-d2), d0-d1 // a t² - 2 b t + d0
	root := float64(b*b) - float64(a*d0)
	if root < 0 {
		return nil
	}
	// Without cancellation: q has the larger size, the other root is d0/q.
	q := b + math.Copysign(math.Sqrt(root), b)
	var found []float64
	for _, fraction := range [2][2]float64{{q, a}, {d0, q}} {
		if t := fraction[0] / fraction[1]; 0 < t && t < 1 {
			found = append(found, t)
		}
	}
	return found
}
