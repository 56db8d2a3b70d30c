package link

import (
	"math"

	"wend/runtime/geom"
)

// strokes is what a stylus draws along a way of the motors, in mm of the axes: it
// stands where each motor stands and what is left of its slack.
func (p *position) strokes(slack flanks, way []geom.Point) []geom.Point {
	at := func(motors geom.Point) geom.Point {
		return motors.Add(geom.Point{X: slack.low[0] * p.stepMM.X, Y: slack.low[1] * p.stepMM.Y})
	}
	line := []geom.Point{at(way[0])}
	for i, to := range way[1:] {
		from := way[i]
		steps := p.stepsOf(to.Sub(from))
		// An axis begins to follow, or leaves its flank, where its slack ends.
		turns := []float64{1}
		for axis, d := range steps {
			end := slack.low[axis] // to larger coordinates
			if d < 0 {
				end -= slack.slack[axis]
			}
			if t := end / d; d != 0 && t > 0 && t < 1 {
				turns = append(turns, t)
			}
		}
		if len(turns) == 3 && turns[1] > turns[2] {
			turns[1], turns[2] = turns[2], turns[1]
		}
		begun := slack
		for _, t := range append(turns[1:], 1) {
			slack = begun
			slack.move([2]float64{steps[0] * t, steps[1] * t})
			line = append(line, at(from.Mix(to, t)))
		}
	}
	return line
}

// shortcutMM is how far a straight way between two corners of a line may be from it
// at most.
func shortcutMM(corners []geom.Point) float64 {
	const mostCorners = 80 // of which each pair is looked at closely
	mm := 0.0
	for i, a := range corners {
		for _, b := range corners[:i] {
			switch half := a.Distance(b) / 2; {
			case half <= mm: // no point of it is farther from the line
			case len(corners) > mostCorners:
				mm = half
			default:
				mm = max(mm, beyond([]geom.Point{b, a}, corners))
			}
		}
	}
	return mm
}

// apart is how far two lines are from each other at most (the Hausdorff distance),
// their ends included.
func apart(a, b []geom.Point) float64 {
	return max(beyond(a, b), beyond(b, a), a[len(a)-1].Distance(b[len(b)-1]))
}

// beyond is how far a line goes from another, to readingMM.
func beyond(line, other []geom.Point) float64 {
	least := func(p geom.Point) float64 {
		mm := math.Inf(1)
		for i, a := range other {
			mm = min(mm, geom.SegmentDistance(a, other[min(i+1, len(other)-1)], p))
		}
		return mm
	}
	most := 0.0
	// The distance changes by no more than the way: that bounds it between two
	// points.
	var between func(p, q geom.Point, atP, atQ float64)
	between = func(p, q geom.Point, atP, atQ float64) {
		if (atP+atQ+p.Distance(q))/2 <= most+readingMM {
			return
		}
		middle := p.Mix(q, 0.5)
		mm := least(middle)
		most = max(most, mm)
		between(p, middle, atP, mm)
		between(middle, q, mm, atQ)
	}
	last, before := least(line[0]), line[0]
	most = last
	for _, p := range line[1:] {
		mm := least(p)
		most = max(most, mm)
		between(before, p, last, mm)
		last, before = mm, p
	}
	return most
}
