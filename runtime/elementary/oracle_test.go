package elementary

import (
	"math"
	"math/big"
)

// The oracle: the same functions by their series in 320-bit arithmetic.

const precision = 320

func newFloat(x float64) *big.Float {
	return new(big.Float).SetPrec(precision).SetFloat64(x)
}

func empty() *big.Float { return new(big.Float).SetPrec(precision) }

func mustFloat(text string) *big.Float {
	f, _, err := big.ParseFloat(text, 10, precision, big.ToNearestEven)
	if err != nil {
		panic(err)
	}
	return f
}

// Digits of the constants: OEIS A000796 and A002162.
var (
	bigPi  = mustFloat("3.14159265358979323846264338327950288419716939937510582097494459230781640628620899862803482534211706798214808651")
	bigLn2 = mustFloat("0.69314718055994530941723212145817656807550013436025525412068000949339362196969471560586332699641868754200148102")
)

func mul(x, y *big.Float) *big.Float { return empty().Mul(x, y) }
func add(x, y *big.Float) *big.Float { return empty().Add(x, y) }
func sub(x, y *big.Float) *big.Float { return empty().Sub(x, y) }
func div(x, y *big.Float) *big.Float { return empty().Quo(x, y) }

// sumSeries adds terms, each made from the one before, until they no longer count.
func sumSeries(first *big.Float, next func(k int, last *big.Float) *big.Float) *big.Float {
	sum, term := empty().Set(first), first
	for k := 1; ; k++ {
		term = next(k, term)
		if term.Sign() == 0 || term.MantExp(nil) < -2*precision ||
			sum.Sign() != 0 && term.MantExp(nil) < sum.MantExp(nil)-precision {
			return sum
		}
		sum = add(sum, term)
	}
}

// bigSin and bigCos are for angles in degrees; the reduction is exact.
func bigSin(degrees float64) *big.Float { return bigWave(degrees, 1) }
func bigCos(degrees float64) *big.Float { return bigWave(degrees, 0) }

func bigWave(degrees float64, first int) *big.Float {
	x := div(mul(newFloat(math.Mod(degrees, 360)), bigPi), newFloat(180))
	square := mul(x, x)
	start := newFloat(1)
	if first == 1 {
		start = x
	}
	return sumSeries(start, func(k int, last *big.Float) *big.Float {
		n := 2*k + first
		return div(mul(last, empty().Neg(square)), newFloat(float64(n*(n-1))))
	})
}

// bigAtan2 is the direction of (x, y), x > 0, y > 0, in degrees.
func bigAtan2(y, x *big.Float) *big.Float {
	t := div(y, x)
	const halvings = 8
	for range halvings {
		t = div(t, add(newFloat(1), empty().Sqrt(add(newFloat(1), mul(t, t)))))
	}
	square := empty().Neg(mul(t, t))
	power := t
	sum := empty().Set(t)
	for n := 3; power.MantExp(nil) > t.MantExp(nil)-precision; n += 2 {
		power = mul(power, square)
		sum = add(sum, div(power, newFloat(float64(n))))
	}
	return div(mul(mul(sum, newFloat(1<<halvings)), newFloat(180)), bigPi)
}

func bigExp(x *big.Float) *big.Float {
	const halvings = 16
	small := div(x, newFloat(1<<halvings))
	r := sumSeries(newFloat(1), func(k int, last *big.Float) *big.Float {
		return div(mul(last, small), newFloat(float64(k)))
	})
	for range halvings {
		r = mul(r, r)
	}
	return r
}

func bigLog(x float64) *big.Float {
	fraction, exponent := math.Frexp(x)
	m := newFloat(fraction)
	s := div(sub(m, newFloat(1)), add(m, newFloat(1)))
	square, power, sum := mul(s, s), s, empty().Set(s)
	for n := 3; power.Sign() != 0 && power.MantExp(nil) > -precision-60; n += 2 {
		power = mul(power, square)
		sum = add(sum, div(power, newFloat(float64(n))))
	}
	return add(mul(sum, newFloat(2)), mul(bigLn2, newFloat(float64(exponent))))
}

// ulpsFrom is the distance of got from want in units of the last place of want
// rounded to a float64.
func ulpsFrom(got float64, want *big.Float) float64 {
	rounded, _ := want.Float64()
	_, e := math.Frexp(rounded)
	unit := math.Ldexp(1, max(e-53, -1074))
	d, _ := div(sub(newFloat(got), want), newFloat(unit)).Float64()
	return math.Abs(d)
}
