package eval

import (
	"wend/runtime/geom"
	"wend/runtime/value"
)

// A figure called as a statement draws straight into the line that is being
// drawn, through a frame of its own. As a value it draws a line of its own,
// which becomes a path. Its numbers are the same both ways, as they are all in
// its own frame.

// pushPen gives the body that begins a pen of its own; the caller's waits below.
// Pens are never copied as a whole: figures are called as often as functions.
func (m *machine) pushPen() *pen {
	m.penTop++
	if m.penTop == len(m.pens) {
		m.pens = append(m.pens, make([]pen, len(m.pens))...)
	}
	m.pen = &m.pens[m.penTop]
	return m.pen
}

func (m *machine) popPen() *pen {
	m.penTop--
	m.pen = &m.pens[m.penTop]
	return m.pen
}

// enterFigure gives the body that begins its own frame, at the stylus.
func (m *machine) enterFigure() {
	caller := m.pen
	along := m.facing()
	origin, heading := caller.at, caller.heading
	if !caller.upright {
		origin = caller.frame.point(origin)
		heading += caller.frame.heading
		outer := caller.frame.along
		along = geom.Point{
			X: float64(outer.X*along.X) - float64(outer.Y*along.Y),
			Y: float64(outer.Y*along.X) + float64(outer.X*along.Y),
		}
	}
	p := m.pushPen()
	p.at.X, p.at.Y = 0, 0
	p.heading, p.turned = 0, 0
	p.ahead.X, p.ahead.Y, p.known = 1, 0, true
	p.frame.origin.X, p.frame.origin.Y = origin.X, origin.Y
	p.frame.along.X, p.frame.along.Y = along.X, along.Y
	p.frame.heading = heading
	p.upright = false
	p.first = len(m.out.points) - 1
}

// leaveFigure lets the stylus go on where the figure left it.
func (m *machine) leaveFigure() {
	x, y, turned := m.pen.at.X, m.pen.at.Y, m.pen.turned
	p := m.popPen()
	along := m.facing()
	p.at = geom.Point{
		X: p.at.X + (float64(along.X*x) - float64(along.Y*y)),
		Y: p.at.Y + (float64(along.Y*x) + float64(along.X*y)),
	}
	m.reachable(p.at)
	m.turnBy(turned)
}

// enterPath gives the body that begins a line of its own.
func (m *machine) enterPath() {
	m.outs = append(m.outs, m.out)
	m.limits.pointsHeld += len(m.out.points)
	m.out = &line{points: make([]geom.Point, 1, 4)}
	*m.pushPen() = newPen(geom.Point{})
}

// enterApart is enterPath for a figure called as a statement: its pieces
// remember where they came from.
func (m *machine) enterApart() {
	m.enterPath()
	m.out.placed = true
}

// leavePath makes a path of what the body drew.
func (m *machine) leavePath() value.Value {
	out, turned := m.leaveLine()
	m.keep(64 + 16*cap(out.points))
	return value.OfPath(&value.Path{Points: out.points, Turn: turned})
}

// leaveApart puts what the figure drew where the stylus is, along its heading.
func (m *machine) leaveApart() {
	out, turned := m.leaveLine()
	frame := m.here()
	whole := m.compose(frame)
	for i, q := range out.points[1:] {
		m.add(whole.point(q), out.place[i])
	}
	p := m.pen
	p.at = frame.point(out.points[len(out.points)-1])
	m.reachable(p.at)
	m.turnBy(turned)
	m.charge(len(out.points))
}

// leaveLine ends the line of the body's own, and reports by how much the stylus
// turned on it.
func (m *machine) leaveLine() (out *line, turned float64) {
	out, turned = m.out, m.pen.turned
	if last := len(out.points) - 1; last > 0 {
		// The last steps may have been too short to be seen; a path ends where
		// its stylus does.
		out.points[last] = m.pen.at
	}
	m.popPen()
	last := len(m.outs) - 1
	m.out = m.outs[last]
	m.outs = m.outs[:last]
	m.limits.pointsHeld -= len(m.out.points)
	return out, turned
}
