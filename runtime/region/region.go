// Package region is about closed lines as areas. A region is one closed line or
// several, and what lies within an odd number of them is inside (the even-odd
// rule), so a line within another is a hole, whichever way they run. Lines may
// cross themselves and each other.
//
// On which side of a line a point lies is decided exactly (geom.Orientation),
// so no rounding lets a ray slip through a corner.
//
// What makes new areas of areas (Union, Intersection, Difference, Offset) and
// what cuts lines by them (Cutter) puts every point on a grid of whole numbers
// first, some 2^-27 of the drawing fine and so below geom.SamePoint on any page,
// and decides in exact arithmetic from there on. Points that were given come
// out as they went in, to the last bit.
package region

import "wend/runtime/geom"

// Region is the closed lines of an area, each of at least one point; the last
// point of each is joined to its first.
type Region []geom.Runs

// Of makes a region of closed lines.
func Of(lines ...[]geom.Point) Region {
	r := make(Region, len(lines))
	for i, line := range lines {
		r[i] = geom.RunsOf(line)
	}
	return r
}

// Bounds is the smallest box around the lines of a region.
func (r Region) Bounds() geom.Box {
	box := geom.EmptyBox()
	for _, line := range r {
		box = box.Union(geom.Bounds(line.Points))
	}
	return box
}

// Work is told how many steps of work were done and how many vertices and edges
// were made, and ends the work by an error.
type Work func(steps, made int) error

// Contains reports whether a point lies in the region. One within
// geom.SamePoint of a line of it does.
func (r Region) Contains(p geom.Point) bool {
	inside := false
	for _, ring := range r {
		odd, on := crossed(ring, p)
		if on {
			return true
		}
		inside = inside != odd
	}
	return inside
}

// crossed reports whether the ray from p along +x crosses a ring an odd number
// of times, and whether p lies on the ring.
func crossed(ring geom.Runs, p geom.Point) (odd, on bool) {
	segment := func(a, b geom.Point) {
		if geom.SegmentDistance(a, b, p) <= geom.SamePoint {
			on = true
		}
		// An end at the height of the ray counts as below it, so a corner is
		// crossed once or twice as the line goes on or turns back.
		if (a.Y > p.Y) == (b.Y > p.Y) {
			return
		}
		if left := geom.Orientation(a, b, p) > 0; left == (b.Y > a.Y) {
			odd = !odd
		}
	}
	wanted := func(box geom.Box, first, last int) bool {
		switch near := box.Grow(geom.SamePoint); {
		case on:
			return false
		case near.Contains(p):
			return true
		case p.X < box.Min.X && (ring.Points[first].Y > p.Y) != (ring.Points[last].Y > p.Y):
			// All of the run lies to the right, so the ray crosses it as often as
			// the run changes sides, which it does an odd number of times.
			odd = !odd
		}
		return false
	}
	ring.Visit(wanted, func(i int) { segment(ring.Points[i], ring.Points[i+1]) })
	segment(ring.Points[len(ring.Points)-1], ring.Points[0])
	return odd, on
}
