package region

import (
	"cmp"
	"math"
	"math/bits"

	"wend/runtime/geom"
)

// coordinateBits bounds the coordinates of a drawing on its grid: below
// 2^coordinateBits, and below twice that for a line that is cut by a region. So
// all determinants of three points fit into an int64.
const coordinateBits = 27

// grid is where the whole numbers are.
type grid struct {
	origin geom.Point // mm
	unit   float64    // mm, a power of two
}

// node is a point of a grid.
type node struct{ x, y int64 }

// gridFor is the finest grid on which a box can be.
func gridFor(box geom.Box) grid {
	if box.Empty() {
		return grid{unit: 1}
	}
	// half < 2^exponent
	_, exponent := math.Frexp(max(box.Width(), box.Height()) / 2)
	unit := math.Ldexp(1, exponent-coordinateBits)
	center := box.Center()
	return grid{geom.Point{X: float64(math.Round(center.X/unit) * unit), Y: float64(math.Round(center.Y/unit) * unit)}, unit}
}

func (g grid) snap(p geom.Point) node {
	return node{int64(math.Round((p.X - g.origin.X) / g.unit)), int64(math.Round((p.Y - g.origin.Y) / g.unit))}
}

func (g grid) mm(p node) geom.Point {
	return geom.Point{X: g.origin.X + float64(float64(p.x)*g.unit), Y: g.origin.Y + float64(float64(p.y)*g.unit)}
}

func (p node) sub(q node) node { return node{p.x - q.x, p.y - q.y} }

// cross is the z part of the vector product.
func (p node) cross(q node) int64 { return p.x*q.y - p.y*q.x }

func (p node) dot(q node) int64 { return p.x*q.x + p.y*q.y }

// side is above 0 if c lies left of the line from a to b, below 0 if right of
// it, and 0 on it.
func side(a, b, c node) int64 { return b.sub(a).cross(c.sub(a)) }

// proper reports whether two segments cross at a point inside both.
func proper(a, b, c, d node) bool {
	abc, abd := side(a, b, c), side(a, b, d)
	if abc == 0 || abd == 0 || (abc > 0) == (abd > 0) {
		return false
	}
	cda, cdb := side(c, d, a), side(c, d, b)
	return cda != 0 && cdb != 0 && (cda > 0) != (cdb > 0)
}

// share is an exact part of a way, a fraction with a divisor above 0.
type share struct{ part, whole int64 }

// shareOf is how far along ab the line through cd crosses the one through ab,
// which it is not parallel to.
func shareOf(a, b, c, d node) share {
	along, other := b.sub(a), d.sub(c)
	s := share{c.sub(a).cross(other), along.cross(other)}
	if s.whole < 0 {
		s = share{-s.part, -s.whole}
	}
	return s
}

// compare orders shares that are not below 0.
func (s share) compare(t share) int {
	high, low := bits.Mul64(uint64(s.part), uint64(t.whole))
	otherHigh, otherLow := bits.Mul64(uint64(t.part), uint64(s.whole))
	if order := cmp.Compare(high, otherHigh); order != 0 {
		return order
	}
	return cmp.Compare(low, otherLow)
}

// of is the share of a length, rounded to the nearest whole number, halves up.
// The share must lie from 0 to 1.
func (s share) of(length int64) int64 {
	// floor((2 part length + whole) / (2 whole))
	size := uint64(max(length, -length))
	high, low := bits.Mul64(2*uint64(s.part), size)
	whole := 2 * uint64(s.whole)
	var carry uint64
	if length >= 0 {
		low, carry = bits.Add64(low, uint64(s.whole), 0)
		quotient, _ := bits.Div64(high+carry, low, whole)
		return int64(quotient)
	}
	// The floor of a negative number: -ceil((2 part size - whole) / (2 whole)),
	// and that is -floor((2 part size + whole - 1) / (2 whole)).
	low, carry = bits.Add64(low, uint64(s.whole)-1, 0)
	quotient, _ := bits.Div64(high+carry, low, whole)
	return -int64(quotient)
}

// crossing is the point of the grid nearest to where two segments cross that do
// so properly.
func crossing(a, b, c, d node) node {
	s, way := shareOf(a, b, c, d), b.sub(a)
	return node{a.x + s.of(way.x), a.y + s.of(way.y)}
}
