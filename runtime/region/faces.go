package region

import (
	"slices"

	"wend/runtime/geom"
)

// faces is an arrangement with the winding numbers of the areas between its
// edges. Half edge 2e runs along edge e from its first end to its second, and
// 2e+1 back.
type faces struct {
	*arrangement
	// The half edges that leave vertex v are around[first[v]:first[v+1]],
	// anticlockwise, beginning with the direction after that of -x.
	first, around []int32
	place         []int32   // of each half edge in around
	left          []winding // to the left of each half edge
}

func (r *arrangement) faces(work Work) (*faces, error) {
	f := &faces{arrangement: r}
	f.order()
	if err := work(10*len(r.edges), 0); err != nil {
		return nil, err
	}
	return f, f.wind(work)
}

func (f *faces) origin(half int32) int32 {
	e := &f.edges[half/2]
	if half%2 == 0 {
		return e.from
	}
	return e.to
}

// turns is by how much the winding number is higher to the left of a half edge
// than to its right.
func (f *faces) turns(half int32) winding {
	if w := f.edges[half/2].turns; half%2 == 0 {
		return w
	} else {
		return w.reversed()
	}
}

// order sorts the half edges around their vertices.
func (f *faces) order() {
	f.first = make([]int32, len(f.vertices)+1)
	for _, e := range f.edges {
		f.first[e.from]++
		f.first[e.to]++
	}
	total := int32(0)
	for v := range f.first {
		total, f.first[v] = total+f.first[v], total
	}
	f.around = make([]int32, total)
	next := slices.Clone(f.first)
	for half := range int32(2 * len(f.edges)) {
		v := f.origin(half)
		f.around[next[v]] = half
		next[v]++
	}
	way := func(half int32) node { return f.vertices[f.origin(half^1)].sub(f.vertices[f.origin(half)]) }
	for v := range f.vertices {
		slices.SortFunc(f.around[f.first[v]:f.first[v+1]], func(g, h int32) int { return compareAngles(way(g), way(h)) })
	}
	f.place = make([]int32, total)
	for i, half := range f.around {
		f.place[half] = int32(i)
	}
}

// compareAngles orders directions by their angle, above -180 up to 180 degrees.
func compareAngles(d, e node) int {
	third := func(d node) int {
		switch {
		case d.y < 0:
			return 0
		case d.y > 0 || d.x > 0:
			return 1
		}
		return 2
	}
	if s, t := third(d), third(e); s != t {
		return s - t
	}
	switch c := d.cross(e); {
	case c > 0:
		return -1
	case c < 0:
		return 1
	}
	return 0
}

// wind finds the winding numbers: of each connected part from the outside of its
// leftmost vertex on, around vertex after vertex.
func (f *faces) wind(work Work) error {
	f.left = make([]winding, 2*len(f.edges))
	byX := make([]int32, len(f.vertices))
	for v := range byX {
		byX[v] = int32(v)
	}
	slices.SortFunc(byX, func(v, w int32) int {
		a, b := f.vertices[v], f.vertices[w]
		if a.x != b.x {
			return int(a.x - b.x)
		}
		return int(a.y - b.y)
	})
	frames := make([]frame, len(f.edges))
	lowest := int64(0)
	for i, e := range f.edges {
		frames[i] = frameOf(f.vertices[e.from], f.vertices[e.to])
		lowest = min(lowest, frames[i].minX)
	}
	edges := newIndex(frames)
	reached := make([]bool, len(f.vertices))
	var waiting []int32
	for _, v := range byX {
		if reached[v] || f.first[v] == f.first[v+1] {
			continue
		}
		outside, seen := f.outside(edges, lowest, f.vertices[v])
		if err := work(seen, 0); err != nil {
			return err
		}
		f.left[f.around[f.first[v+1]-1]] = outside
		reached[v] = true
		// What lies left of one half edge is known at each vertex that waits.
		waiting = append(waiting[:0], f.around[f.first[v+1]-1])
		for len(waiting) > 0 {
			known := waiting[len(waiting)-1]
			waiting = waiting[:len(waiting)-1]
			from, to := f.first[f.origin(known)], f.first[f.origin(known)+1]
			w := f.left[known]
			for i, half := f.place[known], int32(-1); half != known; {
				if i++; i == to {
					i = from
				}
				half = f.around[i]
				// What is left of one is right of the next.
				f.left[half^1] = w
				w = w.plus(f.turns(half))
				f.left[half] = w
				if end := f.origin(half ^ 1); !reached[end] {
					reached[end] = true
					waiting = append(waiting, half^1)
				}
			}
		}
	}
	return nil
}

// outside is the winding number just left of a vertex, and a little above it,
// that is the leftmost of its part; and how many edges were looked at.
func (f *faces) outside(edges *index, lowest int64, p node) (w winding, seen int) {
	edges.visit(node{lowest - 1, p.y}, p, 0, func(i int32) {
		seen++
		e := &f.edges[i]
		a, b := f.vertices[e.from], f.vertices[e.to]
		if (a.y > p.y) == (b.y > p.y) {
			return
		}
		// Seen from the far left, a line that falls leads into what it runs
		// around anticlockwise.
		sign := int32(-1)
		s := side(a, b, p)
		if b.y < a.y {
			sign, s = 1, -s
		}
		if s < 0 {
			w[0] += sign * e.turns[0]
			w[1] += sign * e.turns[1]
		}
	})
	return w, seen
}

// outline is a closed line between what is inside and what is not, with the
// inside on its left.
type outline struct {
	vertices []int32
	lines    []int32 // of each piece, from its vertex to the next, the line that it is of
}

// touching says which way an outline goes on at a vertex that it comes to more
// than once.
type touching int32

// Faces that are inside and touch at a vertex only have an outline each; or what
// lies between them has.
const (
	apart  touching = -1
	joined touching = 1
)

// outlines are the borders of the faces whose winding numbers are inside.
// Outlines may touch each other, and themselves, at vertices, and never cross.
func (f *faces) outlines(inside func(winding) bool, at touching) []outline {
	border := make([]bool, len(f.left))
	for half := range border {
		border[half] = inside(f.left[half]) && !inside(f.left[half^1])
	}
	var all []outline
	used := make([]bool, len(border))
	for start := range border {
		if !border[start] || used[start] {
			continue
		}
		var o outline
		for half := int32(start); !used[half]; half = f.next(half, border, at) {
			used[half] = true
			o.vertices = append(o.vertices, f.origin(half))
			o.lines = append(o.lines, f.edges[half/2].line)
		}
		all = append(all, o)
	}
	return all
}

// next is the half edge along which a border goes on. The first one clockwise
// from the way back has the same face to its left; the first one anticlockwise
// has the same face to its right.
func (f *faces) next(half int32, border []bool, at touching) int32 {
	v := f.origin(half ^ 1)
	from, count := f.first[v], f.first[v+1]-f.first[v]
	for i := f.place[half^1] - from; ; {
		i = (i + int32(at) + count) % count
		if g := f.around[from+i]; border[g] {
			return g
		}
	}
}

// points is the closed line in mm, its first point again at its end, without the
// vertices at which only the grid bent it; nil if nothing is left of it.
func (f *faces) points(o outline) []geom.Point {
	var points []geom.Point
	for i, v := range o.vertices {
		before := o.lines[(i+len(o.lines)-1)%len(o.lines)]
		if before != o.lines[i] {
			points = append(points, f.given[v])
		}
	}
	if len(points) < 3 {
		return nil
	}
	return append(points, points[0])
}

// region is the outlines as a region.
func (f *faces) region(inside func(winding) bool, at touching) Region {
	var r Region
	for _, o := range f.outlines(inside, at) {
		if points := f.points(o); points != nil {
			r = append(r, geom.RunsOf(points))
		}
	}
	return r
}
