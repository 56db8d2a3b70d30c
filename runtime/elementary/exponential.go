package elementary

import "math"

// The natural logarithm of 2 in two parts: the product of ln2High with an
// exponent is exact.
const (
	ln2High = 6.93147180369123816490e-01
	ln2Low  = 1.90821492927058770002e-10
)

// Exp is e^x; false where it is too large for a float64, above about 709.78.
func Exp(x float64) (float64, bool) {
	switch {
	case x > 7.09782712893383973096e+02:
		return 0, false
	case x < -7.45133219101941108420e+02:
		return 0, true
	case -0x1p-28 < x && x < 0x1p-28:
		return 1 + x, true
	}
	k := math.Floor(float64(x*math.Log2E) + 0.5)
	high := x - float64(k*ln2High)
	low := float64(k * ln2Low)
	return expReduced(high, low, int(k)), true
}

// expReduced is e^(high-low) times 2^k, |high-low| <= ln(2)/2.
func expReduced(high, low float64, k int) float64 {
	const (
		p1 = 1.66666666666666657415e-01
		p2 = -2.77777777770155933842e-03
		p3 = 6.61375632143793436117e-05
		p4 = -1.65339022054652515390e-06
		p5 = 4.13813679705723846039e-08
	)
	r := high - low
	t := float64(r * r)
	c := r - float64(t*(p1+float64(t*(p2+float64(t*(p3+float64(t*(p4+float64(t*p5)))))))))
	y := 1 - ((low - float64(r*c)/(2-c)) - high)
	return scale(y, k)
}

// Log is the natural logarithm of x; false unless x is above 0.
func Log(x float64) (float64, bool) {
	const (
		l1 = 6.666666666666735130e-01
		l2 = 3.999999999940941908e-01
		l3 = 2.857142874366239149e-01
		l4 = 2.222219843214978396e-01
		l5 = 1.818357216161805012e-01
		l6 = 1.531383769920937332e-01
		l7 = 1.479819860511658591e-01
	)
	if !(x > 0) {
		return 0, false
	}
	fraction, exponent := math.Frexp(x)
	if fraction < math.Sqrt2/2 {
		fraction = float64(fraction * 2)
		exponent--
	}
	f := fraction - 1
	k := float64(exponent)
	s := f / (2 + f)
	s2 := float64(s * s)
	s4 := float64(s2 * s2)
	t1 := float64(s2 * (l1 + float64(s4*(l3+float64(s4*(l5+float64(s4*l7)))))))
	t2 := float64(s4 * (l2 + float64(s4*(l4+float64(s4*l6)))))
	half := float64(float64(0.5*f) * f)
	correction := float64(s*(half+(t1+t2))) + float64(k*ln2Low)
	return float64(k*ln2High) - ((half - correction) - f), true
}
