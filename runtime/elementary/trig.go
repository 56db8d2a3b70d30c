package elementary

import "math"

// Degrees to radians, split so that head(degrees)*radianHead is exact:
// radianHead + radianTail is π/180 to some 79 bits.
const (
	radianPerDegree = math.Pi / 180
	radianHead      = 0x1.1df46ap-06 // 26 bits
	radianTail      = math.Pi/180 - radianHead
)

// quadrant splits an angle into a multiple of 90 degrees, of which the last
// two bits count, and a rest of at most 45 degrees. Both are exact.
func quadrant(degrees float64) (n int, rest float64) {
	if -45 <= degrees && degrees <= 45 {
		return 0, degrees
	}
	if degrees < -1e9 || degrees > 1e9 {
		degrees = math.Mod(degrees, 360)
	}
	// 90*turns is an integer below 2^53, and the difference of two doubles that
	// is no larger than either and no finer than their last places is exact.
	turns := math.Floor(degrees/90 + 0.5)
	return int(turns) & 3, degrees - float64(turns*90)
}

// radians converts |degrees| <= 45 to an unevaluated sum in radians.
func radians(degrees float64) (high, low float64) {
	h := head(degrees)
	l := degrees - h
	p := float64(h * radianHead)
	q := float64(h*radianTail) + float64(l*radianPerDegree)
	return quickSum(p, q)
}

// sinKernel is the sine of x+y radians, |x| <= π/4, as an unevaluated sum.
func sinKernel(x, y float64) (high, low float64) {
	const (
		s1 = -1.66666666666666324348e-01
		s2 = 8.33333333332248946124e-03
		s3 = -1.98412698298579493134e-04
		s4 = 2.75573137070700676789e-06
		s5 = -2.50507602534068634195e-08
		s6 = 1.58969099521155010221e-10
	)
	z := float64(x * x)
	v := float64(z * x)
	r := s2 + float64(z*(s3+float64(z*(s4+float64(z*(s5+float64(z*s6)))))))
	c := float64(v*s1) + (float64(z*(float64(v*r)-float64(0.5*y))) + y)
	return quickSum(x, c)
}

// cosKernel is the cosine of x+y radians, |x| <= π/4, as an unevaluated sum.
func cosKernel(x, y float64) (high, low float64) {
	const (
		c1 = 4.16666666666666019037e-02
		c2 = -1.38888888888741095749e-03
		c3 = 2.48015872894767294178e-05
		c4 = -2.75573143513906633035e-07
		c5 = 2.08757232129817482790e-09
		c6 = -1.13596475577881948265e-11
	)
	z := float64(x * x)
	r := float64(z * (c1 + float64(z*(c2+float64(z*(c3+float64(z*(c4+float64(z*(c5+float64(z*c6)))))))))))
	half := float64(0.5 * z)
	w := 1 - half
	return quickSum(w, ((1-w)-half)+(float64(z*r)-float64(x*y)))
}

// sinRest and cosRest are sine and cosine of |degrees| <= 45.
func sinRest(degrees float64) float64 {
	// The only angle below 45 degrees but 0 whose sine is rational (Niven).
	if degrees == 30 || degrees == -30 {
		return degrees / 60
	}
	s, _ := sinKernel(radians(degrees))
	return s
}

func cosRest(degrees float64) float64 {
	c, _ := cosKernel(radians(degrees))
	return c
}

// SinDegrees is the sine of an angle, exact at multiples of 30 degrees where
// the value is 0, ±0.5 or ±1; there is no negative zero.
func SinDegrees(degrees float64) float64 {
	n, rest := quadrant(degrees)
	var s float64
	if n&1 == 0 {
		s = sinRest(rest)
	} else {
		s = cosRest(rest)
	}
	if n&2 != 0 {
		s = -s
	}
	return s + 0
}

// CosDegrees is the cosine of an angle, exact where the value is 0, ±0.5 or ±1.
func CosDegrees(degrees float64) float64 {
	n, rest := quadrant(degrees)
	var c float64
	if n&1 == 0 {
		c = cosRest(rest)
	} else {
		c = sinRest(rest)
	}
	if (n+1)&2 != 0 {
		c = -c
	}
	return c + 0
}

// SinCosDegrees is SinDegrees and CosDegrees together, to the same bits.
func SinCosDegrees(degrees float64) (sin, cos float64) {
	n, rest := quadrant(degrees)
	x, y := radians(rest)
	sin, _ = sinKernel(x, y)
	if rest == 30 || rest == -30 {
		sin = rest / 60
	}
	cos, _ = cosKernel(x, y)
	if n&1 != 0 {
		sin, cos = cos, sin
	}
	if n&2 != 0 {
		sin = -sin
	}
	if (n+1)&2 != 0 {
		cos = -cos
	}
	return sin + 0, cos + 0
}

// TanDegrees is the tangent of an angle, exact at multiples of 45 degrees;
// false at odd multiples of 90, where there is none.
func TanDegrees(degrees float64) (float64, bool) {
	n, rest := quadrant(degrees)
	switch {
	case rest == 0:
		return 0, n&1 == 0
	case rest == 45 || rest == -45:
		if n&1 != 0 {
			rest = -rest
		}
		return rest / 45, true
	}
	x, y := radians(rest)
	sh, sl := sinKernel(x, y)
	ch, cl := cosKernel(x, y)
	if n&1 != 0 {
		sh, sl, ch, cl = ch, cl, -sh, -sl
	}
	q, r := quotient(sh, sl, ch, cl)
	return q + r, true
}

// quotient is (nh+nl)/(dh+dl) as a sum whose second part is a correction.
func quotient(nh, nl, dh, dl float64) (high, low float64) {
	q := nh / dh
	p, e := product(q, dh)
	return q, (((nh - p) - e) + nl - float64(q*dl)) / dh
}
