package shading

import (
	"cmp"
	"math"
	"slices"

	"wend/runtime/geom"
)

// gate is where a turn is opened: forward from one place to another, in mm along
// it.
type gate struct {
	id       int // of both gates of two turns
	from, to float64
	// other is the turn that it leads to, and ends are the places there that the
	// two ends are joined to.
	other int
	ends  [2]float64
}

// open makes the gates between two turns: where they run side by side, next to
// where the first of them is open already.
func (t *turns) open(p pair) {
	a, b := &t.all[p.a], &t.all[p.b]
	begin := p.place
	if len(a.gates) > 0 {
		begin = a.gates[len(a.gates)-1].to
	}
	const width = 1.0 // spacings
	step := t.spacing / 4
	for k := 0.0; k*step < a.length(); k++ {
		from := a.normal(begin + float64((k+1)*step))
		if t.gateAt(p, from, width*t.spacing) {
			return
		}
	}
	// There is no room: one way in and out.
	for k := 0.0; k*step < a.length(); k++ {
		from := a.normal(p.place + float64(k*step))
		onB, d, ok := b.nearest(a.at(from), p.distance*1.3)
		if ok && d <= p.distance*1.3 && a.isFree(from, from) && b.isFree(onB, onB) {
			t.addGate(p, from, from, onB, onB, true)
			return
		}
	}
	onB, _, _ := b.nearest(a.at(p.place), math.Inf(1))
	t.addGate(p, p.place, p.place, onB, onB, true)
}

// gateAt makes a gate if the turns run side by side there and are not open yet.
func (t *turns) gateAt(p pair, from, width float64) bool {
	a, b := &t.all[p.a], &t.all[p.b]
	if 3*width > a.length() || 3*width > b.length() {
		return false
	}
	to := from + width
	var ends [3]float64
	for i := range ends {
		mm, _, ok := b.nearest(a.at(from+float64(float64(width*float64(i))/2)), p.distance*1.1)
		if !ok {
			return false
		}
		ends[i] = mm
	}
	forward := b.normal(ends[2] - ends[0])
	same := forward < b.length()/2
	if !same {
		forward = b.length() - forward
		ends[0], ends[2] = ends[2], ends[0]
	}
	if forward < width/2 || forward > 2*width || !a.isFree(from, to) || !b.isFree(ends[0], ends[2]) {
		return false
	}
	t.addGate(p, from, a.normal(to), ends[0], ends[2], same)
	return true
}

func (t *turns) addGate(p pair, from, to, otherFrom, otherTo float64, same bool) {
	a, b := &t.all[p.a], &t.all[p.b]
	ends, others := [2]float64{otherFrom, otherTo}, [2]float64{from, to}
	if !same {
		ends[0], ends[1], others[0], others[1] = ends[1], ends[0], others[1], others[0]
	}
	t.count++
	a.gates = append(a.gates, gate{t.count, from, to, p.b, ends})
	b.gates = append(b.gates, gate{t.count, otherFrom, otherTo, p.a, others})
}

// isFree reports whether no gate lies within a stretch of the turn.
func (m *turn) isFree(from, to float64) bool {
	width := m.normal(to - from)
	for _, g := range m.gates {
		if m.normal(g.from-from) <= width || m.normal(from-g.from) <= m.normal(g.to-g.from) {
			return false
		}
	}
	return true
}

// walk is the closed line through a turn and all that it is joined with.
func (t *turns) walk(start int) []geom.Point {
	line := t.around(nil, start, -1, 0, true)
	if line[0].Distance(line[len(line)-1]) > geom.SamePoint {
		line = append(line, line[0])
	}
	return geom.WithoutRepeats(line)
}

// around appends the way once around a turn, from one end of a gate to the other,
// through whatever is joined to the turn at its other gates. Without a gate (-1)
// the way leads from the given place back to it.
func (t *turns) around(line []geom.Point, at, gate int, place float64, forward bool) []geom.Point {
	m := &t.all[at]
	var others []int
	end := place
	for i, g := range m.gates {
		switch {
		case g.id != gate:
			others = append(others, i)
		case forward:
			place, end = g.to, g.from
		default:
			place, end = g.from, g.to
		}
	}
	// How far a place is along the way.
	along := func(mm float64) float64 {
		if !forward {
			return m.normal(place - mm)
		}
		return m.normal(mm - place)
	}
	near := func(i int) float64 {
		if forward {
			return m.gates[i].from
		}
		return m.gates[i].to
	}
	slices.SortFunc(others, func(i, j int) int { return cmp.Compare(along(near(i)), along(near(j))) })
	from := place
	for _, i := range others {
		g := m.gates[i]
		line = m.stretch(line, from, along(near(i))-along(from), forward)
		there, from2 := g.ends[0], g.to
		if !forward {
			there, from2 = g.ends[1], g.from
		}
		for _, h := range t.all[g.other].gates {
			if h.id == g.id {
				line = t.around(line, g.other, g.id, 0, h.to == there)
			}
		}
		from = from2
	}
	rest := along(end) - along(from)
	if rest <= 0 {
		rest += m.length()
	}
	return m.stretch(line, from, rest, forward)
}
