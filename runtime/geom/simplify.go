package geom

// balancedFrom is the number of points from which a stretch must not be split
// near its ends.
const balancedFrom = 128

// Simplify picks the points of a line that keep it within tolerance mm of
// every point left out, and returns their indices in order: always the first
// and the last (Douglas & Peucker 1973, with distances from the segment, not
// from its line, so that spikes and way back stay).
//
// The published method takes n²/2 steps on lines that always split near an
// end, such as spirals. Here a long stretch whose farthest point lies in its
// first or last sixteenth is split at the farthest point of its middle half
// instead, which may keep a few points more and bounds the work by some
// n log n + 64 n steps.
func Simplify(points []Point, tolerance float64) []int {
	if len(points) == 0 {
		return nil
	}
	kept := []int{0}
	if len(points) == 1 {
		return kept
	}
	// Ends of the stretches still to do, the next on top; each begins at the
	// last point kept.
	ends := []int{len(points) - 1}
	for len(ends) > 0 {
		from, to := kept[len(kept)-1], ends[len(ends)-1]
		at, away := farthest(points, from, to, from+1, to)
		if !(away > tolerance) {
			kept = append(kept, to)
			ends = ends[:len(ends)-1]
			continue
		}
		if span := to - from; span >= balancedFrom && (at-from < span/16 || to-at < span/16) {
			at, _ = farthest(points, from, to, from+span/4, to-span/4)
		}
		ends = append(ends, at)
	}
	return kept
}

// farthest is the first of the points low..high-1 that is farthest from the
// segment between points from and to, and its distance.
func farthest(points []Point, from, to, low, high int) (at int, away float64) {
	a, b := points[from], points[to]
	at, away = low, -1
	for i := low; i < high; i++ {
		if d := SegmentDistance(a, b, points[i]); d > away {
			at, away = i, d
		}
	}
	return at, away
}

// Simplified is the line through the points that Simplify keeps.
func Simplified(points []Point, tolerance float64) []Point {
	kept := Simplify(points, tolerance)
	simple := make([]Point, len(kept))
	for i, k := range kept {
		simple[i] = points[k]
	}
	return simple
}
