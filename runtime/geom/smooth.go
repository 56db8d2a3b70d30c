package geom

import (
	"math"
	"slices"
)

// Smooth is the line with every point replaced by the mean of the line over
// reach mm before and reach mm behind it, within tolerance mm. A closed line
// goes on around; an open one as if it were turned about its ends by half a
// turn, which keeps both ends and leaves everything straight where it is. The
// reach is at most a quarter of the line, so that a loop remains one.
//
// The mean of a line of straight pieces is a parabola wherever its window
// begins and ends within the same two of them, so the result is exact but for
// the flattening of parabolas.
func Smooth(points []Point, reach, tolerance float64) []Point {
	whole := Measure(WithoutRepeats(points))
	reach = min(reach, whole.Length()/4)
	if reach <= SamePoint {
		return slices.Clone(points)
	}
	// About a point of the line, which keeps the sums small.
	origin := points[0]
	line := means{whole.continued(reach), nil}
	for i := range line.points {
		line.points[i] = line.points[i].Sub(origin)
	}
	line.add()
	// The window begins at the start of the continued line.
	knots := []float64{0, whole.Length()}
	for _, mm := range line.upTo {
		for _, at := range [2]float64{mm, mm - 2*reach} {
			if 0 < at && at < whole.Length() {
				knots = append(knots, at)
			}
		}
	}
	slices.Sort(knots)
	var result []Point
	for i, k := 1, 0; i < len(knots); i++ {
		from, to := knots[k], knots[i]
		if to-from <= SamePoint && i+1 < len(knots) {
			continue
		}
		result = line.parabola(result, from, to, 2*reach, tolerance/2)
		k = i
	}
	result = append(result, line.mean(whole.Length(), 2*reach))
	for i := range result {
		result[i] = result[i].Add(origin)
	}
	last := len(result) - 1
	if Closed(points) {
		result[last] = result[0]
	} else {
		result[0], result[last] = points[0], points[len(points)-1]
	}
	return Simplified(result, tolerance/2)
}

// continued is the line with reach mm more at either end.
func (m Measured) continued(reach float64) Measured {
	_, end := m.Cut(m.Length() - reach)
	start, _ := m.Cut(reach)
	before, behind := slices.Clone(end), start
	if !Closed(m.points) {
		turned := func(points []Point, about Point) []Point {
			points = Reversed(points)
			for i, p := range points {
				points[i] = about.Add(about.Sub(p))
			}
			return points
		}
		before, behind = turned(start, m.points[0]), turned(end, m.points[len(m.points)-1])
	}
	line := append(before[:len(before)-1], m.points...)
	return Measure(append(line, behind[1:]...))
}

// means is a line with the integral of its points up to each vertex.
type means struct {
	Measured
	sums []Point
}

func (m *means) add() {
	m.sums = make([]Point, len(m.points))
	for i := 1; i < len(m.points); i++ {
		middle := m.points[i-1].Mix(m.points[i], 0.5)
		m.sums[i] = m.sums[i-1].Add(middle.Times(m.upTo[i] - m.upTo[i-1]))
	}
}

// integral is that of the line's points from its start to mm.
func (m *means) integral(mm float64) Point {
	spot := m.Spot(mm)
	from := m.points[spot.Segment]
	return m.sums[spot.Segment].Add(from.Mix(spot.Point, 0.5).Times(spot.Along - m.upTo[spot.Segment]))
}

// mean is that of the line's points over window mm from mm.
func (m *means) mean(mm, window float64) Point {
	return m.integral(mm + window).Sub(m.integral(mm)).Times(1 / window)
}

// parabola appends the means from one place of the window to another between
// which it meets no vertex, the last left out.
func (m *means) parabola(dst []Point, from, to, window, tolerance float64) []Point {
	slope := func(mm float64) Point { return m.Spot(mm + window).Point.Sub(m.Spot(mm).Point).Times(1 / window) }
	span := to - from
	start, speed := m.mean(from, window), slope(from)
	bend := slope(to).Sub(speed).Times(1 / span)
	// A parabola leaves its chord by an eighth of its bend times the square of its span.
	pieces := max(1, math.Ceil(span*math.Sqrt(bend.Length()/(8*tolerance))))
	for k := range int(pieces) {
		d := float64(span*float64(k)) / pieces
		dst = append(dst, start.Add(speed.Times(d)).Add(bend.Times(float64(d*d)/2)))
	}
	return dst
}
