package geom

import (
	"math"
	"math/big"
)

// NearestOnSegment is the point of the segment ab nearest to p, as its share
// 0..1 of the way from a to b.
func NearestOnSegment(a, b, p Point) float64 {
	ab := b.Sub(a)
	square := ab.Dot(ab)
	if square == 0 {
		return 0
	}
	return max(0, min(1, p.Sub(a).Dot(ab)/square))
}

// SegmentDistance is the distance of p from the segment ab, in mm.
func SegmentDistance(a, b, p Point) float64 {
	ab, ap := b.Sub(a), p.Sub(a)
	along, square := ap.Dot(ab), ab.Dot(ab)
	switch {
	case along <= 0 || square == 0:
		return ap.Length()
	case along >= square:
		return p.Distance(b)
	}
	return math.Abs(ab.Cross(ap)) / math.Sqrt(square)
}

// Orientation says exactly on which side of the line from a to b the point c
// lies: 1 left, -1 right, 0 on it.
//
// The determinant in float64 decides when it exceeds its error bound (Shewchuk,
// Adaptive Precision Floating-Point Arithmetic and Fast Robust Geometric
// Predicates, 1997, ccwerrboundA); otherwise exact arithmetic does.
func Orientation(a, b, c Point) int {
	left := float64((a.X - c.X) * (b.Y - c.Y))
	right := float64((a.Y - c.Y) * (b.X - c.X))
	if left == 0 && right == 0 {
		if exactZero(a, b, c) {
			return 0
		}
		return exactOrientation(a, b, c)
	}
	determinant := left - right
	// Zero when the signs differ: a difference that cannot cancel has the right sign.
	bound := 0.0
	if left > 0 && right > 0 || left < 0 && right < 0 {
		bound = float64((3 + 16*0x1p-53) * 0x1p-53 * math.Abs(left+right))
	}
	if math.Abs(determinant) > bound {
		return signOf(determinant)
	}
	return exactOrientation(a, b, c)
}

// exactZero reports whether both products vanish because a factor does, not by underflow.
func exactZero(a, b, c Point) bool {
	return (a.X == c.X || b.Y == c.Y) && (a.Y == c.Y || b.X == c.X)
}

func signOf(x float64) int {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}

// exactOrientation compares the two products of the determinant exactly: in
// pairs of float64 where the four differences are exact, as they are for
// points near each other (Sterbenz), and else in rational numbers.
func exactOrientation(a, b, c Point) int {
	ax, okAX := exactDifference(a.X, c.X)
	ay, okAY := exactDifference(a.Y, c.Y)
	bx, okBX := exactDifference(b.X, c.X)
	by, okBY := exactDifference(b.Y, c.Y)
	if okAX && okAY && okBX && okBY {
		left, leftLow, okLeft := exactProduct(ax, by)
		right, rightLow, okRight := exactProduct(ay, bx)
		if okLeft && okRight {
			// The rounded products order the exact ones unless they are equal.
			if left != right {
				return signOf(left - right)
			}
			return signOf(leftLow - rightLow)
		}
	}
	difference := func(p, q float64) *big.Rat {
		d := new(big.Rat).SetFloat64(p)
		return d.Sub(d, new(big.Rat).SetFloat64(q))
	}
	left := difference(a.X, c.X)
	left.Mul(left, difference(b.Y, c.Y))
	right := difference(a.Y, c.Y)
	right.Mul(right, difference(b.X, c.X))
	return left.Cmp(right)
}

// exactDifference is p - q, and whether it is exact.
func exactDifference(p, q float64) (float64, bool) {
	d := p - q
	v := d - p
	return d, (p-(d-v))-(q+v) == 0
}

// exactProduct is p*q as an unevaluated sum (Dekker, A floating-point
// technique for extending the available precision, 1971); false where the
// second part could be lost in the lowest exponents, or the first overflow.
func exactProduct(p, q float64) (high, low float64, ok bool) {
	const headBits = 0xffffffff_f8000000
	high = float64(p * q)
	ph := math.Float64frombits(math.Float64bits(p) & headBits)
	qh := math.Float64frombits(math.Float64bits(q) & headBits)
	pl, ql := p-ph, q-qh
	low = ((float64(ph*qh) - high) + float64(ph*ql) + float64(pl*qh)) + float64(pl*ql)
	size := math.Abs(high)
	return high, low, 0x1p-900 < size && size < 0x1p1000
}

// Meeting is how two segments lie to each other.
type Meeting uint8

const (
	Apart    Meeting = iota // no point in common
	Crossing                // one point in common, inside both
	Touching                // one point in common, an end of at least one
	Overlap                 // a piece of line in common
)

// Meet says exactly how the segments ab and cd lie to each other. A segment
// whose ends coincide is its one point.
func Meet(a, b, c, d Point) Meeting {
	if max(a.X, b.X) < min(c.X, d.X) || max(c.X, d.X) < min(a.X, b.X) ||
		max(a.Y, b.Y) < min(c.Y, d.Y) || max(c.Y, d.Y) < min(a.Y, b.Y) {
		return Apart
	}
	if a == b || c == d {
		if a == b && onSegment(c, d, a) || c == d && onSegment(a, b, c) {
			return Touching
		}
		return Apart
	}
	abc, abd := Orientation(a, b, c), Orientation(a, b, d)
	if abc == 0 && abd == 0 {
		return meetInLine(a, b, c, d)
	}
	cda, cdb := Orientation(c, d, a), Orientation(c, d, b)
	switch {
	case abc*abd < 0 && cda*cdb < 0:
		return Crossing
	case abc*abd <= 0 && cda*cdb <= 0:
		return Touching
	}
	return Apart
}

// onSegment reports exactly whether p is a point of ab.
func onSegment(a, b, p Point) bool {
	return Box{Point{min(a.X, b.X), min(a.Y, b.Y)}, Point{max(a.X, b.X), max(a.Y, b.Y)}}.Contains(p) &&
		(a == b || Orientation(a, b, p) == 0)
}

// meetInLine is Meet for segments on one line, whose boxes meet.
func meetInLine(a, b, c, d Point) Meeting {
	// Order along the axis on which they extend more.
	along := func(p Point) float64 { return p.X }
	if math.Abs(b.Y-a.Y) > math.Abs(b.X-a.X) {
		along = func(p Point) float64 { return p.Y }
	}
	low := max(min(along(a), along(b)), min(along(c), along(d)))
	high := min(max(along(a), along(b)), max(along(c), along(d)))
	switch {
	case low < high:
		return Overlap
	case low == high:
		return Touching
	}
	return Apart
}

// Intersect is where the lines through ab and cd meet, as shares of the way
// from a to b and from c to d; false when they are parallel to rounding. For
// segments that cross both shares lie in 0..1 to rounding.
func Intersect(a, b, c, d Point) (s, t float64, ok bool) {
	ab, cd, ac := b.Sub(a), d.Sub(c), c.Sub(a)
	denominator := ab.Cross(cd)
	if math.Abs(denominator) <= float64(1e-15*(ab.Length()*cd.Length())) {
		return 0, 0, false
	}
	return ac.Cross(cd) / denominator, ac.Cross(ab) / denominator, true
}

// CommonPiece is the piece of ab that cd lies over within tolerance mm, as
// shares of the way from a to b, the first the smaller; false when there is none longer than tolerance.
// cd must be nearly parallel: both its ends, cut to ab's length, lie within
// the tolerance.
func CommonPiece(a, b, c, d Point, tolerance float64) (from, to float64, ok bool) {
	ab := b.Sub(a)
	length := ab.Length()
	if length <= tolerance {
		return 0, 0, false
	}
	u := Point{ab.X / length, ab.Y / length}
	c, d = c.Sub(a), d.Sub(a)
	if c.Dot(u) > d.Dot(u) {
		c, d = d, c
	}
	alongC, alongD := c.Dot(u), d.Dot(u)
	low, high := max(0, alongC), min(length, alongD)
	if high-low <= tolerance {
		return 0, 0, false
	}
	for _, along := range [2]float64{low, high} {
		at := c.Mix(d, (along-alongC)/(alongD-alongC))
		if math.Abs(u.Cross(at)) > tolerance {
			return 0, 0, false
		}
	}
	return low / length, high / length, true
}
