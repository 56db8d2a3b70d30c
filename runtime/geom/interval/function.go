package interval

import (
	"math"

	"wend/runtime/elementary"
)

// Sqrt is the square root of what lies at 0 or above; false when some of a lies below.
func (a Interval) Sqrt() (Interval, bool) {
	lo, hi := max(0, a.Lo), max(0, a.Hi)
	return Interval{max(0, down(math.Sqrt(lo))), up(math.Sqrt(hi))}, a.Lo >= 0
}

// SinCosDegrees are the ranges of sine and cosine over angles in degrees.
func (a Interval) SinCosDegrees() (sin, cos Interval) {
	// Beyond some angle a range is as wide as the rounding in passes.
	if !(a.Largest() < 1e9) || !(a.Hi-a.Lo < 360) {
		return Interval{-1, 1}, Interval{-1, 1}
	}
	s0, c0 := elementary.SinCosDegrees(a.Lo)
	s1, c1 := s0, c0
	if a.Lo != a.Hi {
		s1, c1 = elementary.SinCosDegrees(a.Hi)
	}
	sin, cos = loose(min(s0, s1), max(s0, s1)), loose(min(c0, c1), max(c0, c1))
	if a.passes(90) {
		sin.Hi = 1
	}
	if a.passes(270) {
		sin.Lo = -1
	}
	if a.passes(0) {
		cos.Hi = 1
	}
	if a.passes(180) {
		cos.Lo = -1
	}
	whole := Interval{-1, 1}
	return sin.intersect(whole), cos.intersect(whole)
}

// passes reports whether a may hold an angle degrees + 360 k. It errs on the side of yes.
func (a Interval) passes(degrees float64) bool {
	k := math.Floor((a.Hi-degrees)/360 + 1e-12)
	return float64(k*360)+degrees >= a.Lo-float64(1e-12*(math.Abs(a.Lo)+1))
}

// TanDegrees is the range of the tangent; false when a pole lies in a.
func (a Interval) TanDegrees() (Interval, bool) {
	if !(a.Largest() < 1e9) || !(a.Hi-a.Lo < 180) || a.passes(90) || a.passes(270) {
		return Entire(), false
	}
	lo, _ := elementary.TanDegrees(a.Lo)
	hi, _ := elementary.TanDegrees(a.Hi)
	return loose(lo, hi), true
}

// AsinDegrees is the range of the arc sine of what lies in -1..1; false when
// some of a lies outside.
func (a Interval) AsinDegrees() (Interval, bool) {
	b := a.intersect(Interval{-1, 1})
	if b.Lo > b.Hi {
		return Interval{-90, 90}, false
	}
	lo, _ := elementary.AsinDegrees(b.Lo)
	hi, _ := elementary.AsinDegrees(b.Hi)
	return loose(lo, hi), b == a
}

// AcosDegrees is the range of the arc cosine of what lies in -1..1; false when
// some of a lies outside.
func (a Interval) AcosDegrees() (Interval, bool) {
	b := a.intersect(Interval{-1, 1})
	if b.Lo > b.Hi {
		return Interval{0, 180}, false
	}
	lo, _ := elementary.AcosDegrees(b.Hi)
	hi, _ := elementary.AcosDegrees(b.Lo)
	return loose(lo, hi), b == a
}

// direction is the range of the direction of (x, y). It is false when
// (0, 0) is among them, and the whole turn -180..180 when they may cross the
// half line at 180 degrees, where the direction jumps.
func direction(y, x Interval) (Interval, bool) {
	hasOrigin := y.Contains(0) && x.Contains(0)
	if hasOrigin || x.Lo < 0 && y.Contains(0) || !x.Finite() || !y.Finite() {
		return Interval{-180, 180}, !hasOrigin
	}
	// Seen from outside, a rectangle shows its extreme directions at corners.
	r := Interval{math.Inf(1), math.Inf(-1)}
	for _, v := range [2]float64{y.Lo, y.Hi} {
		for _, u := range [2]float64{x.Lo, x.Hi} {
			d, _ := elementary.Atan2Degrees(v, u)
			r = r.Hull(Of(d))
		}
	}
	return loose(r.Lo, r.Hi), true
}

// Exp is e^a; a bound too large for a float64 is infinite.
func (a Interval) Exp() Interval {
	return Interval{max(0, down(down(exp(a.Lo)))), up(up(exp(a.Hi)))}
}

func exp(x float64) float64 {
	if v, ok := elementary.Exp(x); ok {
		return v
	}
	return math.Inf(1)
}

// Log is the natural logarithm of what lies above 0; false when some of a does not.
func (a Interval) Log() (Interval, bool) {
	return Interval{down(down(log(a.Lo))), up(up(log(a.Hi)))}, a.Lo > 0
}

func log(x float64) float64 {
	switch v, ok := elementary.Log(x); {
	case !ok:
		return math.Inf(-1)
	case x > math.MaxFloat64:
		return math.Inf(1)
	default:
		return v
	}
}

// Power is a^n for a whole n; false when n is below 0 and a holds 0.
func (a Interval) Power(n int) (Interval, bool) {
	switch {
	case n == 0:
		return Interval{1, 1}, true
	case n == 1:
		return a, true
	case n == 2:
		return a.Square(), true
	case n < 0:
		p, _ := a.Power(-n)
		return Interval{1, 1}.Div(p)
	case n%2 == 0:
		b := a.Abs()
		return Interval{max(0, down(down(power(b.Lo, n)))), up(up(power(b.Hi, n)))}, true
	}
	return loose(power(a.Lo, n), power(a.Hi, n)), true
}

func power(x float64, n int) float64 {
	v, ok := elementary.Pow(x, float64(n))
	switch {
	case ok:
		return v
	case x < 0 && n%2 != 0:
		return math.Inf(-1)
	}
	return math.Inf(1)
}

// powerRange is the range of x^p for x >= 0, where p may be off by half a unit
// of the last place of a number below 1: that shifts a power by at most
// 2^-54 ln(MaxFloat64), less than the slack.
func powerRange(x Interval, p float64) Interval {
	lo, hi := realPower(x.Lo, p), realPower(x.Hi, p)
	if p < 0 {
		lo, hi = hi, lo
	}
	const slack = 1e-13
	return Interval{max(0, down(float64(lo*(1-slack)))), up(float64(hi * (1 + slack)))}
}

func realPower(x, p float64) float64 {
	switch {
	case x > math.MaxFloat64 && p < 0:
		return 0
	case x > math.MaxFloat64 && p > 0:
		return math.Inf(1)
	}
	if v, ok := elementary.Pow(x, p); ok {
		return v
	}
	return math.Inf(1)
}
