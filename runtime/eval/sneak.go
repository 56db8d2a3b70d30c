package eval

import (
	"wend/runtime/geom"
	"wend/runtime/weave"
)

// trace is what unseen ways have learnt of the line of one body: all that was
// drawn on out from its vertex first. It is made when a body first sneaks.
type trace struct {
	pen   int // the body's place in the stack of pens
	first int
	out   *line
	*weave.Trace
}

// sneakTo goes to a point of the body's frame unseen: over what the body drew
// so far, with as little new line as that takes.
func (m *machine) sneakTo(to geom.Point, site int32) {
	m.reachable(to)
	p := m.pen
	outer := p.outer(to)
	way, err := m.trace().Way(m.ctx, m.out.points[p.first:], outer)
	if err != nil {
		m.refuel(m.pc, m.pc) // the run was cancelled: that is where it ends
	}
	for i, q := range way.Points {
		m.add(q, m.place(site, way.Roles[i]))
	}
	m.charge(1 + len(way.Points))
	p.at = to
}

// trace is the trace of the current body. Those of bodies that have ended are
// dropped here, not when they end, so that calls cost nothing.
func (m *machine) trace() *weave.Trace {
	p := m.pen
	for len(m.traces) > 0 {
		top := m.traces[len(m.traces)-1]
		if top.pen == m.penTop && top.first == p.first && top.out == m.out {
			return top.Trace
		}
		if top.pen < m.penTop {
			break
		}
		m.traces = m.traces[:len(m.traces)-1]
	}
	m.traces = append(m.traces, trace{m.penTop, p.first, m.out, weave.NewTrace(m.options.LineWidthMM)})
	return m.traces[len(m.traces)-1].Trace
}
