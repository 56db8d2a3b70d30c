package eval

import (
	"wend/lang/diag"
	"wend/lang/types"
	"wend/runtime/geom"
	"wend/runtime/plan"
	"wend/runtime/value"
)

// pen is the stylus as the current body sees it: its position and heading are
// in the body's own frame, so a figure computes the same numbers wherever it
// is drawn. Only what reaches the line is in the frame of the line.
type pen struct {
	at      geom.Point // in the body's frame, mm
	heading float64    // in it, 0 <= heading < 360 degrees
	turned  float64    // the sum of all turns since the body began, degrees
	// ahead is the unit vector along the heading; known says that it is up to
	// date, as many turns are never walked along.
	ahead geom.Point
	known bool

	frame   axes // of the body, in that of the line
	upright bool // it is that of the line itself
	first   int  // the vertex of the line at which the body began
}

func newPen(at geom.Point) pen {
	return pen{at: at, ahead: geom.Point{X: 1}, known: true, frame: axes{along: geom.Point{X: 1}}, upright: true}
}

// farthest is how far from (0, 0), in mm, a coordinate may be: a thousand
// kilometres, where a float64 still resolves a ten-thousandth of a millimetre.
const farthest = 1e9

// outer is the place in the frame of the line of a point of the body's frame.
func (p *pen) outer(q geom.Point) geom.Point {
	if p.upright {
		return q
	}
	return p.frame.point(q)
}

func (m *machine) turnBy(degrees float64) {
	if degrees == 0 {
		return
	}
	p := m.pen
	p.turned += degrees
	p.heading = normalized(p.heading + degrees)
	p.known = false
}

// faceTo turns the shorter way.
func (m *machine) faceTo(degrees float64) {
	p := m.pen
	heading := geom.NormalizeHeading(degrees)
	by := heading - p.heading
	if by > 180 {
		by -= 360
	} else if by <= -180 {
		by += 360
	}
	p.turned += by
	p.heading = heading
	p.known = false
}

func (m *machine) goAhead(distance float64, site int32) {
	at, along := m.pen.at, m.facing()
	m.goTo(geom.Point{X: at.X + float64(along.X*distance), Y: at.Y + float64(along.Y*distance)}, site)
}

// goTo draws a straight line to a point of the body's frame.
func (m *machine) goTo(to geom.Point, site int32) {
	m.reachable(to)
	p := m.pen
	p.at = to
	m.add(p.outer(to), m.place(site, plan.Drawn))
}

// reachable reports whether a point is not beyond any machine. It is false for NaN.
func reachable(to geom.Point) bool {
	return -farthest <= to.X && to.X <= farthest && -farthest <= to.Y && to.Y <= farthest
}

// reachable fails for points beyond any machine, which keeps the numbers of
// the line finite.
func (m *machine) reachable(to geom.Point) {
	if !reachable(to) {
		m.fail("too-far", diag.Args{"x": shown(to.X), "y": shown(to.Y)})
	}
}

// polyline draws through points of the body's frame.
func (m *machine) polyline(points []geom.Point, site int32) {
	place := m.place(site, plan.Drawn)
	for _, q := range points {
		m.reachable(q)
		m.add(m.pen.outer(q), place)
	}
	if len(points) > 0 {
		m.pen.at = points[len(points)-1]
	}
	m.charge(len(points))
}

// drawOn draws a path from here on, along the heading.
func (m *machine) drawOn(v value.Value, site int32) {
	line := v.Path()
	p := m.pen
	first := line.Points[0]
	frame := m.here()
	place := m.places(site, line.Roles)
	whole := m.compose(frame)
	for i, q := range line.Points[1:] {
		m.add(whole.point(q.Sub(first)), place(i))
	}
	p.at = frame.point(line.Points[len(line.Points)-1].Sub(first))
	m.reachable(p.at)
	m.turnBy(line.Turn)
	m.charge(len(line.Points))
}

// places gives the places in the plan of the pieces of a path with such roles.
func (m *machine) places(site int32, roles []plan.Role) func(piece int) uint32 {
	if roles == nil {
		drawn := m.place(site, plan.Drawn)
		return func(int) uint32 { return drawn }
	}
	return func(piece int) uint32 { return m.place(site, roles[piece]) }
}

// drawAt puts a path's (0, 0) on a point of the body's frame, upright in it.
func (m *machine) drawAt(v value.Value, at geom.Point, site int32) {
	line := v.Path()
	m.reachable(at)
	if first := at.Add(line.Points[0]); m.mayBegin() {
		m.begin(first)
	} else {
		m.wayIn(first, site)
	}
	place := m.places(site, line.Roles)
	p := m.pen
	for i, q := range line.Points[1:] {
		to := at.Add(q)
		m.reachable(to)
		m.add(p.outer(to), place(i))
	}
	p.at = at.Add(line.Points[len(line.Points)-1])
	m.charge(len(line.Points))
}

// drawable fails for values that are no path.
func (m *machine) drawable(v value.Value) {
	switch v.Kind() {
	case types.Path:
	case types.List:
		m.fail("draw-list", nil)
	default:
		m.fail("draw-kind", diag.Args{"found": v.Kind()})
	}
}

func (m *machine) arc(radius, turn float64, site int32) {
	if radius < 0 {
		m.fail("radius-negative", diag.Args{"radius": shown(radius)})
	}
	p := m.pen
	points, heading, err := geom.Arc(m.scratch[:0], p.at, p.heading, radius, turn, m.options.ToleranceMM, m.pointsLeft())
	m.tooMany(err)
	m.scratch = points
	if m.onSheet() && radius > 0 {
		m.arcExtent(radius, turn)
	}
	m.polyline(points, site)
	p.turned += turn
	p.heading = heading
	p.known = false
}

func (m *machine) bezier(c1, c2, end geom.Point, site int32) {
	m.reachable(c1)
	m.reachable(c2)
	m.reachable(end)
	cubic := geom.Cubic{P0: m.pen.at, P1: c1, P2: c2, P3: end}
	points, err := geom.Bezier(m.scratch[:0], cubic, m.options.ToleranceMM, m.pointsLeft())
	m.tooMany(err)
	m.scratch = points
	m.cubicExtent(cubic)
	m.polyline(points, site)
}

func (m *machine) spline(v value.Value, site int32) {
	if v.Kind() != types.List {
		m.fail("wrong-kind", diag.Args{"word": "spline", "wanted": "a list", "param": "points", "found": v.Kind()})
	}
	if len(v.List()) == 0 {
		m.fail("empty-list", diag.Args{"name": "spline"})
	}
	through := make([]geom.Point, len(v.List()))
	for i, item := range v.List() {
		if item.Kind() != types.Point {
			m.fail("list-item-kind", diag.Args{"name": "spline", "wanted": "points", "number": i + 1, "found": item.Kind()})
		}
		through[i] = item.Point()
		m.reachable(through[i])
	}
	points, err := geom.Spline(m.scratch[:0], m.pen.at, through, m.options.ToleranceMM, m.pointsLeft())
	m.tooMany(err)
	m.scratch = points
	if m.onSheet() {
		for _, cubic := range geom.SplineCubics(m.pen.at, through) {
			m.cubicExtent(cubic)
		}
	}
	m.polyline(points, site)
}

// Extents: a flattened curve may stay within the page while the curve itself
// does not, by less than the tolerance. Curves near an edge are kept with their
// true extent; a cheap box around each says that it is nowhere near.

func (m *machine) onSheet() bool { return m.out == &m.sheets }

func (m *machine) arcExtent(radius, turn float64) {
	p := m.pen
	at, heading := p.outer(p.at), p.frame.heading+p.heading
	center := geom.ArcCenter(at, heading, radius, turn)
	if m.inside(geom.EmptyBox().Include(center).Grow(radius)) {
		return
	}
	m.extent(geom.ArcExtent(at, heading, radius, turn))
}

func (m *machine) cubicExtent(c geom.Cubic) {
	if !m.onSheet() {
		return
	}
	p := m.pen
	c = geom.Cubic{P0: p.outer(c.P0), P1: p.outer(c.P1), P2: p.outer(c.P2), P3: p.outer(c.P3)}
	if m.inside(geom.EmptyBox().Include(c.P0).Include(c.P1).Include(c.P2).Include(c.P3)) {
		return
	}
	m.extent(c.Extent())
}

func (m *machine) inside(box geom.Box) bool {
	return m.options.Page.Contains(box.Min) && m.options.Page.Contains(box.Max)
}

func (m *machine) extent(box geom.Box) {
	if !m.inside(box) {
		m.sheet.Extents = append(m.sheet.Extents, plan.Extent{Segment: len(m.sheets.points) - 1, Box: box})
		m.keep(48)
	}
}

// tooMany ends the run if a curve needs more points than are left.
func (m *machine) tooMany(err error) {
	if err != nil {
		m.outOf("too-many-points", diag.Args{"limit": diag.Grouped(m.limits.Points)})
	}
}
