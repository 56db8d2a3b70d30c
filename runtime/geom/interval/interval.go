// Package interval computes with ranges of numbers instead of numbers: every
// result holds all values that the operation can take on its arguments'
// ranges, rounded outward. A Jet carries such ranges for a function of one
// variable and for its first and second derivative, which is what it takes to
// prove how far a chord may be from a curve.
//
// Results are the same to the last bit on every processor. Bounds may be
// infinite; NaN never appears. An operation that is not defined everywhere on
// its arguments says so (Jet.Partial) instead of failing, so that the caller
// can try a narrower range.
//
// Moore, Interval Analysis, 1966; rounding by one step outward as in the
// IEEE 1788 notion of a valid, not tightest, enclosure.
package interval

import "math"

// Interval is the set of all x with Lo <= x <= Hi; the bounds may be infinite.
type Interval struct{ Lo, Hi float64 }

// Entire holds every number.
func Entire() Interval { return Interval{math.Inf(-1), math.Inf(1)} }

// Of is the interval of one number.
func Of(x float64) Interval { return Interval{x, x} }

// Between is the interval from a to b, in either order.
func Between(a, b float64) Interval { return Interval{min(a, b), max(a, b)} }

// Width is Hi - Lo, rounded upward.
func (a Interval) Width() float64 {
	if a.Lo == a.Hi {
		return 0
	}
	return up(a.Hi - a.Lo)
}

// Contains reports whether x lies in a.
func (a Interval) Contains(x float64) bool { return a.Lo <= x && x <= a.Hi }

// Finite reports whether both bounds are finite.
func (a Interval) Finite() bool { return a.Lo-a.Lo == 0 && a.Hi-a.Hi == 0 }

// IsPoint reports whether a holds one number only.
func (a Interval) IsPoint() bool { return a.Lo == a.Hi }

// Largest is the greatest size of a number in a.
func (a Interval) Largest() float64 { return max(math.Abs(a.Lo), math.Abs(a.Hi)) }

// Hull is the smallest interval that holds both.
func (a Interval) Hull(b Interval) Interval {
	return Interval{min(a.Lo, b.Lo), max(a.Hi, b.Hi)}
}

// up and down are the next numbers above and below; infinity stays. NaN, from
// infinite bounds that cancel, becomes the infinity on that side.
func up(x float64) float64 {
	bits := math.Float64bits(x)
	switch {
	case x > 0:
		if x > math.MaxFloat64 {
			return x
		}
		return math.Float64frombits(bits + 1)
	case x < 0:
		return math.Float64frombits(bits - 1)
	case x == 0:
		return math.SmallestNonzeroFloat64
	}
	return math.Inf(1)
}

func down(x float64) float64 { return -up(-x) }

// outward widens computed bounds by one unit of the last place each, which
// holds the exact result of a correctly rounded operation.
func outward(lo, hi float64) Interval { return Interval{down(lo), up(hi)} }

// loose widens by two, for functions whose error stays below one unit.
func loose(lo, hi float64) Interval { return Interval{down(down(lo)), up(up(hi))} }

// sumDown and sumUp round a sum in one direction. A sum that comes out as 0 is
// exact, so 1 - t^2 at t = 1 is 0 and not a little below.
func sumDown(a, b float64) float64 {
	s := a + b
	if s == 0 {
		return 0
	}
	return down(s)
}

func sumUp(a, b float64) float64 { return -sumDown(-a, -b) }

// Add is a + b.
func (a Interval) Add(b Interval) Interval {
	return Interval{sumDown(a.Lo, b.Lo), sumUp(a.Hi, b.Hi)}
}

// Sub is a - b.
func (a Interval) Sub(b Interval) Interval { return a.Add(b.Neg()) }

// Neg is -a.
func (a Interval) Neg() Interval { return Interval{-a.Hi, -a.Lo} }

// productDown and productUp round a product in one direction. Numbers of at
// most 26 significant bits, such as people write, have exact products. 0 times
// infinity is 0: an infinite bound stands for arbitrarily large finite numbers.
func productDown(x, y float64) float64 {
	p := float64(x * y)
	switch {
	case x == 0 || y == 0:
		return 0
	case p == 0 && (x > 0) == (y > 0):
		return 0 // underflow from above
	case (math.Float64bits(x)|math.Float64bits(y))&(1<<27-1) == 0 && math.Abs(p) > 0x1p-900 && math.Abs(p) < 0x1p1000:
		return p
	}
	return down(p)
}

func productUp(x, y float64) float64 { return -productDown(-x, y) }

// Mul is a * b.
func (a Interval) Mul(b Interval) Interval {
	negative := false
	if a.Hi <= 0 {
		a, negative = a.Neg(), !negative
	}
	if b.Hi <= 0 {
		b, negative = b.Neg(), !negative
	}
	r := a.mulUpward(b)
	if negative {
		return r.Neg()
	}
	return r
}

// mulUpward is Mul where neither lies below 0 as a whole.
func (a Interval) mulUpward(b Interval) Interval {
	switch {
	case a.Lo >= 0 && b.Lo >= 0:
		return Interval{productDown(a.Lo, b.Lo), productUp(a.Hi, b.Hi)}
	case a.Lo >= 0:
		return Interval{productDown(a.Hi, b.Lo), productUp(a.Hi, b.Hi)}
	case b.Lo >= 0:
		return Interval{productDown(a.Lo, b.Hi), productUp(a.Hi, b.Hi)}
	}
	return Interval{
		min(productDown(a.Lo, b.Hi), productDown(a.Hi, b.Lo)),
		max(productUp(a.Lo, b.Lo), productUp(a.Hi, b.Hi)),
	}
}

// Scale is a * k.
func (a Interval) Scale(k float64) Interval { return a.Mul(Of(k)) }

// Square is a * a, never below 0.
func (a Interval) Square() Interval {
	a = a.Abs()
	return a.Mul(a)
}

// Div is a / b; false where b holds 0, with the quotients that exist if b only
// ends there, and else everything.
func (a Interval) Div(b Interval) (Interval, bool) {
	inverse, ok := b.inverse()
	if !ok && inverse == Entire() {
		return inverse, false
	}
	if !ok || !a.Finite() || !b.Finite() {
		return a.Mul(inverse), ok
	}
	p, q, r, s := a.Lo/b.Lo, a.Lo/b.Hi, a.Hi/b.Lo, a.Hi/b.Hi
	return outward(min(p, q, r, s), max(p, q, r, s)), true
}

func (a Interval) inverse() (Interval, bool) {
	switch {
	case a.Lo > 0 || a.Hi < 0:
		return outward(1/a.Hi, 1/a.Lo), true
	case a.Lo == 0 && a.Hi > 0:
		return Interval{down(1 / a.Hi), math.Inf(1)}, false
	case a.Hi == 0 && a.Lo < 0:
		return Interval{math.Inf(-1), up(1 / a.Lo)}, false
	}
	return Entire(), false
}

// Abs is |a|.
func (a Interval) Abs() Interval {
	switch {
	case a.Lo >= 0:
		return a
	case a.Hi <= 0:
		return a.Neg()
	}
	return Interval{0, max(-a.Lo, a.Hi)}
}

// Min is the range of min(x, y).
func (a Interval) Min(b Interval) Interval {
	return Interval{min(a.Lo, b.Lo), min(a.Hi, b.Hi)}
}

// Max is the range of max(x, y).
func (a Interval) Max(b Interval) Interval {
	return Interval{max(a.Lo, b.Lo), max(a.Hi, b.Hi)}
}

// intersect narrows a to what b holds as well; both hold the true range, so
// they meet.
func (a Interval) intersect(b Interval) Interval {
	return Interval{max(a.Lo, b.Lo), min(a.Hi, b.Hi)}
}
