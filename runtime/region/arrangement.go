package region

import (
	"cmp"
	"slices"

	"wend/runtime/geom"
)

// arrangement is lines taken apart into edges that meet at vertices only.
//
// Where lines cross, the crossing is rounded to the grid. So that this moves no
// line across another, every line is led through every vertex within whose cell
// of the grid it passes (snap rounding: J. D. Hobby, "Practical segment
// intersection with finite precision output", Computational Geometry 13, 1999,
// by its abstract): no line is moved by more than a cell, and no new crossings
// arise. All of it is exact; there is no tolerance to choose.
type arrangement struct {
	grid     grid
	vertices []node
	given    []geom.Point // mm: each vertex as it was given, or the grid's point
	at       map[node]int32
	added    int32  // pieces of lines
	lines    []edge // those pieces, where many run alike only one
	edges    []edge // with nothing joining on the way
}

// edge goes between two vertices; from < to.
type edge struct {
	from, to int32
	// turns is how many lines of each set run from its first end to its second,
	// less those that run the other way.
	turns winding
	// line is the first of the pieces of lines that run along it, by which of those
	// that were added, and from which it has its direction.
	line int32
}

// winding counts how often the lines of each of two sets run around a place,
// anticlockwise.
type winding [2]int32

func (w winding) plus(x winding) winding { return winding{w[0] + x[0], w[1] + x[1]} }

func (w winding) reversed() winding { return winding{-w[0], -w[1]} }

func newArrangement(box geom.Box) *arrangement {
	return &arrangement{grid: gridFor(box), at: map[node]int32{}}
}

func (r *arrangement) vertex(p node, given geom.Point) int32 {
	if v, known := r.at[p]; known {
		return v
	}
	v := int32(len(r.vertices))
	r.at[p] = v
	r.vertices = append(r.vertices, p)
	r.given = append(r.given, given)
	return v
}

// addRing adds a closed line; its last point is joined to its first.
func (r *arrangement) addRing(points []geom.Point, set int) {
	last := r.vertex(r.grid.snap(points[len(points)-1]), points[len(points)-1])
	for _, p := range points {
		v := r.vertex(r.grid.snap(p), p)
		r.addLine(last, v, set)
		last = v
	}
}

func (r *arrangement) addLine(from, to int32, set int) {
	e := edge{from: from, to: to, line: r.added}
	r.added++
	e.turns[set] = 1
	if from > to {
		e.from, e.to, e.turns = to, from, e.turns.reversed()
	}
	if from != to {
		r.lines = append(r.lines, e)
	}
}

// resolve finds the edges.
func (r *arrangement) resolve(work Work) error {
	// Of many copies of a line only one meets the others.
	r.lines = merged(r.lines)
	slices.SortFunc(r.lines, func(e, f edge) int { return cmp.Compare(e.line, f.line) })
	if err := r.findCrossings(work); err != nil {
		return err
	}
	frames := make([]frame, len(r.vertices))
	for i, v := range r.vertices {
		frames[i] = frameOf(v, v)
	}
	cells := newIndex(frames)
	type stop struct{ along, vertex int64 }
	var stops []stop
	for _, l := range r.lines {
		a, b := r.vertices[l.from], r.vertices[l.to]
		stops = stops[:0]
		seen := 0
		cells.visit(a, b, 1, func(v int32) {
			seen++
			if p := r.vertices[v]; throughCell(a, b, p) {
				// What a line passes through it passes in the order of both
				// coordinates.
				stops = append(stops, stop{max(p.x-a.x, a.x-p.x) + max(p.y-a.y, a.y-p.y), int64(v)})
			}
		})
		if err := work(seen+len(stops), len(stops)); err != nil {
			return err
		}
		slices.SortFunc(stops, func(s, t stop) int { return cmp.Compare(s.along, t.along) })
		for j := 1; j < len(stops); j++ {
			e := edge{from: int32(stops[j-1].vertex), to: int32(stops[j].vertex), line: l.line, turns: l.turns}
			if e.from > e.to {
				e.from, e.to, e.turns = e.to, e.from, e.turns.reversed()
			}
			r.edges = append(r.edges, e)
		}
	}
	r.edges = merged(r.edges)
	return nil
}

// throughCell reports whether a segment passes through the cell of p: the unit
// square around it, with its lower and its left edge.
func throughCell(a, b, p node) bool {
	if p.x < min(a.x, b.x) || p.x > max(a.x, b.x) || p.y < min(a.y, b.y) || p.y > max(a.y, b.y) {
		return false
	}
	way := b.sub(a)
	off := 2 * way.cross(p.sub(a))
	reach := max(way.x, -way.x) + max(way.y, -way.y)
	if off == reach || off == -reach {
		// The line passes through one corner. If it falls, that is the lower left
		// one, which belongs to the cell, or the upper right one, which does not.
		falls := (way.x > 0) != (way.y > 0)
		lowerLeft := (off > 0) == (way.x > 0)
		return falls && lowerLeft
	}
	return -reach < off && off < reach
}

// findCrossings adds a vertex wherever two lines cross.
func (r *arrangement) findCrossings(work Work) error {
	frames := make([]frame, len(r.lines))
	for i, l := range r.lines {
		frames[i] = frameOf(r.vertices[l.from], r.vertices[l.to])
	}
	near := newIndex(frames)
	for i, l := range r.lines {
		a, b := r.vertices[l.from], r.vertices[l.to]
		seen, found := 0, 0
		near.visit(a, b, 0, func(j int32) {
			seen++
			if int(j) <= i {
				return
			}
			c, d := r.vertices[r.lines[j].from], r.vertices[r.lines[j].to]
			if proper(a, b, c, d) {
				found++
				p := crossing(a, b, c, d)
				r.vertex(p, r.grid.mm(p))
			}
		})
		if err := work(1+seen, found); err != nil {
			return err
		}
	}
	return nil
}

// merged makes one edge of those between the same vertices, and drops those that
// as many lines run along one way as the other. It sorts what it is given.
func merged(edges []edge) []edge {
	slices.SortFunc(edges, func(e, f edge) int {
		return cmp.Or(cmp.Compare(e.from, f.from), cmp.Compare(e.to, f.to), cmp.Compare(e.line, f.line))
	})
	kept := edges[:0]
	for i := 0; i < len(edges); {
		e := edges[i]
		for i++; i < len(edges) && edges[i].from == e.from && edges[i].to == e.to; i++ {
			e.turns = e.turns.plus(edges[i].turns)
		}
		if e.turns != (winding{}) {
			kept = append(kept, e)
		}
	}
	return kept
}
