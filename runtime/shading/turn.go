package shading

import (
	"math"
	"slices"

	"wend/runtime/geom"
)

// turn is one closed line of a coil.
type turn struct {
	geom.Runs
	upTo  []float64
	level int  // how often the area was shrunk
	led   bool // along the middle of narrow parts
	box   geom.Box
	gates []gate
}

func turnOf(line geom.Runs) turn {
	m := turn{Runs: line, box: geom.Bounds(line.Points), upTo: make([]float64, len(line.Points))}
	for i := 1; i < len(line.Points); i++ {
		m.upTo[i] = m.upTo[i-1] + line.Points[i].Distance(line.Points[i-1])
	}
	return m
}

func (m *turn) length() float64 { return m.upTo[len(m.upTo)-1] }

// normal brings a place along the turn into its length.
func (m *turn) normal(mm float64) float64 {
	mm = math.Mod(mm, m.length())
	if mm < 0 {
		mm += m.length()
	}
	return mm
}

func (m *turn) at(mm float64) geom.Point {
	mm = m.normal(mm)
	i, exact := slices.BinarySearch(m.upTo, mm)
	if exact {
		return m.Points[i]
	}
	return m.Points[i-1].Mix(m.Points[i], (mm-m.upTo[i-1])/(m.upTo[i]-m.upTo[i-1]))
}

// nearest is the place along the turn nearest to p, and its distance if that is
// below a limit.
func (m *turn) nearest(p geom.Point, limit float64) (mm, distance float64, ok bool) {
	distance = limit
	wanted := func(box geom.Box, _, _ int) bool {
		dx, dy := max(box.Min.X-p.X, p.X-box.Max.X, 0), max(box.Min.Y-p.Y, p.Y-box.Max.Y, 0)
		return float64(dx*dx)+float64(dy*dy) < float64(distance*distance)
	}
	m.Visit(wanted, func(i int) {
		a, b := m.Points[i], m.Points[i+1]
		share := geom.NearestOnSegment(a, b, p)
		if d := a.Mix(b, share).Distance(p); d < distance {
			distance, ok = d, true
			mm = m.upTo[i] + float64(share*(m.upTo[i+1]-m.upTo[i]))
		}
	})
	return mm, distance, ok
}

// restful is the middle of the longest straight piece, where a beginning shows
// least.
func (m *turn) restful() float64 {
	longest := 1
	for i := 2; i < len(m.upTo); i++ {
		if m.upTo[i]-m.upTo[i-1] > m.upTo[longest]-m.upTo[longest-1]+geom.SamePoint {
			longest = i
		}
	}
	return (m.upTo[longest-1] + m.upTo[longest]) / 2
}

// places are the vertices of the turn from a place on, once around, and places
// between them no farther apart than a step; both ends are among them.
func (m *turn) places(from, step float64) []float64 {
	marks := []float64{from}
	first, _ := slices.BinarySearch(m.upTo, from)
	add := func(to float64) {
		last := marks[len(marks)-1]
		n := math.Ceil((to - last) / step)
		for i := 1.0; i < n; i++ {
			marks = append(marks, last+float64((to-last)*i)/n)
		}
		if to > last {
			marks = append(marks, to)
		}
	}
	for k := range len(m.upTo) - 1 {
		i := first + k
		lap := 0.0
		if i >= len(m.upTo) {
			i, lap = i-len(m.upTo)+1, m.length()
		}
		if mm := m.upTo[i] + lap; mm > from && mm < from+m.length() {
			add(mm)
		}
	}
	add(from + m.length())
	return marks
}

// stretch appends the way along the turn from a place, so many mm forward or
// backward.
func (m *turn) stretch(line []geom.Point, from, mm float64, forward bool) []geom.Point {
	line = append(line, m.at(from))
	places := m.places(m.normal(from), math.Inf(1))
	if forward {
		for _, at := range places {
			if d := at - places[0]; d > 0 && d < mm {
				line = append(line, m.at(at))
			}
		}
		return append(line, m.at(from+mm))
	}
	for _, at := range slices.Backward(places) {
		if d := places[len(places)-1] - at; d > 0 && d < mm {
			line = append(line, m.at(at))
		}
	}
	return append(line, m.at(from-mm))
}
