package gcode

import (
	"math"

	"wend/runtime/elementary"
	"wend/runtime/geom"
)

// Arc is a part of a circle, or a whole one where the ends are the same point.
type Arc struct {
	Center geom.Point
	Radius float64
	Left   bool // counterclockwise
}

// radiusTolerance is how far the two ends of an arc may differ in their
// distance from the centre (section 3.5.3.2: 0.002 mm, or 0.0002 inch).
func radiusTolerance(unit float64) float64 {
	if unit == 1 {
		return 0.002
	}
	return 0.0002 * unit
}

// arc finds the centre of the arc on a line, or says why there is none.
func (r *reader) arc(b *block, to geom.Point) (*Arc, string) {
	left := r.moving == counterclockwise
	switch {
	case b.word('R') && (b.word('I') || b.word('J')):
		return nil, "R and I, J give its circle in two ways"
	case b.word('R'):
		return r.radiusArc(b.number('R')*r.unit, to, left)
	case b.word('I') || b.word('J'):
		var offset geom.Point
		if b.word('I') {
			offset.X = b.number('I') * r.unit
		}
		if b.word('J') {
			offset.Y = b.number('J') * r.unit
		}
		center := r.at.Add(offset)
		radius, end := offset.Length(), to.Distance(center)
		if math.Abs(radius-end) > radiusTolerance(r.unit) {
			return nil, "its ends are not equally far from its centre"
		}
		if radius == 0 {
			return nil, "its radius is 0"
		}
		return &Arc{Center: center, Radius: max(radius, end), Left: left}, ""
	}
	return nil, "neither R nor I, J give its circle"
}

// radiusArc: of the two circles through both ends, a positive radius means the
// shorter arc, a negative one the longer (section 3.5.3.1).
func (r *reader) radiusArc(radius float64, to geom.Point, left bool) (*Arc, string) {
	chord := to.Sub(r.at)
	length := chord.Length()
	switch {
	case length == 0:
		return nil, "with R, it must end elsewhere than it begins"
	case radius == 0:
		return nil, "its radius is 0"
	case float64(length/2)-math.Abs(radius) > radiusTolerance(r.unit):
		return nil, "its ends are farther apart than its diameter"
	}
	height := math.Sqrt(max(0, float64(radius*radius)-float64(length*length/4)))
	// The centre lies left of the chord for a short arc to the left.
	if left != (radius > 0) {
		height = -height
	}
	normal := geom.Point{X: -chord.Y, Y: chord.X}.Times(height / length)
	center := r.at.Add(chord.Times(0.5)).Add(normal)
	return &Arc{Center: center, Radius: max(center.Distance(r.at), center.Distance(to)), Left: left}, ""
}

// SweepDeg is the angle turned on the way, from more than 0 to 360.
func (a *Arc) SweepDeg(from, to geom.Point) float64 {
	if from == to {
		return 360
	}
	u, v := from.Sub(a.Center), to.Sub(a.Center)
	turn, _ := elementary.Atan2Degrees(u.Cross(v), u.Dot(v))
	if !a.Left {
		turn = -turn
	}
	if turn <= 0 {
		turn += 360
	}
	return turn
}

// Length is the arc's length in mm.
func (a *Arc) Length(from, to geom.Point) float64 {
	return a.Radius * a.SweepDeg(from, to) * (math.Pi / 180)
}

// Bounds is the true extent: the ends, and each point of the circle farthest
// along an axis that lies on the arc.
func (a *Arc) Bounds(from, to geom.Point) geom.Box {
	box := geom.EmptyBox().Include(from).Include(to)
	sweep := a.SweepDeg(from, to)
	for _, axis := range [...]geom.Point{{X: 1}, {Y: 1}, {X: -1}, {Y: -1}} {
		farthest := a.Center.Add(axis.Times(a.Radius))
		if sweep >= 360 || a.SweepDeg(from, farthest) <= sweep {
			box = box.Include(farthest)
		}
	}
	return box
}

// Chords passes on the points of a polyline within toleranceMM of the arc,
// after from and up to and with to (sagitta: r (1 - cos(θ/2))).
func (a *Arc) Chords(from, to geom.Point, toleranceMM float64, point func(geom.Point)) {
	sweep := a.SweepDeg(from, to)
	half, ok := elementary.AcosDegrees(max(0, 1-toleranceMM/a.Radius))
	pieces := 4.0
	if ok && half > 0 {
		pieces = math.Ceil(sweep / (2 * half))
	}
	u := from.Sub(a.Center)
	if !a.Left {
		sweep = -sweep
	}
	for i := 1.0; i < pieces; i++ {
		sine, cosine := elementary.SinCosDegrees(sweep * i / pieces)
		point(a.Center.Add(geom.Point{
			X: float64(u.X*cosine) - float64(u.Y*sine),
			Y: float64(u.X*sine) + float64(u.Y*cosine),
		}))
	}
	point(to)
}
