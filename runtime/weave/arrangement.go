package weave

import (
	"cmp"
	"math"
	"slices"

	"wend/runtime/geom"
)

// arrangement is a drawing taken apart into straight segments that meet at
// vertices only. Segments are added one at a time: each is split where it meets
// what is there, what is there is split where the new one meets it, and what
// would lie on a segment that is there already is left out.
//
// All decisions are made with the tolerance geom.SamePoint, and what counts in
// the end is whether two pieces know the same vertex. A meeting missed by
// rounding therefore leaves two vertices a millionth of a mm apart and nothing
// worse.
type arrangement struct {
	vertices *vertexTable
	ends     [][2]int32 // the vertices of each segment, in drawing order
	splits   []int32    // per segment, its place in crossed, or -1
	crossed  [][]split  // vertices inside a segment, in order from its first end
	log      []splitAt  // the splits in the order they were made
	grid     *grid
	room     *Room   // or nil
	built    int     // how many segments the grid was laid out for
	reach    float64 // of searches, in mm
	totalMM  float64
	box      geom.Box

	seen    []int32 // per segment, the last search that looked at it
	search  int32
	touches []split
	covers  [][2]float64
}

// split is a vertex on a segment, at mm from its first end.
type split struct {
	at     float64
	vertex int32
}

type splitAt struct {
	split
	segment int32
}

// newArrangement expects so many segments of a total length within a box, and
// searches with a reach in mm. It may hold any others.
func newArrangement(count int, totalMM float64, box geom.Box, reach float64, room *Room) *arrangement {
	return &arrangement{
		vertices: newVertexTable(count, room),
		ends:     room.takePairs(count)[:0],
		splits:   room.takeNumbers(count)[:0],
		seen:     room.takeNumbers(count)[:0],
		grid:     newGrid(count, totalMM, box, reach, room),
		room:     room,
		built:    count,
		reach:    reach,
		box:      geom.EmptyBox(),
	}
}

func (r *arrangement) point(v int32) geom.Point { return r.vertices.points[v] }

// line is where a segment begins and ends.
func (r *arrangement) line(segment int32) (a, b geom.Point) {
	e := r.ends[segment]
	return r.point(e[0]), r.point(e[1])
}

// inner is the vertices inside a segment, in order.
func (r *arrangement) inner(segment int32) []split {
	if i := r.splits[segment]; i >= 0 {
		return r.crossed[i]
	}
	return nil
}

// nearby lists the segments that come within reach of the one from a to b, and
// some others; each once. The list is good until the next call.
func (r *arrangement) nearby(a, b geom.Point, reach float64, f func(segment int32)) {
	r.search++
	for len(r.seen) < len(r.ends) {
		r.seen = append(r.seen, 0)
	}
	r.grid.near(a, b, reach, func(s int32) {
		if r.seen[s] != r.search {
			r.seen[s] = r.search
			f(s)
		}
	})
}

// splitSegment puts a vertex inside a segment unless it is there.
func (r *arrangement) splitSegment(segment int32, at float64, v int32) {
	if e := r.ends[segment]; e[0] == v || e[1] == v {
		return
	}
	i := r.splits[segment]
	if i < 0 {
		i = int32(len(r.crossed))
		r.splits[segment] = i
		r.crossed = append(r.crossed, nil)
	}
	list := r.crossed[i]
	k, _ := slices.BinarySearchFunc(list, at, func(s split, at float64) int { return cmp.Compare(s.at, at) })
	for j := k; j < len(list) && list[j].at <= at+4*geom.SamePoint; j++ {
		if list[j].vertex == v {
			return
		}
	}
	for j := k - 1; j >= 0 && list[j].at >= at-4*geom.SamePoint; j-- {
		if list[j].vertex == v {
			return
		}
	}
	r.crossed[i] = slices.Insert(list, k, split{at, v})
	r.log = append(r.log, splitAt{split{at, v}, segment})
}

// addDot adds a lone point; where it lies on a segment, it splits it.
func (r *arrangement) addDot(p geom.Point) int32 {
	v, _ := r.vertices.add(p)
	r.nearby(p, p, 0, func(s int32) {
		c, d := r.line(s)
		if at, on := onSegment(p, c, d); on {
			r.splitSegment(s, at, v)
		}
	})
	return v
}

// onSegment reports whether p lies within geom.SamePoint of the segment from c to
// d, and how far from c.
func onSegment(p, c, d geom.Point) (at float64, on bool) {
	along := d.Sub(c)
	length := along.Length()
	if length == 0 {
		return 0, p.Distance(c) <= geom.SamePoint
	}
	at = p.Sub(c).Dot(along) / length
	if at < 0 || at > length {
		return at, min(p.Distance(c), p.Distance(d)) <= geom.SamePoint
	}
	return at, math.Abs(p.Sub(c).Cross(along)) <= float64(geom.SamePoint*length)
}

// add adds the segment from a to b. The new segments are those at the end of
// r.ends; there are none if all of it has been drawn before.
func (r *arrangement) add(a, b geom.Point) {
	va, _ := r.vertices.add(a)
	vb, _ := r.vertices.add(b)
	a, b = r.point(va), r.point(vb)
	if va == vb {
		r.addDot(a)
		return
	}
	along := b.Sub(a)
	length := along.Length()
	r.touches, r.covers = r.touches[:0], r.covers[:0]
	low := geom.Point{X: min(a.X, b.X) - geom.SamePoint, Y: min(a.Y, b.Y) - geom.SamePoint}
	high := geom.Point{X: max(a.X, b.X) + geom.SamePoint, Y: max(a.Y, b.Y) + geom.SamePoint}
	r.nearby(a, b, 0, func(s int32) {
		c, d := r.line(s)
		if c.X < low.X && d.X < low.X || c.X > high.X && d.X > high.X ||
			c.Y < low.Y && d.Y < low.Y || c.Y > high.Y && d.Y > high.Y {
			return
		}
		r.meet(s, va, vb, length)
	})

	slices.SortFunc(r.touches, func(p, q split) int {
		return cmp.Or(cmp.Compare(p.at, q.at), cmp.Compare(p.vertex, q.vertex))
	})
	r.touches = append(r.touches, split{length, vb})
	slices.SortFunc(r.covers, func(p, q [2]float64) int {
		return cmp.Or(cmp.Compare(p[0], q[0]), cmp.Compare(p[1], q[1]))
	})
	covered, covers := math.Inf(-1), r.covers
	from := split{0, va}
	for i, to := range r.touches {
		if to.vertex == from.vertex || to.vertex == vb && i < len(r.touches)-1 {
			continue
		}
		middle := (from.at + to.at) / 2
		for len(covers) > 0 && covers[0][0] <= middle {
			covered = max(covered, covers[0][1])
			covers = covers[1:]
		}
		if covered < middle {
			r.push(from.vertex, to.vertex)
		}
		from = to
	}
}

// meet finds where the new segment between va and vb meets segment s, splits s
// there, and notes the places on the new one.
func (r *arrangement) meet(s, va, vb int32, length float64) {
	a, b := r.point(va), r.point(vb)
	c, d := r.line(s)
	vc, vd := r.ends[s][0], r.ends[s][1]
	along, across := b.Sub(a), d.Sub(c)
	reach := across.Length()
	first, last, count := math.Inf(1), math.Inf(-1), 0
	touch := func(at float64, v int32) {
		if v == va {
			at = 0
		} else if v == vb {
			at = length
		}
		if at < first {
			first = at
		}
		if at > last {
			last = at
		}
		count++
		r.touches = append(r.touches, split{at, v})
	}
	for _, v := range [2]int32{vc, vd} {
		if v == va || v == vb {
			touch(0, v)
		} else if at, on := onSegment(r.point(v), a, b); on {
			touch(at, v)
		}
	}
	for _, v := range [2]int32{va, vb} {
		if v == vc || v == vd {
			continue
		}
		if at, on := onSegment(r.point(v), c, d); on {
			r.splitSegment(s, at, v)
			touch(0, v)
		}
	}
	switch {
	case count == 0:
		// The segments cross if each has its ends on both sides of the other.
		ac, ad := c.Sub(a).Cross(along), d.Sub(a).Cross(along)
		ca, cb := a.Sub(c).Cross(across), b.Sub(c).Cross(across)
		if (ac > 0) == (ad > 0) || (ca > 0) == (cb > 0) {
			return
		}
		t := ca / (ca - cb)
		v, _ := r.vertices.add(geom.Point{
			X: a.X + float64(t*along.X),
			Y: a.Y + float64(t*along.Y),
		})
		r.splitSegment(s, float64(reach*(ac/(ac-ad))), v)
		touch(float64(length*t), v)
	case count > 1 && last-first > geom.SamePoint:
		r.covers = append(r.covers, [2]float64{first, last})
	}
}

// push appends a segment between two vertices.
func (r *arrangement) push(va, vb int32) {
	a, b := r.point(va), r.point(vb)
	s := int32(len(r.ends))
	r.ends = append(r.ends, [2]int32{va, vb})
	r.splits = append(r.splits, -1)
	r.totalMM += a.Distance(b)
	r.box = r.box.Include(a).Include(b)
	n := len(r.ends)
	crowded := len(r.grid.long) > 64 || len(r.grid.items) > 16*n+1024
	if r.grid.full() || n > 4*r.built+1024 || crowded && n > r.built+r.built/4+16 {
		r.layOut()
		return
	}
	r.grid.add(s, a, b)
}

// layOut makes a grid that suits the segments there are now.
func (r *arrangement) layOut() {
	r.built = len(r.ends)
	r.grid = newGrid(len(r.ends), r.totalMM, r.box, r.reach, r.room)
	for s := range r.ends {
		a, b := r.line(int32(s))
		r.grid.add(int32(s), a, b)
	}
}

// extent is the state of an arrangement to which truncate can return.
type extent struct{ segments, splits, vertices int32 }

func (r *arrangement) extent() extent {
	return extent{int32(len(r.ends)), int32(len(r.log)), int32(len(r.vertices.points))}
}

// truncate removes whatever was added since the arrangement had that extent.
func (r *arrangement) truncate(to extent) {
	for i := len(r.log) - 1; i >= int(to.splits); i-- {
		s := r.log[i]
		list := r.crossed[r.splits[s.segment]]
		k := slices.Index(list, s.split)
		r.crossed[r.splits[s.segment]] = slices.Delete(list, k, k+1)
	}
	r.log = r.log[:to.splits]
	for i := len(r.ends) - 1; i >= int(to.segments); i-- {
		a, b := r.line(int32(i))
		r.grid.removeLast(int32(i), a, b)
		r.totalMM -= a.Distance(b)
		if k := r.splits[i]; k >= 0 {
			// Lists are made in the order of the splits, not of the segments: an
			// empty one may remain, and belongs to nothing.
			r.crossed[k] = nil
		}
	}
	r.ends, r.splits = r.ends[:to.segments], r.splits[:to.segments]
	r.seen = r.seen[:min(len(r.seen), len(r.ends))]
	r.vertices.truncate(int(to.vertices))
}
