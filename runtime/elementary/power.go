package elementary

import "math"

// Pow is x^y. It is exact wherever the exact value is a float64 and y a whole
// number up to 64 in size, and for y = 0.5 the square root. Anything to the 0
// is 1. False where there is no finite real value: 0 to a negative power, a
// negative number to a fraction, and results too large for a float64.
func Pow(x, y float64) (float64, bool) {
	switch {
	case y == 0 || x == 1:
		return 1, true
	case y == 1:
		return x, true
	case y == 2:
		return checked(float64(x * x))
	case y == 0.5:
		if x < 0 {
			return 0, false
		}
		return math.Sqrt(x), true
	case x == 0:
		return 0, y > 0
	}
	whole := math.Floor(y) == y
	if whole && math.Abs(y) <= 64 {
		if r, ok := wholePower(x, int(y)); ok {
			return r, true
		}
	}
	if x < 0 && !whole {
		return 0, false
	}
	r := power(math.Abs(x), y)
	// A float64 from 2^53 up is even.
	if x < 0 && math.Abs(y) < 0x1p53 && int64(y)&1 != 0 {
		r = -r
	}
	return checked(r)
}

func checked(x float64) (float64, bool) {
	if !finite(x) {
		return 0, false
	}
	return x, true
}

// wholePower multiplies in twice the precision. It gives up, with false, when
// an intermediate product comes near the ends of the exponent range.
func wholePower(x float64, n int) (float64, bool) {
	k := n
	if k < 0 {
		k = -k
	}
	resultHigh, resultLow := 1.0, 0.0
	squareHigh, squareLow := x, 0.0
	for {
		if k&1 != 0 {
			resultHigh, resultLow = doubleProduct(resultHigh, resultLow, squareHigh, squareLow)
		}
		if k >>= 1; k == 0 {
			break
		}
		squareHigh, squareLow = doubleProduct(squareHigh, squareLow, squareHigh, squareLow)
	}
	for _, v := range [2]float64{resultHigh, squareHigh} {
		if v = math.Abs(v); !(0x1p-900 < v && v < 0x1p900) {
			return 0, false
		}
	}
	if n < 0 {
		resultHigh, resultLow = quotient(1, 0, resultHigh, resultLow)
	}
	return resultHigh + resultLow, true
}

// doubleProduct is (ah+al)*(bh+bl) to about 104 bits.
func doubleProduct(ah, al, bh, bl float64) (high, low float64) {
	p, e := product(ah, bh)
	return quickSum(p, e+(float64(ah*bl)+float64(al*bh)))
}

// power is x^y for finite x > 0, x != 1, y != 0: the logarithm to base 2 in
// two parts, times y, and back. It overflows to infinity.
func power(x, y float64) float64 {
	lh, ll := log2(x)
	// No result is finite and above 0 beyond this; it also keeps y*lh in range.
	if math.Abs(float64(y*lh)) > 2200 {
		if (y > 0) == (lh > 0) {
			return math.Inf(1)
		}
		return 0
	}
	yh := head(y)
	// lh has at most 21 bits and yh 26, so yh*lh is exact.
	low := float64((y-yh)*lh) + float64(y*ll)
	high := float64(yh * lh)
	return exp2(high, low)
}

// log2 is the logarithm to base 2 as an unevaluated sum; the first part has at most 21 bits.
func log2(x float64) (high, low float64) {
	const (
		l1 = 5.99999999999994648725e-01
		l2 = 4.28571428578550184252e-01
		l3 = 3.33333329818377432918e-01
		l4 = 2.72728123808534006489e-01
		l5 = 2.30660745775561754067e-01
		l6 = 2.06975017800338417784e-01

		cp     = 9.61796693925975554329e-01 // 2/(3 ln 2)
		cpHigh = 9.61796700954437255859e-01
		cpLow  = -7.02846165095275826516e-09

		log2of1_5High = 5.84962487220764160156e-01
		log2of1_5Low  = 1.35003920212974897128e-08
	)
	fraction, exponent := math.Frexp(x)
	fraction, exponent = float64(fraction*2), exponent-1 // 1 <= fraction < 2
	base, baseHigh, baseLow := 1.0, 0.0, 0.0
	switch {
	case fraction >= 1.7320508075688772: // nearer to 2
		fraction, exponent = fraction/2, exponent+1
	case fraction >= 1.2247448713915890: // nearer to 1.5
		base, baseHigh, baseLow = 1.5, log2of1_5High, log2of1_5Low
	}
	// s = (fraction-base)/(fraction+base) in two parts.
	u := fraction - base
	v := 1 / (fraction + base)
	s := float64(u * v)
	sh := clear32(s)
	th := clear32(fraction + base)
	tl := fraction - (th - base)
	sl := float64(v * ((u - float64(sh*th)) - float64(sh*tl)))
	// log(fraction/base) = 2s + 2s^3/3 + ...
	s2 := float64(s * s)
	r := float64(float64(s2*s2) * (l1 + float64(s2*(l2+float64(s2*(l3+float64(s2*(l4+float64(s2*(l5+float64(s2*l6)))))))))))
	r += float64(sl * (sh + s))
	s2 = float64(sh * sh)
	th = clear32(3 + s2 + r)
	tl = r - ((th - 3) - s2)
	u = float64(sh * th)
	v = float64(sl*th) + float64(tl*s)
	ph := clear32(u + v)
	pl := v - (ph - u)
	zh := float64(cpHigh * ph)
	zl := float64(cpLow*ph) + float64(pl*cp) + baseLow
	t := float64(exponent)
	high = clear32(((zh + zl) + baseHigh) + t)
	low = zl - (((high - t) - baseHigh) - zh)
	return high, low
}

// clear32 is x with the lower 32 bits cleared, which leaves 21 of significand.
func clear32(x float64) float64 {
	return math.Float64frombits(math.Float64bits(x) &^ 0xffffffff)
}

// exp2 is 2^(high+low), |high+low| below some thousands. It overflows to infinity.
func exp2(high, low float64) float64 {
	const (
		ln2Head = 6.93147182464599609375e-01
		ln2Tail = -1.90465429995776804525e-09

		p1 = 1.66666666666666019037e-01
		p2 = -2.77777777770155933842e-03
		p3 = 6.61375632143793436117e-05
		p4 = -1.65339022054652515390e-06
		p5 = 4.13813679705723846039e-08
	)
	sum := high + low
	if sum >= 1025 {
		return math.Inf(1)
	}
	if sum < -1080 {
		return 0
	}
	k := math.Floor(sum + 0.5)
	high -= k
	t := clear32(high + low)
	u := float64(t * ln2Head)
	v := float64((low-(t-high))*math.Ln2) + float64(t*ln2Tail)
	z := u + v
	w := v - (z - u)
	t = float64(z * z)
	t1 := z - float64(t*(p1+float64(t*(p2+float64(t*(p3+float64(t*(p4+float64(t*p5)))))))))
	r := float64(z*t1)/(t1-2) - (w + float64(z*w))
	return scale(1-(r-z), int(k))
}
