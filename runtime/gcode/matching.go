package gcode

import (
	"math"

	"wend/runtime/geom"
)

// matching decides, while a second line arrives point by point, whether it
// stays within a distance of a first one all along, both run through in order:
// whether their Fréchet distance is at most that.
//
// It is the free-space diagram of Alt & Godau (Computing the Fréchet distance
// between two polygonal curves, 1995; from memory), of which only the cells
// that can be reached are looked at. With a distance far below the length of
// most pieces these lie along one path, so the cost is linear.
type matching struct {
	line []geom.Point
	eps  float64
	eps2 float64    // its square
	at   geom.Point // the newest point of the second line

	// What can be reached when the second line is at its newest point: on
	// piece first+k of the line, the part reach[k] of it, from 0 to 1.
	first int
	reach []part
	spare []part
}

// part is a range within a piece; it is empty if from > to.
type part struct{ from, to float64 }

var everything, nothing = part{0, 1}, part{1, 0}

func (p part) empty() bool { return p.from > p.to }

// newMatching begins with both lines at their first points.
func newMatching(line []geom.Point, at geom.Point, eps float64) *matching {
	m := &matching{line: line, eps: eps, eps2: eps * eps, at: at}
	if line[0].Distance(at) > eps {
		return m
	}
	// A second line of one point goes on along the first while that is near.
	for k := 0; k+1 < len(line); k++ {
		free := m.free(at, line[k], line[k+1])
		if free.empty() || free.from > 0 {
			break
		}
		m.reach = append(m.reach, free)
		if free.to < 1 {
			break
		}
	}
	if len(line) == 1 {
		m.reach = append(m.reach, part{0, 1})
	}
	return m
}

// lost reports whether no way to match is left.
func (m *matching) lost() bool { return len(m.reach) == 0 }

// complete reports whether the end of the line is matched with the newest point.
func (m *matching) complete() bool {
	if len(m.line) == 1 {
		return !m.lost()
	}
	return m.first+len(m.reach) == len(m.line)-1 && !m.lost() && m.reach[len(m.reach)-1].to >= 1
}

// near reports whether two points are within eps of each other.
func (m *matching) near(a, b geom.Point) bool {
	x, y := a.X-b.X, a.Y-b.Y
	return float64(x*x)+float64(y*y) <= m.eps2
}

// free is the part of the piece from a to b within eps of c.
func (m *matching) free(c, a, b geom.Point) part {
	ux, uy := b.X-a.X, b.Y-a.Y
	wx, wy := c.X-a.X, c.Y-a.Y
	uu := float64(ux*ux) + float64(uy*uy)
	uw := float64(ux*wx) + float64(uy*wy)
	ww := float64(wx*wx) + float64(wy*wy)
	nearA, nearB := ww <= m.eps2, m.near(c, b)
	if uu == 0 || nearA && nearB {
		if nearA {
			return everything
		}
		return nothing
	}
	cross := float64(ux*wy) - float64(uy*wx)
	root := float64(m.eps2*uu) - float64(cross*cross)
	if root < 0 {
		return nothing
	}
	root = math.Sqrt(root)
	p := part{(uw - root) / uu, (uw + root) / uu}
	if p.from > 1 || p.to < 0 {
		return nothing
	}
	// An end that lies within eps counts wholly, whatever the rounding.
	if p.from < 0 || nearA {
		p.from = 0
	}
	if p.to > 1 || nearB {
		p.to = 1
	}
	return p
}

// extend goes on to the next point of the second line.
func (m *matching) extend(to geom.Point) {
	if m.lost() || to == m.at {
		return
	}
	if len(m.line) == 1 {
		if m.line[0].Distance(to) > m.eps {
			m.reach = m.reach[:0]
		}
		m.at = to
		return
	}
	next := m.spare[:0]
	nextFirst := -1
	entry := nothing // part of the second line's piece that reaches this cell from the one below
	pieces := len(m.line) - 1
	nearA := m.near(m.line[m.first], to)
	for piece := m.first; piece < pieces; piece++ {
		left := nothing
		if k := piece - m.first; k < len(m.reach) {
			left = m.reach[k]
		} else if entry.empty() {
			break
		}
		// Where both ends of a piece are near, all of it is.
		a, b := m.line[piece], m.line[piece+1]
		nearB := m.near(b, to)
		right := nothing
		if !left.empty() || !entry.empty() {
			if right = everything; !nearA || !nearB {
				right = m.free(to, a, b)
			}
			if entry.empty() && !right.empty() {
				right.from = max(right.from, left.from)
			}
		}
		if nextFirst < 0 && !right.empty() {
			nextFirst = piece
		}
		if nextFirst >= 0 {
			next = append(next, right)
		}
		above := nothing
		if !left.empty() || !entry.empty() {
			if above = everything; !nearB || !m.near(b, m.at) {
				above = m.free(b, m.at, to)
			}
			if left.empty() && !above.empty() {
				above.from = max(above.from, entry.from)
			}
		}
		entry, nearA = above, nearB
	}
	for len(next) > 0 && next[len(next)-1].empty() {
		next = next[:len(next)-1]
	}
	m.spare, m.reach = m.reach, next
	if nextFirst >= 0 {
		m.first = nextFirst
	}
	m.at = to
}

// distance is how far a point is from the line near the place last matched. What
// judges a line shares no arithmetic with what made it.
func (m *matching) distance(p geom.Point) float64 {
	const around = 64
	nearest := math.Inf(1)
	for k := max(0, m.first-around); k < min(len(m.line), m.first+around); k++ {
		a := m.line[k]
		b := m.line[min(k+1, len(m.line)-1)]
		u := b.Sub(a)
		t := 0.0
		if length2 := u.Dot(u); length2 > 0 {
			t = max(0, min(1, p.Sub(a).Dot(u)/length2))
		}
		nearest = min(nearest, p.Distance(a.Add(u.Times(t))))
	}
	return nearest
}
