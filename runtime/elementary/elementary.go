// Package elementary holds the elementary functions of wend in float64: the
// same bits on every processor.
//
// The standard mathematics library has assembly for some processors, and the
// compiler may fuse x*y + z into one rounding where the processor can, so the
// last bit of a sine differs between machines. Here everything is Go over
// additions, products, quotients and square roots, which IEEE 754 rounds alike
// everywhere, and every product is converted explicitly, which the Go
// specification says forbids fusing it.
//
// Angles are degrees. Reduction to one turn is exact for every finite angle,
// so SinDegrees(360e9) is 0 and SinDegrees(30) is 0.5, to the bit.
//
// Arguments must be finite. Functions that can leave the finite numbers return
// a second result, false when there is no value; none returns NaN or infinity.
// Errors stay below 0.9 units in the last place for angles, their functions
// and Pow, and below 1 for Exp and Log (measured against 320-bit arithmetic by
// the tests).
//
// The polynomials of the kernels, Exp, Log and Pow are those of FreeBSD's
// msun, under this notice:
//
//	Copyright (C) 1993, 2004 by Sun Microsystems, Inc. All rights reserved.
//	Permission to use, copy, modify, and distribute this
//	software is freely granted, provided that this notice
//	is preserved.
package elementary

import "math"

// Pi is the ratio of a circle's circumference to its diameter.
const Pi = math.Pi

// headMask keeps the upper 26 bits of a significand, so that the product of
// two heads is exact.
const headMask = 0xffffffff_f8000000

// head is x with the lower 27 bits of its significand cleared; x - head(x) is exact.
func head(x float64) float64 {
	return math.Float64frombits(math.Float64bits(x) & headMask)
}

// product is x*y as an unevaluated sum, exact but for underflow (Dekker 1971).
func product(x, y float64) (high, low float64) {
	high = float64(x * y)
	xh, yh := head(x), head(y)
	xl, yl := x-xh, y-yh
	low = ((float64(xh*yh) - high) + float64(xh*yl) + float64(xl*yh)) + float64(xl*yl)
	return high, low
}

// quickSum is high+low as an unevaluated sum, for |high| >= |low| (Dekker 1971).
func quickSum(high, low float64) (float64, float64) {
	sum := high + low
	return sum, low - (sum - high)
}

// finite reports whether x is neither NaN nor infinite.
func finite(x float64) bool { return x-x == 0 }

// scale is x times 2^k, rounded once even where the result is subnormal; k
// lies within what one and a half exponent ranges can hold.
func scale(x float64, k int) float64 {
	switch {
	case k > 1023:
		return float64(float64(x*0x1p1023) * powerOfTwo(min(k-1023, 1023)))
	case k < -1022:
		// A result in the subnormal range is reached by one multiplication only.
		return float64(float64(x*0x1p-969) * powerOfTwo(max(k+969, -1022)))
	}
	return float64(x * powerOfTwo(k))
}

// powerOfTwo is 2^k for -1022 <= k <= 1023.
func powerOfTwo(k int) float64 { return math.Float64frombits(uint64(k+1023) << 52) }
