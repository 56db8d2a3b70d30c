package svg

import (
	"math"

	"wend/runtime/elementary"
	"wend/runtime/geom"
)

// subpath is a line without gaps, in the user units of its shape. The last
// point of a closed one is its first.
type subpath struct {
	points []geom.Point
	closed bool
}

// pen traces the outline of a shape, in its user units, and flattens curves as
// it goes.
type pen struct {
	tolerance float64 // user units
	room      *int    // how many more points may be made
	subpaths  []subpath
	points    []geom.Point // of the subpath that is traced now
}

// full reports whether there were more points than there may be.
func (p *pen) full() bool { return *p.room < 0 }

func (p *pen) at() geom.Point { return p.points[len(p.points)-1] }

func (p *pen) move(to geom.Point) {
	p.end(false)
	p.points = []geom.Point{to}
}

func (p *pen) line(to geom.Point) {
	if *p.room--; !p.full() {
		p.points = append(p.points, to)
	}
}

func (p *pen) cubic(c1, c2, to geom.Point) {
	if p.full() {
		return
	}
	before := len(p.points)
	flat, err := geom.Bezier(p.points, geom.Cubic{P0: p.at(), P1: c1, P2: c2, P3: to}, p.tolerance, *p.room)
	if err != nil {
		*p.room = -1
		return
	}
	p.points = flat
	*p.room -= len(flat) - before
}

// quadratic draws the cubic curve that is the same.
func (p *pen) quadratic(c, to geom.Point) {
	p.cubic(p.at().Mix(c, 2.0/3), to.Mix(c, 2.0/3), to)
}

// arc draws part of an ellipse with radii rx and ry whose x axis is turned by
// an angle in degrees, as SVG 2, appendix B.2 has it: from the two ends to the
// centre, in coordinates in which the ellipse is a circle of radius 1.
func (p *pen) arc(rx, ry, angle float64, large, sweep bool, to geom.Point) {
	from := p.at()
	if from == to || p.full() {
		return
	}
	rx, ry = math.Abs(rx), math.Abs(ry)
	if rx == 0 || ry == 0 {
		p.line(to)
		return
	}
	turned := geom.Rotation(angle)
	q := geom.Rotation(-angle).Vector(from.Sub(to).Times(0.5))
	// Half the chord. Radii too small for it are made just large enough (B.2.5).
	half := geom.Point{X: q.X / rx, Y: q.Y / ry}
	square := half.Dot(half)
	if square > 1 {
		k := math.Sqrt(square)
		rx, ry, half, square = float64(rx*k), float64(ry*k), half.Times(1/k), 1
	}
	k := math.Sqrt(max(0, (1-square)/square))
	if large == sweep {
		k = -k
	}
	center := geom.Point{X: float64(k * half.Y), Y: float64(-k * half.X)} // from the middle of the chord
	first, _ := elementary.Atan2Degrees(half.Y-center.Y, half.X-center.X)
	last, _ := elementary.Atan2Degrees(-half.Y-center.Y, -half.X-center.X)
	turn := last - first
	switch {
	case sweep && turn < 0:
		turn += 360
	case !sweep && turn > 0:
		turn -= 360
	}
	middle := from.Mix(to, 0.5)
	place := func(degrees float64) geom.Point {
		at := center.Add(geom.Direction(degrees))
		return middle.Add(turned.Vector(geom.Point{X: float64(rx * at.X), Y: float64(ry * at.Y)}))
	}
	// The chords of an ellipse are off by what those of its circle are, stretched.
	pieces := geom.ArcPieces(max(rx, ry), turn, p.tolerance)
	if !(pieces <= float64(*p.room)) {
		*p.room = -1
		return
	}
	for i := 1.0; i < pieces; i++ {
		p.line(place(first + float64(turn*i)/pieces))
	}
	p.line(to)
}

// ellipse draws a whole one, from its right in the direction of growing angles
// (SVG 2, sections 10.3 and 10.4).
func (p *pen) ellipse(center geom.Point, rx, ry float64) {
	right, left := geom.Point{X: center.X + rx, Y: center.Y}, geom.Point{X: center.X - rx, Y: center.Y}
	p.move(right)
	p.arc(rx, ry, 0, false, true, left)
	p.arc(rx, ry, 0, false, true, right)
	p.close()
}

// close goes straight back to where the subpath began.
func (p *pen) close() {
	start := p.points[0]
	if p.at() != start {
		p.line(start)
	}
	p.end(true)
	p.points = []geom.Point{start}
}

// end keeps the subpath that is traced now, if it goes anywhere.
func (p *pen) end(closed bool) {
	if len(p.points) > 1 {
		p.subpaths = append(p.subpaths, subpath{p.points, closed})
	}
	p.points = nil
}

// outline ends the tracing and gives what came of it.
func (p *pen) outline() []subpath {
	p.end(false)
	return p.subpaths
}
