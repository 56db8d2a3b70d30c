package eval

import (
	"math"

	"wend/runtime/geom"
)

// axes are a frame of coordinates seen from the frame around it: where its
// (0, 0) lies, and the unit vector and heading of its +x. Where figures nest,
// unit vectors are multiplied: each nesting wears them by at most 3e-16, so at
// the deepest nesting that a run allows the line is off by far less than the
// distance within which two points are one.
type axes struct {
	origin  geom.Point
	along   geom.Point
	heading float64
}

// point is the outer place of a point.
func (a *axes) point(p geom.Point) geom.Point {
	return geom.Point{
		X: a.origin.X + (float64(a.along.X*p.X) - float64(a.along.Y*p.Y)),
		Y: a.origin.Y + (float64(a.along.Y*p.X) + float64(a.along.X*p.Y)),
	}
}

// normalized brings an angle to 0 <= h < 360: geom.NormalizeHeading, with the
// common cases at hand. Within a turn of the range the sum is what the
// remainder would be, to the bit.
func normalized(heading float64) float64 {
	switch {
	case 0 <= heading && heading < 360:
		return heading + 0 // no negative zero
	case 360 <= heading && heading < 720:
		return heading - 360
	case -360 < heading && heading < 0:
		if heading += 360; heading < 360 { // a tiny angle rounds up to a whole turn
			return heading
		}
		return 0
	}
	return geom.NormalizeHeading(heading)
}

// compass remembers unit vectors: a drawing faces few headings often.
type compass [64]struct {
	heading float64
	unit    geom.Point
	set     bool
}

// direction is the unit vector of a heading, 0 <= heading < 360.
func (m *machine) direction(heading float64) geom.Point {
	slot := &m.compass[(math.Float64bits(heading)*0x9e3779b97f4a7c15)>>58]
	if !slot.set || slot.heading != heading {
		slot.heading, slot.unit, slot.set = heading, geom.Direction(heading), true
	}
	return slot.unit
}

// here is the frame at the stylus, along its heading, in the body's frame.
func (m *machine) here() axes {
	p := m.pen
	return axes{p.at, m.facing(), p.heading}
}

// facing is the unit vector along the stylus's heading.
func (m *machine) facing() geom.Point {
	p := m.pen
	if !p.known {
		p.ahead, p.known = m.direction(p.heading), true
	}
	return p.ahead
}

// compose is the frame of what stands in the frame inner of the body, in that
// of the line.
func (m *machine) compose(inner axes) axes {
	outer := &m.pen.frame
	if m.pen.upright {
		return inner
	}
	heading := normalized(outer.heading + inner.heading)
	return axes{outer.point(inner.origin), m.direction(heading), heading}
}
