package halftone

import "math"

// Edges are where the tone changes most on the way across (Canny 1986), found to
// a fraction of a cell on a parabola through three neighbours and linked into
// chains (Devernay 1995; Grompone von Gioi and Randall 2017; from memory). Tones
// are those that the eye tells apart, so that an edge in the dark counts like
// one in the light.

// edgel is a place of an edge.
type edgel struct {
	at         spot
	dx, dy     float64 // the change of tone there, to the right and up
	steep      float64 // its size
	next, prev int32   // in its chain, or -1
}

// edges are the places at which a picture has an edge, one at most in a cell.
type edges struct {
	columns, rows int
	of            []int32 // the edgel of each cell, or -1
	all           []edgel
}

// edgesOf are the edges of tones under a blur of a deviation in cells, of a
// change of at least so much a cell.
func edgesOf(seen *grid, deviation, least float64) *edges {
	smooth := seen.blurred(deviation, repeated)
	columns, rows := seen.columns, seen.rows
	steep := newGrid(columns, rows)
	slope := func(x, y int) (dx, dy float64) {
		return (smooth.cell(x+1, y) - smooth.cell(x-1, y)) / 2, (smooth.cell(x, y+1) - smooth.cell(x, y-1)) / 2
	}
	for y := range rows {
		for x := range columns {
			dx, dy := slope(x, y)
			steep.at[y*columns+x] = math.Sqrt(float64(dx*dx) + float64(dy*dy))
		}
	}
	e := &edges{columns: columns, rows: rows, of: make([]int32, columns*rows)}
	for y := range rows {
		for x := range columns {
			i := y*columns + x
			e.of[i] = -1
			here := steep.at[i]
			if here < least || x == 0 || y == 0 || x == columns-1 || y == rows-1 {
				continue
			}
			dx, dy := slope(x, y)
			across := math.Abs(dx) >= math.Abs(dy)
			before, after := steep.at[i-columns], steep.at[i+columns]
			if across {
				before, after = steep.at[i-1], steep.at[i+1]
			}
			if before >= here || after > here {
				continue
			}
			off := (before - after) / (2 * (before - 2*here + after))
			at := spot{float64(x) + 0.5, float64(y) + 0.5}
			if across {
				at.x += off
			} else {
				at.y += off
			}
			e.of[i] = int32(len(e.all))
			e.all = append(e.all, edgel{at, dx, dy, here, -1, -1})
		}
	}
	return e
}

// follows says how well edgel b goes on from a: more the nearer it is, and under
// 0 if it lies before a. It is 0 if the two are not of one edge.
func (e *edges) follows(a, b int32) float64 {
	p, q := &e.all[a], &e.all[b]
	x, y := q.at.x-p.at.x, q.at.y-p.at.y
	ofP := float64(p.dy*x) - float64(p.dx*y)
	ofQ := float64(q.dy*x) - float64(q.dx*y)
	if float64(ofP*ofQ) <= 0 {
		return 0
	}
	near := 1 / math.Sqrt(float64(x*x)+float64(y*y))
	if ofP < 0 {
		return -near
	}
	return near
}

// link makes chains: each edgel goes on at the one nearest around it, of those
// that want the same one the nearest.
func (e *edges) link() {
	const around = 2
	for i := range e.all {
		a := int32(i)
		next, prev := int32(-1), int32(-1)
		ahead, behind := 0.0, 0.0
		cx, cy := int(e.all[i].at.x), int(e.all[i].at.y)
		for y := max(cy-around, 0); y <= min(cy+around, e.rows-1); y++ {
			for x := max(cx-around, 0); x <= min(cx+around, e.columns-1); x++ {
				b := e.of[y*e.columns+x]
				if b < 0 || b == a {
					continue
				}
				switch s := e.follows(a, b); {
				case s > ahead:
					next, ahead = b, s
				case s < behind:
					prev, behind = b, s
				}
			}
		}
		if next >= 0 {
			e.chain(a, next)
		}
		if prev >= 0 {
			e.chain(prev, a)
		}
	}
}

// chain lets b follow a, unless either has a nearer neighbour.
func (e *edges) chain(a, b int32) {
	p, q := &e.all[a], &e.all[b]
	near := e.follows(a, b)
	if p.next == b || p.next >= 0 && e.follows(a, p.next) >= near || q.prev >= 0 && e.follows(q.prev, b) >= near {
		return
	}
	if p.next >= 0 {
		e.all[p.next].prev = -1
	}
	if q.prev >= 0 {
		e.all[q.prev].next = -1
	}
	p.next, q.prev = b, a
}

// stroke is a chain as a line, in cells.
type stroke struct {
	line   []spot
	closed bool    // its last place is its first
	weight float64 // how much it is to be seen: its length times its steepness
}

// strokes are the chains of which one place at least is so steep, open ones
// first.
func (e *edges) strokes(steep float64) []stroke {
	var all []stroke
	used := make([]bool, len(e.all))
	for _, closed := range [2]bool{false, true} {
		for i := range e.all {
			if used[i] || !closed && e.all[i].prev >= 0 {
				continue
			}
			s := stroke{closed: closed}
			most := 0.0
			for k := int32(i); k >= 0 && !used[k]; k = e.all[k].next {
				used[k] = true
				s.line = append(s.line, e.all[k].at)
				s.weight += e.all[k].steep
				most = max(most, e.all[k].steep)
			}
			if closed {
				s.line = append(s.line, s.line[0])
			}
			if most >= steep && len(s.line) > 2 {
				all = append(all, s)
			}
		}
	}
	return all
}
