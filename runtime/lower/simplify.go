package lower

import (
	"context"
	"math"
	"runtime"
	"sync"

	"wend/runtime/geom"
)

// chunk is how many vertices are simplified by themselves. Chunks meet in a
// vertex that is always kept, so the result does not depend on how many cores
// share the work.
const chunk = 1 << 15

// frechetShare: vertices are left out while they lie within a wedge and come
// ever farther from its tip. Along the chord they may then step back by at
// most the tolerance t, so chord and line are within √(t² + (t/2)²) = 1.118 t
// of each other all along (Fréchet distance).
const frechetShare = 1 / 1.119

// simplify chooses the vertices to keep, in order, such that the line through
// them is everywhere within toleranceMM of the line through all. The first,
// the last and all pinned vertices (in order) are kept. Every tip of a
// reversal is kept too, since there the distance from the chord's start falls.
//
// From each kept vertex a wedge of directions is narrowed to those whose ray
// passes every vertex so far within the tolerance; when the next vertex falls
// outside, the one before is kept. The cost is linear.
func simplify(ctx context.Context, points []geom.Point, pinned []int, toleranceMM float64) ([]int32, error) {
	n := len(points)
	if n < 2 {
		return make([]int32, n), ctx.Err()
	}
	kept := make([]int32, n)
	counts := make([]int, (n-2)/chunk+1)
	inParallel(len(counts), func(c int) {
		if ctx.Err() != nil {
			return
		}
		from, to := c*chunk, min((c+1)*chunk, n-1)
		part := simplifyPart(kept[from+1:from+1], points, from, to, pinnedIn(pinned, from, to), toleranceMM*frechetShare)
		counts[c] = len(part)
	})
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	// Each part stands where it would if no vertex were left out.
	total := 1
	for c, count := range counts {
		total += copy(kept[total:], kept[c*chunk+1:][:count])
	}
	return kept[:total], nil
}

func pinnedIn(pinned []int, from, to int) []int {
	first := 0
	for first < len(pinned) && pinned[first] <= from {
		first++
	}
	last := first
	for last < len(pinned) && pinned[last] < to {
		last++
	}
	return pinned[first:last]
}

// simplifyPart adds the vertices kept after from, up to and with to.
func simplifyPart(kept []int32, points []geom.Point, from, to int, pinned []int, t float64) []int32 {
	t2 := float64(t * t)
	for anchor := from; anchor < to; {
		limit := to
		for len(pinned) > 0 && pinned[0] <= anchor {
			pinned = pinned[1:]
		}
		if len(pinned) > 0 {
			limit = pinned[0]
		}
		tip := points[anchor]
		end := anchor + 1
		// left and right bound the directions allowed so far; open while every
		// vertex lies within the tolerance of the tip.
		var left, right geom.Point
		open := true
		reached := 0.0
		for k := anchor + 1; k <= limit; k++ {
			x, y := points[k].X-tip.X, points[k].Y-tip.Y
			d2 := float64(x*x) + float64(y*y)
			if k > anchor+1 {
				if d2 < reached || !open && (float64(left.X*y)-float64(left.Y*x) > 0 || float64(right.X*y)-float64(right.Y*x) < 0) {
					break
				}
				// A wedge without width is a line, which also leads the other way.
				if !open && float64(left.X*x)+float64(left.Y*y) < 0 {
					break
				}
			}
			end, reached = k, d2
			if d2 <= t2 {
				continue
			}
			c := math.Sqrt(d2 - t2)
			l := geom.Point{X: float64(x*c) - float64(y*t), Y: float64(x*t) + float64(y*c)}
			r := geom.Point{X: float64(x*c) + float64(y*t), Y: float64(y*c) - float64(x*t)}
			if open {
				left, right, open = l, r, false
				continue
			}
			if left.Cross(l) < 0 {
				left = l
			}
			if right.Cross(r) > 0 {
				right = r
			}
		}
		kept = append(kept, int32(end))
		anchor = end
	}
	return kept
}

// inParallel runs do(0) … do(n-1), shared among the cores.
func inParallel(n int, do func(int)) {
	workers := min(n, runtime.GOMAXPROCS(0))
	if workers <= 1 {
		for i := range n {
			do(i)
		}
		return
	}
	var group sync.WaitGroup
	for w := range workers {
		group.Go(func() {
			for i := w; i < n; i += workers {
				do(i)
			}
		})
	}
	group.Wait()
}
