package geom

import (
	"math"
	"slices"
	"sort"
)

// Length is the length of the line through points, in mm.
func Length(points []Point) float64 {
	sum := 0.0
	for i := 1; i < len(points); i++ {
		sum += points[i-1].Distance(points[i])
	}
	return sum
}

// Closed reports whether the line ends where it starts and goes somewhere between.
func Closed(points []Point) bool {
	return len(points) > 2 && points[0].Distance(points[len(points)-1]) <= SamePoint
}

// Reversed is the line from its end to its start.
func Reversed(points []Point) []Point {
	r := slices.Clone(points)
	slices.Reverse(r)
	return r
}

// WithoutRepeats drops points that are the same as the one kept before them.
func WithoutRepeats(points []Point) []Point {
	kept := make([]Point, 0, len(points))
	for i, p := range points {
		if i == 0 || p.Distance(kept[len(kept)-1]) > SamePoint {
			kept = append(kept, p)
		}
	}
	return kept
}

// Measured is a line with the length up to each of its points, for many
// questions about places along it. It shares the points.
type Measured struct {
	points []Point
	upTo   []float64
}

// Measure makes a Measured line of at least one point.
func Measure(points []Point) Measured {
	upTo := make([]float64, len(points))
	for i := 1; i < len(points); i++ {
		upTo[i] = upTo[i-1] + points[i-1].Distance(points[i])
	}
	return Measured{points, upTo}
}

// Spot is a place on a line.
type Spot struct {
	Point   Point
	Segment int     // from which point of the line it lies on towards the next
	Share   float64 // how far along that segment, 0..1
	Along   float64 // mm from the start of the line
}

// Length is the whole length, in mm.
func (m Measured) Length() float64 { return m.upTo[len(m.upTo)-1] }

// Spot is the place mm from the start; before it is the start, beyond the end the end.
func (m Measured) Spot(mm float64) Spot {
	last := len(m.points) - 1
	if last == 0 {
		return Spot{Point: m.points[0]}
	}
	mm = max(0, min(m.Length(), mm))
	// The first vertex at mm or beyond ends the segment.
	end := max(1, sort.SearchFloat64s(m.upTo, mm))
	share := 0.0
	if span := m.upTo[end] - m.upTo[end-1]; span > 0 {
		share = (mm - m.upTo[end-1]) / span
	}
	return Spot{m.points[end-1].Mix(m.points[end], share), end - 1, share, mm}
}

// Facing is the heading of the line mm from the start; at a vertex that of the
// segment that begins there, at the end that of the last. False when the line
// has no length.
func (m Measured) Facing(mm float64) (float64, bool) {
	if m.Length() == 0 {
		return 0, false
	}
	// The first vertex beyond mm ends the segment.
	end := sort.Search(len(m.upTo), func(i int) bool { return m.upTo[i] > mm })
	end = max(1, min(end, len(m.points)-1))
	// At the end of the line look back over vertices that repeat.
	for end > 1 && m.points[end] == m.points[end-1] {
		end--
	}
	return DirectionOf(m.points[end].Sub(m.points[end-1]))
}

// Cut is the line up to mm from the start, and from there on. Both parts have
// the point of the cut; at the very start or end one part is a single point.
func (m Measured) Cut(mm float64) (before, after []Point) {
	spot := m.Spot(mm)
	before = append(slices.Clone(m.points[:spot.Segment+1]), spot.Point)
	after = append([]Point{spot.Point}, m.points[min(spot.Segment+1, len(m.points)):]...)
	if before[len(before)-2] == spot.Point {
		before = before[:len(before)-1]
	}
	if len(after) > 1 && after[1] == spot.Point {
		after = after[1:]
	}
	return before, after
}

// Resampled is the line through points of it that are evenly spaced along it,
// both ends among them: as far apart as step mm allows, and no farther. It is
// false, and there is nothing, if those would be more than limit points.
func (m Measured) Resampled(step float64, limit int) ([]Point, bool) {
	count := max(1, math.Ceil(m.Length()/step-1e-9))
	if !(count < float64(limit)) {
		return nil, false
	}
	points := make([]Point, 0, int(count)+1)
	for i := range int(count) {
		points = append(points, m.Spot(float64(m.Length()*float64(i))/count).Point)
	}
	return append(points, m.points[len(m.points)-1]), true
}
