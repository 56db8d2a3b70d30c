package elementary

import "math"

// Radians to degrees, split so that head(radians)*degreeHead is exact.
const (
	degreePerRadian = 180 / math.Pi
	degreeHead      = 0x1.ca5dc18p+05 // 26 bits
	degreeTail      = 180/math.Pi - degreeHead
)

// atanKernel is the arc tangent of t+low in degrees, |t| <= 7/16, as an
// unevaluated sum.
func atanKernel(t, low float64) (float64, float64) {
	const (
		a0  = 3.33333333333329318027e-01
		a1  = -1.99999999998764832476e-01
		a2  = 1.42857142725034663711e-01
		a3  = -1.11111104054623557880e-01
		a4  = 9.09088713343650656196e-02
		a5  = -7.69187620504482999495e-02
		a6  = 6.66107313738753120669e-02
		a7  = -5.83357013379057348645e-02
		a8  = 4.97687799461593236017e-02
		a9  = -3.65315727442169155270e-02
		a10 = 1.62858201153657823623e-02
	)
	z := float64(t * t)
	w := float64(z * z)
	odd := float64(z * (a0 + float64(w*(a2+float64(w*(a4+float64(w*(a6+float64(w*(a8+float64(w*a10)))))))))))
	even := float64(w * (a1 + float64(w*(a3+float64(w*(a5+float64(w*(a7+float64(w*a9)))))))))
	// atan(t+low) = t - t*(odd+even) + low/(1+t^2), all but t small.
	rest := low - float64(low*z) - float64(t*(odd+even))
	h := head(t)
	p := float64(h * degreeHead)
	q := float64(h*degreeTail) + float64((t-h)*degreePerRadian) + float64(rest*degreePerRadian)
	return quickSum(p, q)
}

// Atan2Degrees is the direction of (x, y) in degrees, above -180 and up to
// 180. It is exact at multiples of 45 degrees, and a multiple of 15 degrees
// where y/x is its tangent rounded. At (0, 0) there is no direction: false.
func Atan2Degrees(y, x float64) (float64, bool) {
	ay, ax := math.Abs(y), math.Abs(x)
	if ay == 0 {
		switch {
		case x > 0:
			return 0, true
		case x < 0:
			return 180, true
		}
		return 0, false
	}
	// Keep sums and exact products of the two clear of over- and underflow.
	if m := max(ax, ay); m > 0x1p500 {
		ay, ax = float64(ay*0x1p-520), float64(ax*0x1p-520)
	} else if m < 0x1p-400 {
		ay, ax = float64(ay*0x1p600), float64(ax*0x1p600)
	}
	angle := firstQuadrant(ay, 0, ax, 0)
	if x < 0 {
		angle = 180 - angle
	}
	if y < 0 {
		angle = -angle
	}
	return angle, true
}

// firstQuadrant is the direction of (x+xLow, y+yLow) for x >= 0, y >= 0, not both 0.
func firstQuadrant(y, yLow, x, xLow float64) float64 {
	small, smallLow, large, largeLow := y, yLow, x, xLow
	if y > x {
		small, smallLow, large, largeLow = x, xLow, y, yLow
	}
	var high, low float64
	if small < float64(0.4375*large) {
		high, low = atanKernel(quotient(small, smallLow, large, largeLow))
	} else {
		// The angle to the diagonal, where tan(45°-a) = (large-small)/(large+small).
		difference, sum := large-small, large+small
		differenceLow := (large - difference) - small + (largeLow - smallLow)
		sumLow := small - (sum - large) + (largeLow + smallLow)
		h, l := atanKernel(quotient(difference, differenceLow, sum, sumLow))
		high, low = quickSum(45, -h)
		low -= l
	}
	if y > x {
		h, l := quickSum(90, -high)
		high, low = h, l-low
	}
	angle := high + low
	if nearest := multipleOf15(angle); nearest != angle {
		if tan, ok := TanDegrees(nearest); ok && y/x == tan {
			return nearest
		}
	}
	return angle
}

// coleg is √(1-x²) for 0 < x < 1 as an unevaluated sum.
func coleg(x float64) (high, low float64) {
	square, squareLow := product(x, x)
	rest := 1 - square
	restLow := ((1 - rest) - square) - squareLow
	root := math.Sqrt(rest)
	p, e := product(root, root)
	return root, (((rest - p) - e) + restLow) / float64(2*root)
}

// multipleOf15 is the multiple of 15 degrees within two units of the last
// place, or the angle itself: the candidate for an exact answer.
func multipleOf15(angle float64) float64 {
	nearest := float64(math.Floor(angle/15+0.5) * 15)
	if math.Abs(nearest-angle) < 4e-14 {
		return nearest
	}
	return angle
}

// AsinDegrees is the angle between -90 and 90 degrees whose sine is x; false
// outside -1..1. Where SinDegrees of a multiple of 15 degrees gives x, it is
// that multiple.
func AsinDegrees(x float64) (float64, bool) {
	if !(-1 <= x && x <= 1) {
		return 0, false
	}
	angle := arcSine(math.Abs(x))
	if x < 0 {
		angle = -angle
	}
	return angle, true
}

// arcSine is AsinDegrees for 0 <= x <= 1.
func arcSine(x float64) float64 {
	switch x {
	case 0:
		return 0
	case 1:
		return 90
	}
	cos, cosLow := coleg(x)
	angle := firstQuadrant(x, 0, cos, cosLow)
	if nearest := multipleOf15(angle); nearest != angle && SinDegrees(nearest) == x {
		return nearest
	}
	return angle
}

// AcosDegrees is the angle between 0 and 180 degrees whose cosine is x; false
// outside -1..1. Where CosDegrees of a multiple of 15 degrees gives x, it is
// that multiple.
func AcosDegrees(x float64) (float64, bool) {
	if !(-1 <= x && x <= 1) {
		return 0, false
	}
	angle := arcCosine(math.Abs(x))
	if x < 0 {
		angle = 180 - angle
	}
	return angle, true
}

// arcCosine is AcosDegrees for 0 <= x <= 1.
func arcCosine(x float64) float64 {
	switch x {
	case 0:
		return 90
	case 1:
		return 0
	}
	sin, sinLow := coleg(x)
	angle := firstQuadrant(sin, sinLow, x, 0)
	if nearest := multipleOf15(angle); nearest != angle && CosDegrees(nearest) == x {
		return nearest
	}
	return angle
}
