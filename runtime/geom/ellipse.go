package geom

import (
	"math"

	"wend/runtime/elementary"
)

// EllipticArc appends the flattened arc from start to end of an ellipse with
// radii rx and ry, in mm, whose first axis is rotated by degrees: the arc that
// turns by more than 180 degrees if large, and the one along which angles
// grow if sweep (SVG 2, appendix B.2, "elliptical arc implementation notes").
// Radii too small to reach are scaled up until they do, without a radius the
// arc is a straight line, and equal ends are nothing. The start is not
// appended; the last point is end. When more than limit points would be needed
// it appends nothing and returns a *TooManyPointsError.
func EllipticArc(dst []Point, start, end Point, rx, ry, degrees float64, large, sweep bool, tolerance float64, limit int) ([]Point, error) {
	if start == end {
		return dst, nil
	}
	rx, ry = math.Abs(rx), math.Abs(ry)
	if rx == 0 || ry == 0 {
		if limit < 1 {
			return dst, &TooManyPointsError{Limit: limit, Needed: 1}
		}
		return append(dst, end), nil
	}
	// In the frame of the axes, about the middle between the ends, each axis
	// divided by its radius: two points ±m of a unit circle.
	axes := NewFrame(start.Mix(end, 0.5), degrees)
	m := axes.Local(start)
	m.X, m.Y = m.X/rx, m.Y/ry
	square := m.Dot(m)
	if square > 1 {
		reach := math.Sqrt(square)
		rx, ry = float64(rx*reach), float64(ry*reach)
		m = Point{m.X / reach, m.Y / reach}
	}
	// The centre lies across the chord, to its left or right.
	across := math.Sqrt(max(0, 1/min(square, 1)-1))
	if large == sweep {
		across = -across
	}
	center := Point{float64(across * m.Y), float64(-across * m.X)}
	from, _ := elementary.Atan2Degrees(m.Y-center.Y, m.X-center.X)
	to, _ := elementary.Atan2Degrees(-m.Y-center.Y, -m.X-center.X)
	turn := NormalizeHeading(to - from)
	if !sweep {
		turn = NormalizeHeading(from-to) * -1
	}
	// The ellipse is a circle of the larger radius, pressed along one axis,
	// which brings no point of the arc farther from its chord.
	pieces := ArcPieces(max(rx, ry), turn, tolerance)
	if !(pieces <= float64(limit)) {
		return dst, &TooManyPointsError{Limit: limit, Needed: pieces}
	}
	for i := 1.0; i < pieces; i++ {
		p := center.Add(Direction(from + float64(turn*i)/pieces))
		dst = append(dst, axes.Point(Point{float64(rx * p.X), float64(ry * p.Y)}))
	}
	return append(dst, end), nil
}
