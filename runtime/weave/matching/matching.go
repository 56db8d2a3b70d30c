// Package matching pairs the vertices of a graph at the least total cost:
// minimum-weight perfect matching in general graphs, exact, with integer
// weights.
//
// The method is Edmonds' blossom algorithm (J. Edmonds, "Maximum matching and a
// polyhedron with 0,1-vertices", J. Res. NBS 69B, 1965) in its primal-dual form
// with one alternating tree at a time (U. Derigs, "A shortest augmenting path
// method for solving minimal perfect matching problems", Networks 11, 1981).
// Because only the one tree changes, and it stops growing as soon as it meets a
// free vertex, the work for points spread over a plane stays near linear: each
// tree is small.
//
// The dual solution that proves the optimum is kept between calls, so edges and
// vertices can be added to a solved problem and the next Solve only repairs what
// they upset.
package matching

import (
	"context"
	"errors"
	"slices"
)

// MaxWeight bounds the absolute weight of an edge, so that no sum along an
// alternating path of millions of edges overflows.
const MaxWeight = 1 << 48

// ErrNoPerfectMatching says that the edges do not allow to pair all vertices.
var ErrNoPerfectMatching = errors.New("the edges do not allow to pair all vertices")

// Edge joins two different vertices, numbered from 0, at a cost.
type Edge struct {
	U, V   int32
	Weight int64
}

// arc is an edge as seen from one of its ends. Its weight is doubled, so that
// the duals, which are multiples of one half, are whole numbers.
type arc struct {
	to     int32
	weight int64
}

// Solver holds a matching problem, its solution so far and the dual solution
// that goes with it.
//
// Every vertex and every blossom (an odd set of vertices, shrunk to one) has a
// dual; those of blossoms are never negative. What counts is the radius of a
// vertex: its own dual plus those of all blossoms around it. Invariants, for
// weights doubled:
//   - no edge between different outermost blossoms is shorter than the sum of
//     the radii of its ends;
//   - matched edges and the links of blossoms are exactly that long, less twice
//     the duals of the blossoms around both ends.
//
// A vertex' radius is a disc around it that no other may overlap; growing the
// discs of one alternating tree and shrinking those in between is all that the
// algorithm does.
type Solver struct {
	arcs [][]arc
	mate []int32 // the partner, or -1
	disc []disc
	leaf []*blossom // the blossom that is the vertex alone

	tree   []*blossom // all that joined the present tree, dissolved ones too
	events heap
	grown  int64 // how far the present tree has grown
	limit  int64 // when a free vertex will be met; later events are not kept
	stamp  int32 // marks blossoms seen in one search for a common ancestor

	room []int32    // to list vertices in
	up   []*blossom // to list the way up a tree in
}

// disc is what is looked at most of a vertex, for each edge that leads to it.
type disc struct {
	radius int64 // less the offset of the set
	set    *set  // the vertices of the outermost blossom around this one
}

// set is the vertices of one outermost blossom. A blossom made of others keeps
// the set of its largest part, so that only the vertices of the smaller parts
// have to be moved, and what happens to the radii of all of them is one number.
type set struct {
	top    *blossom
	offset int64
	joined int64 // how far the tree had grown when the blossom joined it
	label  label
	free   bool // no edge matches it with another blossom; not kept up in a tree
}

// growth is what the present tree has added to the radii of a set so far.
func (s *Solver) growth(st *set) int64 {
	switch st.label {
	case outer:
		return s.grown - st.joined
	case inner:
		return st.joined - s.grown
	}
	return 0
}

func (s *Solver) top(v int32) *blossom { return s.disc[v].set.top }

// resting is the radius of v between solves.
func (s *Solver) resting(v int32) int64 { return s.disc[v].radius + s.disc[v].set.offset }

// move puts v into another set.
func (s *Solver) move(v int32, to *set) {
	d := &s.disc[v]
	d.radius += d.set.offset - to.offset
	d.set = to
}

// NewSolver begins a problem with so many vertices and no edges, and with room for
// more vertices later.
func NewSolver(vertices, later int) *Solver {
	room := vertices + later
	s := &Solver{
		arcs: make([][]arc, 0, room), mate: make([]int32, 0, room), disc: make([]disc, 0, room), leaf: make([]*blossom, 0, room),
	}
	s.AddVertices(vertices)
	return s
}

// AddVertices appends vertices without edges.
func (s *Solver) AddVertices(count int) {
	block, sets := make([]blossom, count), make([]set, count)
	s.arcs, s.mate = slices.Grow(s.arcs, count), slices.Grow(s.mate, count)
	s.disc, s.leaf = slices.Grow(s.disc, count), slices.Grow(s.leaf, count)
	for i := range block {
		v := int32(len(s.mate))
		block[i] = blossom{base: v, leafOf: v, set: &sets[i], size: 1}
		sets[i] = set{top: &block[i], free: true}
		s.arcs = append(s.arcs, nil)
		s.mate = append(s.mate, -1)
		s.disc = append(s.disc, disc{set: &sets[i]})
		s.leaf = append(s.leaf, &block[i])
	}
}

// Mate is the partner of v, or -1.
func (s *Solver) Mate(v int) int { return int(s.mate[v]) }

// DoubledBound is twice the dual objective: no perfect matching over the edges
// added so far costs less than half of it. After a successful Solve it is twice
// the weight of the matching.
func (s *Solver) DoubledBound() int64 {
	var sum int64
	for v := range s.disc {
		sum += s.resting(int32(v))
		if b := s.top(int32(v)); b.base == int32(v) {
			sum -= b.excess()
		}
	}
	return sum
}

// Add brings in edges. Loops are ignored; of parallel edges the cheapest counts.
func (s *Solver) Add(edges []Edge) {
	fresh := make([]bool, len(s.mate))
	for v := range fresh {
		fresh[v] = len(s.arcs[v]) == 0
	}
	s.makeRoom(edges)
	for _, e := range edges {
		if e.U == e.V {
			continue
		}
		s.arcs[e.U] = append(s.arcs[e.U], arc{e.V, 2 * e.Weight})
		s.arcs[e.V] = append(s.arcs[e.V], arc{e.U, 2 * e.Weight})
	}
	for v := range fresh {
		if fresh[v] && len(s.arcs[v]) > 0 {
			s.disc[v].radius = s.firstRadius(v, fresh)
		}
	}
	for _, e := range edges {
		if e.U == e.V {
			continue
		}
		u, v := e.U, e.V
		if gap := s.restingSlack(u, v, 2*e.Weight); gap < 0 {
			if s.top(u).leafOf < 0 && s.top(v).leafOf >= 0 {
				u = v
			}
			s.release(u)
			s.disc[u].radius += min(0, s.restingSlack(e.U, e.V, 2*e.Weight))
		}
	}
}

// makeRoom gives the vertices room for the arcs of the edges, all out of one
// block.
func (s *Solver) makeRoom(edges []Edge) {
	degree := make([]int32, len(s.mate)) // with the arcs there are
	total := 0
	for _, e := range edges {
		for _, v := range [2]int32{e.U, e.V} {
			if degree[v] == 0 {
				degree[v] = int32(len(s.arcs[v]))
				total += len(s.arcs[v])
			}
			degree[v]++
			total++
		}
	}
	block := make([]arc, total)
	for v, d := range degree {
		if d > 0 {
			s.arcs[v], block = append(block[:0:d], s.arcs[v]...), block[d:]
		}
	}
}

// firstRadius is a radius for a vertex that had no edges, such that no edge is
// shorter than the radii of its ends: half the shortest edge to others that are
// new as well, and what the radii of the old ones leave.
func (s *Solver) firstRadius(v int, fresh []bool) int64 {
	r := int64(1) << 62
	for _, a := range s.arcs[v] {
		if fresh[a.to] {
			r = min(r, a.weight/2)
		} else {
			r = min(r, a.weight-s.resting(a.to))
		}
	}
	return r
}

// restingSlack is by how much an edge is longer than its duals, between solves.
func (s *Solver) restingSlack(u, v int32, weight int64) int64 {
	slack := weight - s.resting(u) - s.resting(v)
	if s.disc[u].set == s.disc[v].set {
		around := map[*blossom]bool{}
		for b := s.leaf[u].parent; b != nil; b = b.parent {
			around[b] = true
		}
		for b := s.leaf[v].parent; b != nil; b = b.parent {
			if around[b] {
				slack += 2 * b.dual
			}
		}
	}
	return slack
}

// release takes v out of all blossoms, dissolving them, and frees it and
// whatever else then is no longer matched by an edge without slack.
func (s *Solver) release(v int32) {
	vertices := appendLeaves(nil, s.top(v))
	for _, w := range vertices {
		for c := s.leaf[w].parent; c != nil; c = c.parent {
			s.disc[w].radius -= c.dual
		}
		if m := s.mate[w]; m >= 0 {
			s.mate[m], s.mate[w] = -1, -1
			s.disc[m].set.free = true
		}
	}
	for _, w := range vertices {
		alone := s.leaf[w]
		alone.parent, alone.set = nil, &set{top: alone, free: s.mate[w] < 0}
		s.move(w, alone.set)
	}
}

// firstTreeSize is how many blossoms a tree may take in at first.
const firstTreeSize = 32

// Solve pairs all vertices at the least total weight, going on from the
// solution there is. It fails with ErrNoPerfectMatching, or with the context's
// error; the problem remains usable after either.
//
// A tree that has taken in many blossoms without meeting a free vertex is left,
// with what it did to the duals, in favour of the next free vertex, and tried
// again with more patience when all others have had their turn. So the radii
// grow at about the same time everywhere, and large trees and blossoms are
// rare: they come last, when few free vertices are left and far apart.
func (s *Solver) Solve(ctx context.Context) error {
	s.matchGreedily()
	var free []int32
	for i := range s.mate {
		if v := int32(i); s.mate[v] < 0 && s.top(v).base == v {
			free = append(free, v)
		}
	}
	for size := firstTreeSize; len(free) > 0; size *= 4 {
		var left []int32
		for _, v := range free {
			if s.mate[v] >= 0 {
				continue
			}
			switch s.augmentFrom(ctx, v, size) {
			case stopped:
				return ctx.Err()
			case hopeless:
				return ErrNoPerfectMatching
			case tooLarge:
				left = append(left, v)
			}
		}
		free = left
	}
	return nil
}

// matchGreedily grows each free vertex that stands alone until an edge is tight
// and takes the edge if it leads to another free one.
func (s *Solver) matchGreedily() {
	for i := range s.mate {
		v := int32(i)
		if s.mate[v] >= 0 || s.top(v).leafOf < 0 || len(s.arcs[v]) == 0 {
			continue
		}
		least := int64(1) << 62
		for _, a := range s.arcs[v] {
			least = min(least, a.weight-s.resting(v)-s.resting(a.to))
		}
		s.disc[v].radius += least
		for _, a := range s.arcs[v] {
			if a.weight == s.resting(v)+s.resting(a.to) && s.mate[a.to] < 0 && s.top(a.to).leafOf >= 0 {
				s.mate[v], s.mate[a.to] = a.to, v
				s.disc[v].set.free, s.disc[a.to].set.free = false, false
				break
			}
		}
	}
}
