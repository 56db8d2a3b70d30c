package eval

import (
	"wend/runtime/geom"
	"wend/runtime/value"
)

// A figure called as a statement draws straight into the line that is being
// drawn, through a frame of its own. As a value it draws a line of its own,
// which becomes a path. Its numbers are the same both ways, as they are all in
// its own frame.

// enterFigure gives the body that begins its own frame, at the stylus.
func (m *machine) enterFigure() {
	m.pens = append(m.pens, m.pen)
	p := &m.pen
	frame := m.compose(m.here())
	p.at, p.heading, p.turned = geom.Point{}, 0, 0
	p.ahead, p.known = geom.Point{X: 1}, true
	p.frame, p.upright = frame, false
	p.first = len(p.out.points) - 1
}

// leaveFigure lets the stylus go on where the figure left it.
func (m *machine) leaveFigure() {
	drawn := &m.pen
	at, turned := drawn.at, drawn.turned
	top := len(m.pens) - 1
	m.pen = m.pens[top]
	m.pens = m.pens[:top]
	p := &m.pen
	frame := m.here()
	p.at = frame.point(at)
	m.reachable(p.at)
	m.turnBy(turned)
}

// enterPath gives the body that begins a line of its own.
func (m *machine) enterPath() {
	m.pens = append(m.pens, m.pen)
	out := &line{points: make([]geom.Point, 1, 4)}
	m.pen = newPen(geom.Point{}, out)
}

// leavePath makes a path of what the body drew.
func (m *machine) leavePath() value.Value {
	p := &m.pen
	points := p.out.points
	if last := len(points) - 1; last > 0 {
		// The last steps may have been too short to be seen; a path ends where
		// its stylus does.
		points[last] = p.at
	}
	path := &value.Path{Points: points, Turn: p.turned}
	top := len(m.pens) - 1
	m.pen = m.pens[top]
	m.pens = m.pens[:top]
	m.keep(64 + 16*cap(points))
	return value.OfPath(path)
}
