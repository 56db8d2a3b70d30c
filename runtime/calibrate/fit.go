package calibrate

import "math"

// What a reading may be off by. A person with a ruler on glass reads a length
// to a few tenths of a millimetre: the mark is as wide as the line, and the
// glass stands off the line (a figure of ours, no source).
const (
	readingSigmaMM = 0.3
	// tooSigmas is how many standard deviations a reading may be off before it
	// does not fit with the others: one good reading in 370 is doubted for
	// nothing, and it costs one more look.
	tooSigmas = 3.0
	// boundSigmas is how many standard deviations a stated bound is wide: 2.5
	// hold 98.8 of 100 (normal distribution), which leaves room for a wrong
	// reading that nobody could see.
	boundSigmas = 2.5
	// doubtMM is from where on two readings of the same length do not fit.
	doubtMM = tooSigmas * readingSigmaMM * math.Sqrt2
)

// mostOdd is how many readings are left out at most.
const mostOdd = 6

// row is one thing that is known: value = Σ of × unknown, give or take sigma.
type row struct {
	of           [2]float64
	value, sigma float64
	item         int // what was read; known for what was found before
}

// known is the item of a row that comes from an earlier part.
const known = -1

// fitted is what follows from rows: the unknowns, how far each may be off, and
// which rows do not fit with the others.
type fitted struct {
	unknown, bound [2]float64
	odd            []bool
}

// sums are the normal equations of least squares.
type sums struct {
	a, b, d float64 // Σ w x², Σ w x y, Σ w y²
	u, v    float64 // Σ w x z, Σ w y z
	zz      float64 // Σ w z²
}

func (s *sums) add(r row, times float64) {
	w := times / float64(r.sigma*r.sigma)
	s.a += float64(w * float64(r.of[0]*r.of[0]))
	s.b += float64(w * float64(r.of[0]*r.of[1]))
	s.d += float64(w * float64(r.of[1]*r.of[1]))
	s.u += float64(w * float64(r.of[0]*r.value))
	s.v += float64(w * float64(r.of[1]*r.value))
	s.zz += float64(w * float64(r.value*r.value))
}

// solve gives the unknowns, the diagonal of their covariance, and what is left
// of the squares. Without a second unknown, the first stands alone.
func (s *sums) solve(unknowns int) (at, variance [2]float64, rest float64, ok bool) {
	if unknowns == 1 {
		if s.a <= 0 {
			return at, variance, 0, false
		}
		at[0], variance[0] = s.u/s.a, 1/s.a
		return at, variance, max(0, s.zz-float64(s.u*at[0])), true
	}
	det := float64(s.a*s.d) - float64(s.b*s.b)
	if det <= 1e-9*s.a*s.d {
		return at, variance, 0, false
	}
	at[0] = (float64(s.d*s.u) - float64(s.b*s.v)) / det
	at[1] = (float64(s.a*s.v) - float64(s.b*s.u)) / det
	variance[0], variance[1] = s.d/det, s.a/det
	return at, variance, max(0, s.zz-float64(s.u*at[0])-float64(s.v*at[1])), true
}

// fit finds the unknowns by least squares over the rows that fit together. Each
// row that is left out costs as much as one that is off by tooSigmas, and all
// ways to leave out up to half of them are tried: with a dozen readings that is
// quick, and no wrong reading can hide another (truncated least squares;
// Rousseeuw and Leroy, Robust Regression and Outlier Detection, 1987, chapter 1
// has the idea; from memory).
func fit(unknowns int, rows []row) fitted {
	var all sums
	for _, r := range rows {
		all.add(r, 1)
	}
	out := make([]bool, len(rows))
	best := fitted{odd: make([]bool, len(rows))}
	least := math.Inf(1)
	var try func(from, left, gone int)
	try = func(from, left, gone int) {
		if at, variance, rest, ok := all.solve(unknowns); ok {
			if cost := rest + float64(tooSigmas*tooSigmas*float64(gone)); cost < least-1e-9 {
				least = cost
				copy(best.odd, out)
				best.unknown = at
				// Readings that differ more than they should make the bound wider.
				wider := 1.0
				if free := len(rows) - gone - unknowns; free > 0 {
					wider = max(1, math.Sqrt(rest/float64(free)))
				}
				for i := range unknowns {
					best.bound[i] = boundSigmas * wider * math.Sqrt(variance[i])
				}
			}
		}
		if left == 0 {
			return
		}
		// The latest first: of two that differ, the one before was there already.
		for i := from; i >= 0; i-- {
			saved := all
			all.add(rows[i], -1)
			out[i] = true
			try(i-1, left-1, gone+1)
			out[i] = false
			all = saved
		}
	}
	try(len(rows)-1, min(mostOdd, max(min(1, len(rows)-unknowns), len(rows)/2)), 0)
	return best
}

// expects is what a row would say by the others.
func (f *fitted) expects(r row) float64 {
	return float64(r.of[0]*f.unknown[0]) + float64(r.of[1]*f.unknown[1])
}
