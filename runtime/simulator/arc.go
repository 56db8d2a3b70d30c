package simulator

import (
	"math"

	"wend/runtime/geom"
)

// arc is an arc being cut into chords, one at a time.
type arc struct {
	center, end  geom.Point
	radius       float64
	start, sweep float64 // degrees, positive counterclockwise
	count, next  int
}

// newArc is an arc in absolute mm, cut within a tolerance into chords of at
// least a step; it gives 0 or the number of an error.
func newArc(from, to geom.Point, w *words, unit float64, clockwise bool, tolerance, stepMM float64) (*arc, int) {
	a := &arc{end: to, next: 1}
	byRadius := w.take('R')
	i, j := w.take('I'), w.take('J')
	switch {
	case byRadius && (i || j):
		return nil, errUnused
	case byRadius:
		chord := to.Sub(from)
		length, radius := chord.Length(), w.of('R')*unit
		root := float64(4*radius*radius) - float64(length*length)
		if length == 0 || radius == 0 {
			return nil, errArc
		}
		if root < 0 {
			return nil, errArcRadius
		}
		// The centre is off the middle of the chord, to its left when an arc
		// of at most half a turn goes counterclockwise.
		off := math.Sqrt(root) / (2 * length)
		if clockwise != (radius < 0) {
			off = -off
		}
		a.center = from.Add(chord.Times(0.5)).Add(geom.Point{X: -chord.Y, Y: chord.X}.Times(off))
		a.radius = math.Abs(radius)
	case i || j:
		a.center = from.Add(geom.Point{X: w.of('I'), Y: w.of('J')}.Times(unit))
		a.radius = from.Distance(a.center)
		// The board's allowance for two radii that differ, from memory.
		off := math.Abs(a.radius - to.Distance(a.center))
		if a.radius == 0 || off > 0.5 || off > 0.005 && off > 0.001*a.radius {
			return nil, errArc
		}
	default:
		return nil, errArc
	}
	a.start, _ = geom.DirectionOf(from.Sub(a.center))
	finish, _ := geom.DirectionOf(to.Sub(a.center))
	a.sweep = geom.NormalizeHeading(finish - a.start)
	if from == to || a.sweep < 1e-6 {
		a.sweep = 360
	}
	if clockwise && a.sweep != 360 {
		a.sweep -= 360
	} else if clockwise {
		a.sweep = -360
	}
	// A chord over an angle φ is r(1 - cos φ/2) off its arc.
	pieces := 1.0
	if tolerance < a.radius {
		half := math.Sqrt(float64(tolerance * (2*a.radius - tolerance)))
		pieces = math.Floor(math.Abs(a.sweep) * math.Pi / 180 * a.radius / 2 / half)
	}
	// Chords shorter than a step would be no moves at all.
	a.count = int(max(1, min(pieces, a.length()/stepMM, math.MaxInt32)))
	return a, 0
}

// length is the length of the arc in mm.
func (a *arc) length() float64 { return a.radius * math.Abs(a.sweep) * math.Pi / 180 }

// point is the end of the next chord; the last is the end of the arc.
func (a *arc) point() (p geom.Point, more bool) {
	k := a.next
	a.next++
	switch {
	case k > a.count:
		return p, false
	case k == a.count:
		return a.end, true
	}
	angle := a.start + float64(a.sweep*float64(k)/float64(a.count))
	return a.center.Add(geom.Polar(a.radius, angle)), true
}

// extent is the box around the arc.
func (a *arc) extent(from geom.Point) geom.Box {
	box := geom.Bounds([]geom.Point{from, a.end})
	low, high := min(a.start, a.start+a.sweep), max(a.start, a.start+a.sweep)
	for quarter := math.Ceil(low / 90); quarter*90 <= high; quarter++ {
		box = box.Include(a.center.Add(geom.Polar(a.radius, quarter*90)))
	}
	return box
}
