package interval

import "math"

// Jet is what is known of a function f of one variable over a range of it: it
// and its first and second derivative stay within V, D1 and D2 there.
//
// D1 is unbounded where f may be steep without limit, or jump. Where it is
// bounded, f is continuous and D1 holds the slope between any two points of
// the range, also across corners. D2 is unbounded where the slope may jump;
// where it is bounded, it holds the second derivative.
//
// Partial reports that f may have no value somewhere on the range.
type Jet struct {
	V, D1, D2 Interval
	Partial   bool
}

// Variable is the variable itself over a range.
func Variable(t Interval) Jet { return Jet{V: t, D1: Of(1)} }

// Constant is a number that does not change.
func Constant(c float64) Jet { return Jet{V: Of(c)} }

// Undefined is the jet of a formula that has no value anywhere on the range,
// or none that can be bounded.
func Undefined() Jet {
	return Jet{V: Entire(), D1: Entire(), D2: Entire(), Partial: true}
}

// IsConstant reports that f is one number on the whole range.
func (f Jet) IsConstant() bool {
	return f.V.IsPoint() && f.D1 == (Interval{}) && f.D2 == (Interval{})
}

// Add is f + g.
func (f Jet) Add(g Jet) Jet {
	return Jet{f.V.Add(g.V), f.D1.Add(g.D1), f.D2.Add(g.D2), f.Partial || g.Partial}
}

// Sub is f - g.
func (f Jet) Sub(g Jet) Jet { return f.Add(g.Neg()) }

// Neg is -f.
func (f Jet) Neg() Jet { return Jet{f.V.Neg(), f.D1.Neg(), f.D2.Neg(), f.Partial} }

// Mul is f g, with slope f'g + fg' and bend f₂g + 2f'g' + fg₂, where f₂ is
// the second derivative of f.
func (f Jet) Mul(g Jet) Jet {
	return Jet{
		V:       f.V.Mul(g.V),
		D1:      f.D1.Mul(g.V).Add(f.V.Mul(g.D1)),
		D2:      f.D2.Mul(g.V).Add(f.D1.Mul(g.D1).Scale(2)).Add(f.V.Mul(g.D2)),
		Partial: f.Partial || g.Partial,
	}
}

// Scale is k f.
func (f Jet) Scale(k float64) Jet {
	return Jet{f.V.Scale(k), f.D1.Scale(k), f.D2.Scale(k), f.Partial}
}

// Square is f².
func (f Jet) Square() Jet {
	return f.chain(f.V.Square(), f.V.Scale(2), Of(2), true)
}

// Div is f / g.
func (f Jet) Div(g Jet) Jet {
	if g.IsConstant() && g.V.Lo != 0 && !g.Partial {
		// One rounding instead of two for the commonest quotient.
		v, _ := f.V.Div(g.V)
		d1, _ := f.D1.Div(g.V)
		d2, _ := f.D2.Div(g.V)
		return Jet{v, d1, d2, f.Partial}
	}
	return f.Mul(g.inverse())
}

// inverse is 1 / f.
func (f Jet) inverse() Jet {
	v, ok := Of(1).Div(f.V)
	if !ok {
		return Jet{V: v, D1: Entire(), D2: Entire(), Partial: true}
	}
	square := v.Square()
	return f.chain(v, square.Neg(), square.Mul(v).Scale(2), true)
}

// chain is h(f), given the ranges of h and its first and second derivative
// over f's: the slope is h1 f', the bend h2 f'² + h1 f₂.
func (f Jet) chain(v, h1, h2 Interval, defined bool) Jet {
	return Jet{
		V:       v,
		D1:      h1.Mul(f.D1),
		D2:      h2.Mul(f.D1.Square()).Add(h1.Mul(f.D2)),
		Partial: f.Partial || !defined,
	}
}

// Fade is 6f⁵ - 15f⁴ + 10f³ for an f within 0..1, which rises from 0 to 1 with
// no slope and no bend at either end.
func (f Jet) Fade() Jet {
	at := func(t Interval) Interval {
		inner := t.Scale(6).Sub(Of(15)).Mul(t).Add(Of(10))
		return inner.Mul(t.Square().Mul(t))
	}
	low, high := at(Of(f.V.Lo)), at(Of(f.V.Hi))
	left := Of(1).Sub(f.V) // 1 - t; its slope is 30 t²(1-t)², its bend 60 t(1-t)(1-2t)
	slope := f.V.Mul(left).Square().Scale(30)
	bend := f.V.Mul(left).Mul(left.Sub(f.V)).Scale(60)
	return f.chain(Interval{low.Lo, high.Hi}, slope, bend, true)
}

// Within is f where it lies in low..low + 1, less low; false if it never does.
func (f Jet) Within(low float64) (Jet, bool) {
	if f.V.Hi < low || f.V.Lo > low+1 {
		return Jet{}, false
	}
	return Jet{Interval{max(0, f.V.Lo-low), min(1, f.V.Hi-low)}, f.D1, f.D2, f.Partial}, true
}

// Hull is f or g, both of which are as smooth where one gives way to the other.
func (f Jet) Hull(g Jet) Jet {
	return Jet{f.V.Hull(g.V), f.D1.Hull(g.D1), f.D2.Hull(g.D2), f.Partial || g.Partial}
}

// Abs is |f|.
func (f Jet) Abs() Jet {
	switch {
	case f.V.Lo >= 0:
		return f
	case f.V.Hi <= 0:
		return f.Neg()
	}
	return Jet{f.V.Abs(), f.D1.Hull(f.D1.Neg()), Entire(), f.Partial}
}

// Min is the smaller of f and g.
func (f Jet) Min(g Jet) Jet {
	switch {
	case f.Partial || g.Partial:
	case f.V.Hi <= g.V.Lo:
		return f
	case g.V.Hi <= f.V.Lo:
		return g
	}
	return Jet{f.V.Min(g.V), f.D1.Hull(g.D1), Entire(), f.Partial || g.Partial}
}

// Max is the larger of f and g.
func (f Jet) Max(g Jet) Jet { return f.Neg().Min(g.Neg()).Neg() }

// Clamp is f, but not below low and not above high.
func (f Jet) Clamp(low, high Jet) Jet { return f.Max(low).Min(high) }

// Floor is the greatest whole number that is not above f.
func (f Jet) Floor() Jet {
	return f.step(Interval{math.Floor(f.V.Lo), math.Floor(f.V.Hi)})
}

// Ceil is the least whole number that is not below f.
func (f Jet) Ceil() Jet {
	return f.step(Interval{math.Ceil(f.V.Lo), math.Ceil(f.V.Hi)})
}

// Round is the nearest whole number, whichever way halves go.
func (f Jet) Round() Jet {
	return f.step(Interval{math.Ceil(f.V.Lo - 0.5), math.Floor(f.V.Hi + 0.5)})
}

// Sign is -1, 0 or 1.
func (f Jet) Sign() Jet {
	return f.step(Interval{sign(f.V.Lo), sign(f.V.Hi)})
}

func sign(x float64) float64 {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}

// step is a function that is constant between jumps.
func (f Jet) step(v Interval) Jet {
	if v.IsPoint() {
		return Jet{V: v, Partial: f.Partial}
	}
	return Jet{V: v, D1: Entire(), D2: Entire(), Partial: f.Partial}
}

// Mod is f - g floor(f/g), the remainder that floors; it has no value where g is 0.
func (f Jet) Mod(g Jet) Jet {
	quotient := f.Div(g)
	turns := quotient.Floor()
	r := f.Sub(g.Mul(turns))
	r.Partial = quotient.Partial
	// The remainder lies between 0 and g.
	if bound := g.V.Hull(Interval{}); bound.Finite() && !g.Partial {
		r.V = r.V.intersect(bound)
	}
	return r
}

// Mix is f + (g - f) t.
func (f Jet) Mix(g, t Jet) Jet { return f.Add(g.Sub(f).Mul(t)) }

// Polar are the coordinates of the point at distance r and angle a in degrees.
func Polar(r, a Jet) (x, y Jet) {
	sin, cos := a.SinCosDegrees()
	return r.Mul(cos), r.Mul(sin)
}
