package tour

import (
	"context"
	"math"

	"wend/runtime/geom"
)

// uncross exchanges the pieces of the way that cross, until none do. Two that
// cross are longer than the two that join the same four points without, so
// every exchange shortens the way, and the search ends.
func (w *way) uncross(ctx context.Context) error {
	priced := w.cost != nil
	if priced {
		w.setCost(nil)
	}
	for {
		found := w.crossings()
		if len(found) == 0 {
			return nil
		}
		w.journal = w.journal[:0]
		helped := false
		for _, pair := range found {
			a, b := pair.a, pair.b
			a2, b2 := w.next(a), w.next(b)
			if !w.cross(a, a2, b, b2) {
				continue // an exchange before this one has taken care of it
			}
			old := w.distance(a, a2) + w.distance(b, b2)
			if old-w.distance(a, b)-w.distance(a2, b2) <= shorter*old {
				continue
			}
			w.reverse(a2, b)
			for _, node := range [...]int32{a, a2, b, b2} {
				w.queue.put(node)
			}
			helped = true
		}
		if priced {
			// To look for what is shorter would undo what was worth its price.
			w.queue = newWorklist(w.nodes)
		}
		if err := w.settle(ctx); err != nil {
			return err
		}
		if !helped {
			return nil
		}
	}
}

// crossings lists pairs of nodes whose pieces, each from a node to the next,
// cross. Pieces are entered into a grid of cells about as wide as a piece is
// long, so the work grows with the number of pieces.
func (w *way) crossings() []edge {
	g := w.grid()
	var found []edge
	for cell := range g.starts[:len(g.starts)-1] {
		pieces := g.pieces[g.starts[cell]:g.starts[cell+1]]
		for i, a := range pieces {
			for _, b := range pieces[:i] {
				if w.cross(a, w.next(a), b, w.next(b)) {
					found = append(found, edge{a, b})
				}
			}
		}
	}
	return found
}

// cross reports whether the pieces a-a2 and b-b2 meet in a point inside both.
func (w *way) cross(a, a2, b, b2 int32) bool {
	if a == b || a == b2 || a2 == b || a2 == b2 || a == w.extra || a2 == w.extra || b == w.extra || b2 == w.extra {
		return false
	}
	p, p2, q, q2 := w.points[a], w.points[a2], w.points[b], w.points[b2]
	return opposite(p, p2, q, q2) && opposite(q, q2, p, p2)
}

// opposite reports whether a and b lie on different sides of the line p-q.
func opposite(p, q, a, b geom.Point) bool {
	along := q.Sub(p)
	left, right := along.Cross(a.Sub(p)), along.Cross(b.Sub(p))
	return left > 0 && right < 0 || left < 0 && right > 0
}

// cells holds, for each cell of a grid, the first nodes of the pieces that run
// through it: those of cell i are pieces[starts[i]:starts[i+1]].
type cells struct {
	starts []int32
	pieces []int32
}

func (w *way) grid() cells {
	box := geom.Bounds(w.points)
	size := math.Max(math.Sqrt((box.Max.X-box.Min.X)*(box.Max.Y-box.Min.Y)/float64(w.nodes)), w.sum()/float64(w.nodes))
	columns := int((box.Max.X-box.Min.X)/size) + 1
	rows := int((box.Max.Y-box.Min.Y)/size) + 1
	cellOf := func(value, from float64, count int) int {
		return min(max(int((value-from)/size), 0), count-1)
	}
	// through calls visit for every cell that the piece from a node may touch:
	// row by row, from column to column.
	through := func(a int32, visit func(cell int)) {
		b := w.next(a)
		if a == w.extra || b == w.extra {
			return
		}
		p, q := w.points[a], w.points[b]
		if p.Y > q.Y {
			p, q = q, p
		}
		low, high := cellOf(p.Y, box.Min.Y, rows), cellOf(q.Y, box.Min.Y, rows)
		at := func(y float64) float64 { // the x of the piece at a height
			if q.Y == p.Y {
				return p.X
			}
			return p.X + (q.X-p.X)*min(max((y-p.Y)/(q.Y-p.Y), 0), 1)
		}
		for row := low; row <= high; row++ {
			from, to := p.X, q.X
			if row > low {
				from = at(box.Min.Y + float64(row)*size)
			}
			if row < high {
				to = at(box.Min.Y + float64(row+1)*size)
			}
			// A hair wider, for what rounding does to the x at a height.
			first := cellOf(min(from, to)-size*1e-6, box.Min.X, columns)
			last := cellOf(max(from, to)+size*1e-6, box.Min.X, columns)
			for column := first; column <= last; column++ {
				visit(row*columns + column)
			}
		}
	}
	g := cells{starts: make([]int32, rows*columns+1)}
	for a := range w.nodes {
		through(a, func(cell int) { g.starts[cell+1]++ })
	}
	for cell := range rows * columns {
		g.starts[cell+1] += g.starts[cell]
	}
	g.pieces = make([]int32, g.starts[rows*columns])
	filled := make([]int32, rows*columns)
	for a := range w.nodes {
		through(a, func(cell int) {
			g.pieces[g.starts[cell]+filled[cell]] = a
			filled[cell]++
		})
	}
	return g
}

// sum is the length of the way, in mm.
func (w *way) sum() float64 {
	sum := 0.0
	for place, node := range w.tour {
		sum += w.distance(node, w.after(int32(place)))
	}
	return sum
}
