package interval

import "math"

// Ranges of the factors between radians and degrees.
var (
	radian = outward(math.Pi/180, math.Pi/180)
	degree = outward(180/math.Pi, 180/math.Pi)

	radianSquare = radian.Square()
)

// Sqrt is the square root; it has no value below 0 and no bounded slope at 0.
func (f Jet) Sqrt() Jet {
	v, ok := f.V.Sqrt()
	// h' = 1/(2√f), h'' = -1/(4 f √f), both over the part at 0 or above.
	inside := Interval{max(0, f.V.Lo), max(0, f.V.Hi)}
	h1, _ := Of(0.5).Div(v)
	slope, _ := h1.Div(inside)
	return f.chain(v, above(h1), slope.Scale(-0.5), ok)
}

// above is the part of a slope range that an increasing function can have.
func above(a Interval) Interval { return Interval{max(0, a.Lo), a.Hi} }

// SinCosDegrees are the sine and cosine of an angle in degrees, for less than
// the price of one and the other.
func (f Jet) SinCosDegrees() (sin, cos Jet) {
	s, c := f.V.SinCosDegrees()
	s1, c1 := s.Mul(radian), c.Mul(radian)
	sin = f.chain(s, c1, s1.Mul(radian).Neg(), true)
	cos = f.chain(c, s1.Neg(), c1.Mul(radian).Neg(), true)
	return sin, cos
}

// SinDegrees is the sine of an angle in degrees.
func (f Jet) SinDegrees() Jet {
	s, c := f.V.SinCosDegrees()
	return f.chain(s, c.Mul(radian), s.Neg().Mul(radianSquare), true)
}

// CosDegrees is the cosine of an angle in degrees.
func (f Jet) CosDegrees() Jet {
	s, c := f.V.SinCosDegrees()
	return f.chain(c, s.Neg().Mul(radian), c.Neg().Mul(radianSquare), true)
}

// TanDegrees is the tangent of an angle in degrees; it has no value at odd multiples of 90.
func (f Jet) TanDegrees() Jet {
	v, ok := f.V.TanDegrees()
	if !ok {
		return Undefined()
	}
	h1 := v.Square().Add(Of(1)).Mul(radian)
	return f.chain(v, h1, v.Mul(h1).Mul(radian).Scale(2), true)
}

// AsinDegrees is the arc sine in degrees; it has no value outside -1..1 and no
// bounded slope at either end.
func (f Jet) AsinDegrees() Jet {
	v, ok := f.V.AsinDegrees()
	h1, h2 := arcSlopes(f.V)
	return f.chain(v, h1, h2, ok)
}

// AcosDegrees is the arc cosine in degrees; it has no value outside -1..1 and
// no bounded slope at either end.
func (f Jet) AcosDegrees() Jet {
	v, ok := f.V.AcosDegrees()
	h1, h2 := arcSlopes(f.V)
	return f.chain(v, h1.Neg(), h2.Neg(), ok)
}

// arcSlopes are the first and second derivative of the arc sine in degrees:
// 1/√(1-x²) and x/(1-x²)^1.5.
func arcSlopes(x Interval) (h1, h2 Interval) {
	x = x.intersect(Interval{-1, 1})
	if x.Lo > x.Hi {
		return Entire(), Entire()
	}
	// (1-x)(1+x) has the least overestimate near the ends.
	square := Of(1).Sub(x.Abs()).Mul(Of(1).Add(x.Abs()))
	square.Lo = max(0, square.Lo)
	root, _ := square.Sqrt()
	h1, _ = degree.Div(root)
	over, _ := h1.Div(square)
	return above(h1), x.Mul(over)
}

// Atan2Degrees is the direction of (x, y) in degrees, above -180 and up to 180.
// It has no value at (0, 0), and jumps at 180 degrees.
func Atan2Degrees(y, x Jet) Jet {
	v, ok := direction(y.V, x.V)
	partial := y.Partial || x.Partial || !ok
	if v.Width() >= 360 {
		return Jet{V: v, D1: Entire(), D2: Entire(), Partial: partial}
	}
	// θ' = (x y' - y x')/r², θ'' = (x y'' - y x'')/r² - 2 (x y' - y x')(x x' + y y')/r⁴.
	inverse, _ := Of(1).Div(x.V.Square().Add(y.V.Square()))
	turning := x.V.Mul(y.D1).Sub(y.V.Mul(x.D1)).Mul(inverse)
	growing := x.V.Mul(x.D1).Add(y.V.Mul(y.D1)).Mul(inverse)
	bending := x.V.Mul(y.D2).Sub(y.V.Mul(x.D2)).Mul(inverse)
	return Jet{
		V:       v,
		D1:      turning.Mul(degree),
		D2:      bending.Sub(turning.Mul(growing).Scale(2)).Mul(degree),
		Partial: partial,
	}
}

// Exp is e^f.
func (f Jet) Exp() Jet {
	v := f.V.Exp()
	return f.chain(v, v, v, f.V.Hi < 709.7)
}

// Log is the natural logarithm; it has no value at 0 or below.
func (f Jet) Log() Jet {
	v, ok := f.V.Log()
	inverse, defined := Of(1).Div(Interval{max(0, f.V.Lo), max(0, f.V.Hi)})
	if !defined && inverse == Entire() {
		return Undefined()
	}
	return f.chain(v, inverse, inverse.Square().Neg(), ok)
}

// Pow is f^g. A negative f has only whole, constant powers. Fold a constant
// power to a Constant first: as a range of numbers it loses the value at 0.
func (f Jet) Pow(g Jet) Jet {
	if !g.IsConstant() || g.Partial {
		// Away from 0 it is e^(g ln f).
		r := g.Mul(f.Log()).Exp()
		r.Partial = r.Partial || f.V.Lo <= 0
		return r
	}
	p := g.V.Lo
	if p == math.Floor(p) && math.Abs(p) < 1<<30 {
		return f.wholePower(int(p))
	}
	return f.realPower(p)
}

func (f Jet) wholePower(n int) Jet {
	switch n {
	case 0:
		return Jet{V: Of(1), Partial: f.Partial}
	case 1:
		return f
	}
	v, ok := f.V.Power(n)
	h1, _ := f.V.Power(n - 1)
	h2, _ := f.V.Power(n - 2)
	k := float64(n)
	return f.chain(v, h1.Scale(k), h2.Scale(float64(k*(k-1))), ok && v.Finite())
}

// realPower is f^p for a constant p that is not whole: no value below 0, and
// at 0 only for p above 0.
func (f Jet) realPower(p float64) Jet {
	if p == 0.5 {
		return f.Sqrt()
	}
	inside := Interval{max(0, f.V.Lo), max(0, f.V.Hi)}
	v, h1, h2 := powerRange(inside, p), powerRange(inside, p-1), powerRange(inside, p-2)
	defined := f.V.Lo > 0 || f.V.Lo == 0 && p > 0
	return f.chain(v, h1.Scale(p), h2.Mul(loose(float64(p*(p-1)), float64(p*(p-1)))), defined && v.Finite())
}
