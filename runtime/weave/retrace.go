package weave

import (
	"context"
	"runtime"
	"slices"
	"sync"

	"wend/runtime/weave/matching"
)

// walkEnds are the vertices where the line has to begin and end, or -1.
type walkEnds struct {
	start, end int32
	closed     bool
}

// leastRetrace finds the edges to go over twice so that one line can cover the
// whole graph, at the least total length. The excess is by how much (in units)
// they are longer than the bound that the dual solution proves.
//
// A line can pass every edge exactly once if at every node but its two ends an
// even number of edges meet. So the odd nodes are paired, each pair joined by
// the shortest way between its two along the drawing, and the pairs chosen for
// the least sum (J. Edmonds, E. L. Johnson, "Matching, Euler tours and the
// Chinese postman", Math. Programming 5, 1973). For each end that is free, one
// more point is paired with any odd node at no cost.
//
// Not all pairs are listed, only short ones at first; the dual solution of the
// matching tells how far around each node an unlisted pair could still matter,
// and there the search goes on until nothing is missing. The result is the
// optimum over all pairs.
func leastRetrace(ctx context.Context, g *graph, ends walkEnds) (again []int32, excess int64, err error) {
	odd := oddNodes(g, ends)
	free := freeEnds(ends)
	if len(odd) == 0 || free == 2 && len(odd) == 2 {
		return nil, 0, nil
	}
	p := newPairing(g, odd)
	if err := p.solve(ctx, free); err != nil {
		return nil, 0, err
	}
	again = p.edges()
	for _, e := range again {
		excess += g.edges[e].length
	}
	return again, excess - p.solver.DoubledBound()/2, nil
}

// freeEnds is how many ends of the line can be anywhere.
func freeEnds(ends walkEnds) int {
	n := 0
	if !ends.closed {
		if ends.start < 0 {
			n++
		}
		if ends.end < 0 {
			n++
		}
	}
	return n
}

// oddNodes lists the nodes that need one more edge, given where the line ends.
func oddNodes(g *graph, ends walkEnds) []int32 {
	odd := make([]bool, len(g.vertex))
	for n := range odd {
		odd[n] = (g.first[n+1]-g.first[n])%2 == 1
	}
	if !ends.closed {
		for _, v := range []int32{ends.start, ends.end} {
			if v >= 0 {
				n := g.nodeOf(v)
				odd[n] = !odd[n]
			}
		}
	}
	var list []int32
	for n, is := range odd {
		if is {
			list = append(list, int32(n))
		}
	}
	return list
}

// nearestPairs is how many odd nodes around each are looked for at first.
const nearestPairs = 8

type pairing struct {
	g      *graph
	odd    []int32
	place  []int32 // per node, its place in odd, or -1
	known  []int64 // per odd node, all nearer than this are listed
	listed []map[int32]bool
	solver *matching.Solver
}

func newPairing(g *graph, odd []int32) *pairing {
	p := &pairing{
		g: g, odd: odd, place: make([]int32, len(g.vertex)),
		known: make([]int64, len(odd)), solver: matching.NewSolver(0),
	}
	for n := range p.place {
		p.place[n] = -1
	}
	for i, n := range odd {
		p.place[n] = int32(i)
	}
	return p
}

// solve pairs the odd nodes, of which so many may be left over as free ends.
func (p *pairing) solve(ctx context.Context, free int) error {
	first, err := p.search(ctx, func(i int) (int, int64) { return nearestPairs, 1 << 62 })
	if err != nil {
		return err
	}
	// The one of an odd number of nodes that comes last waits for the free end,
	// as there is nobody left to pair it with.
	n := len(p.odd)
	waiting := n
	if n%2 == 1 {
		waiting = n - 1
	}
	var now, later []matching.Edge
	for _, e := range append(first, p.treePairs(waiting)...) {
		if max(e.U, e.V) < waiting {
			now = append(now, e)
		} else {
			later = append(later, e)
		}
	}
	p.solver.AddVertices(waiting)
	p.solver.Add(now)
	if err := p.solver.Solve(ctx); err != nil {
		return err
	}
	if free > 0 {
		p.solver.AddVertices(n - waiting)
		p.solver.Add(later)
		p.solver.AddVertices(free)
		var any []matching.Edge
		for end := n; end < n+free; end++ {
			for i := range n {
				any = append(any, matching.Edge{U: i, V: end})
			}
		}
		p.solver.Add(any)
		if err := p.solver.Solve(ctx); err != nil {
			return err
		}
	}
	for {
		missing, err := p.search(ctx, func(i int) (int, int64) { return len(p.odd), p.solver.DoubledRadius(i) })
		if err != nil {
			return err
		}
		kept := missing[:0]
		for _, e := range missing {
			if 2*e.Weight < p.solver.DoubledRadius(e.U)+p.solver.DoubledRadius(e.V) {
				kept = append(kept, e)
			}
		}
		if len(kept) == 0 {
			return nil
		}
		p.solver.Add(kept)
		if err := p.solver.Solve(ctx); err != nil {
			return err
		}
	}
}

// search lists pairs of odd nodes with the length of the shortest way between
// them that were not listed before. For each odd node, reach gives how many
// others to look for and up to what distance.
func (p *pairing) search(ctx context.Context, reach func(i int) (count int, within int64)) ([]matching.Edge, error) {
	found := make([][]matching.Edge, len(p.odd))
	var wait sync.WaitGroup
	workers := min(runtime.GOMAXPROCS(0), 1+len(p.odd)/256)
	const block = 64
	for w := range workers {
		wait.Go(func() {
			s := newSearch(p.g)
			for from := w * block; from < len(p.odd); from += workers * block {
				if ctx.Err() != nil {
					return
				}
				for i := from; i < min(from+block, len(p.odd)); i++ {
					count, within := reach(i)
					if within > p.known[i] {
						found[i] = p.around(s, i, count, within)
					}
				}
			}
		})
	}
	wait.Wait()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	var all []matching.Edge
	for _, list := range found {
		all = append(all, list...)
	}
	slices.SortFunc(all, func(a, b matching.Edge) int {
		if a.U != b.U {
			return a.U - b.U
		}
		return a.V - b.V
	})
	return slices.Compact(all), nil
}

// around lists the pairs of odd node i with the count nearest ones, as far as
// they lie within a distance and beyond what is known.
func (p *pairing) around(s *search, i int, count int, within int64) []matching.Edge {
	var list []matching.Edge
	known, reached := p.known[i], within
	s.from(p.odd[i], func(n int32, dist int64) bool {
		if dist >= within {
			return false
		}
		if j := int(p.place[n]); j >= 0 && j != i && dist >= known {
			if len(list) >= count {
				reached = dist
				return false
			}
			list = append(list, matching.Edge{U: min(i, j), V: max(i, j), Weight: dist})
		}
		return true
	})
	p.known[i] = reached
	return list
}

// treePairs pairs the first count odd nodes, an even number, along a shortest
// spanning tree, so that whatever else is listed a solution exists.
func (p *pairing) treePairs(count int) []matching.Edge {
	g := p.g
	order := make([]int32, len(g.edges))
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortFunc(order, func(a, b int32) int {
		if d := g.edges[a].length - g.edges[b].length; d != 0 {
			return int(max(-1, min(1, d)))
		}
		return int(a - b)
	})
	u := newUnionFind(len(g.vertex))
	inTree := make([]bool, len(g.edges))
	for _, e := range order {
		inTree[e] = u.join(g.edges[e].ends[0], g.edges[e].ends[1])
	}

	// Going through the tree from the leaves to the root, each node passes on at
	// most one odd node that has no partner yet.
	via := make([]int32, len(g.vertex))
	for n := range via {
		via[n] = -2
	}
	var visited []int32
	via[0] = -1
	for stack := []int32{0}; len(stack) > 0; {
		n := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		visited = append(visited, n)
		for _, half := range g.halves(n) {
			m := g.edges[half/2].ends[1-half%2]
			if inTree[half/2] && via[m] == -2 {
				via[m] = half
				stack = append(stack, m)
			}
		}
	}
	type pending struct {
		odd  int32 // place in p.odd, or -1
		dist int64
	}
	waits := make([]pending, len(g.vertex))
	var pairs []matching.Edge
	arrive := func(n int32, w pending) {
		if waits[n].odd < 0 {
			waits[n] = w
			return
		}
		a, b := int(waits[n].odd), int(w.odd)
		pairs = append(pairs, matching.Edge{U: min(a, b), V: max(a, b), Weight: waits[n].dist + w.dist})
		waits[n].odd = -1
	}
	for n := range waits {
		waits[n].odd = p.place[n]
		if int(p.place[n]) >= count {
			waits[n].odd = -1
		}
	}
	for i := len(visited) - 1; i > 0; i-- {
		n := visited[i]
		if w := waits[n]; w.odd >= 0 {
			e := &g.edges[via[n]/2]
			arrive(e.ends[via[n]%2], pending{w.odd, w.dist + e.length})
		}
	}
	return pairs
}

// edges are those on the ways between the pairs. Where two ways share an edge
// it is needed by neither.
func (p *pairing) edges() []int32 {
	twice := make([]bool, len(p.g.edges))
	s := newSearch(p.g)
	for i, n := range p.odd {
		j := p.solver.Mate(i)
		if j < i || j >= len(p.odd) {
			continue
		}
		goal := p.odd[j]
		s.from(n, func(m int32, _ int64) bool { return m != goal })
		s.edgesTo(goal, func(e int32) { twice[e] = !twice[e] })
	}
	var list []int32
	for e, is := range twice {
		if is {
			list = append(list, int32(e))
		}
	}
	return list
}
