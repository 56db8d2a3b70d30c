package eval

import (
	"wend/runtime/geom"
	"wend/runtime/plan"
	"wend/runtime/weave"
)

// branch is a branch { } whose block runs: where to come back to.
type branch struct {
	at      geom.Point
	heading float64
	turned  float64
	out     *line
	first   int // its vertex on the line
	// trips are the parts of the line that branches inside this one drew: from
	// the vertex at which they began to the one, at the same place, at which
	// they were back. They are side trips as a whole, so leaving them out keeps
	// branches in branches linear.
	trips []trip
}

type trip struct{ from, to int }

func (m *machine) openBranch() {
	p := m.pen
	m.branches = append(m.branches, branch{
		at: p.at, heading: p.heading, turned: p.turned, out: m.out, first: len(m.out.points) - 1,
	})
}

// comeBack returns to where the innermost branch began, over what it drew.
func (m *machine) comeBack(site int32) {
	top := len(m.branches) - 1
	b := m.branches[top]
	m.branches = m.branches[:top]
	p, out := m.pen, m.out
	drawn := out.points[b.first:]
	if len(b.trips) > 0 {
		drawn = append(m.scratch[:0], out.points[b.first])
		next := b.first + 1
		for _, t := range b.trips {
			drawn = append(drawn, out.points[next:t.from+1]...)
			next = t.to + 1
		}
		drawn = append(drawn, out.points[next:]...)
		m.scratch = drawn[:0]
	}
	if len(drawn) > 1 {
		place := m.place(site, plan.Retrace)
		for _, i := range weave.WayBack(drawn) {
			m.add(drawn[i], place)
		}
		m.charge(2 * len(drawn))
	}
	p.at, p.heading, p.turned = b.at, b.heading, b.turned
	p.known = false
	if top > 0 && m.branches[top-1].out == out {
		outer := &m.branches[top-1]
		if last := len(out.points) - 1; last > b.first {
			outer.trips = append(outer.trips, trip{b.first, last})
		}
	}
}
