package tour

import (
	"cmp"
	"slices"

	"wend/runtime/geom"
)

// construct builds the first tour by greedy edges: shortest candidate first,
// each taken if both its nodes have an end free and lie in different pieces.
// Once no candidate can be taken, the ends of the pieces look for near ends of
// other pieces, in rounds: each round halves the number of pieces or better.
func (w *way) construct() {
	points := int32(len(w.points))
	g := &pieces{partner: make([][2]int32, points), root: make([]int32, points), count: points}
	for i := range points {
		g.partner[i] = [2]int32{-1, -1}
		g.root[i] = i
	}
	g.take(w.candidateEdges())
	for g.count > 1 {
		g.take(w.edgesBetween(g))
	}
	w.lay(g)
}

// candidateEdges lists each pair of which one is a candidate of the other once.
func (w *way) candidateEdges() []candidate {
	var edges []candidate
	for a := range int32(len(w.points)) {
		for _, b := range w.candidatesOf(a) {
			if a < b || !slices.Contains(w.candidatesOf(b), a) {
				edges = append(edges, candidate{w.distance(a, b), min(a, b), max(a, b)})
			}
		}
	}
	return edges
}

func (w *way) candidatesOf(node int32) []int32 {
	return w.neighbours[int(node)*w.candidates : (int(node)+1)*w.candidates]
}

// spansOf are how far those are, in mm, or what it costs to go there.
func (w *way) spansOf(node int32) []float64 {
	return w.spans[int(node)*w.candidates : (int(node)+1)*w.candidates]
}

// firstCandidate is where a search of candidates begins: the extra node, where
// there is one, comes before those listed.
func (w *way) firstCandidate() int {
	if w.extra >= 0 {
		return -1
	}
	return 0
}

// candidate is an edge that may be taken; its length is in mm.
type candidate struct {
	length float64
	a, b   int32
}

func sortCandidates(edges []candidate) {
	slices.SortFunc(edges, func(e, f candidate) int {
		if e.length != f.length {
			return cmp.Compare(e.length, f.length)
		}
		return cmp.Or(cmp.Compare(e.a, f.a), cmp.Compare(e.b, f.b))
	})
}

// pieces are paths that grow together into one.
type pieces struct {
	partner [][2]int32 // whom a node is joined to, -1 where an end is free
	root    []int32    // union-find
	count   int32
}

func (g *pieces) free(a int32) bool { return g.partner[a][1] < 0 }

func (g *pieces) of(a int32) int32 {
	for g.root[a] != a {
		g.root[a] = g.root[g.root[a]]
		a = g.root[a]
	}
	return a
}

func (g *pieces) join(a, b int32) {
	for _, pair := range [...][2]int32{{a, b}, {b, a}} {
		p := &g.partner[pair[0]]
		if p[0] < 0 {
			p[0] = pair[1]
		} else {
			p[1] = pair[1]
		}
	}
	g.root[g.of(a)] = g.of(b)
	g.count--
}

// take joins what the edges join, shortest first.
func (g *pieces) take(edges []candidate) {
	sortCandidates(edges)
	for _, e := range edges {
		if g.count > 1 && g.free(e.a) && g.free(e.b) && g.of(e.a) != g.of(e.b) {
			g.join(e.a, e.b)
		}
	}
}

// edgesBetween lists for each free end the nearest free ends of other pieces.
func (w *way) edgesBetween(g *pieces) []candidate {
	const each = 5
	var ends []int32
	var places []geom.Point
	for a := range int32(len(w.points)) {
		if g.free(a) {
			ends = append(ends, a)
			places = append(places, w.points[a])
		}
	}
	// The ends come in the order of their numbers, which is near enough to that
	// of a tree of their own; it is made anew, since the search relies on it.
	names := nearTogether(places)
	sorted := make([]geom.Point, len(names))
	for i, name := range names {
		sorted[i] = places[name]
	}
	t := newTree(sorted)
	edges := make([]candidate, 0, each*len(ends))
	var best [each]found
	for i, p := range sorted {
		a := ends[names[i]]
		own := g.of(a)
		n := t.nearest(p, everywhere, best[:], func(j int32) bool { return g.of(ends[names[j]]) != own })
		for _, f := range best[:n] {
			b := ends[names[f.node]]
			edges = append(edges, candidate{w.distance(a, b), min(a, b), max(a, b)})
		}
	}
	return edges
}

// lay walks the one piece that is left from end to end into the tour, and
// queues all nodes in that order.
func (w *way) lay(g *pieces) {
	w.tour = make([]int32, 0, w.nodes)
	w.place = make([]int32, w.nodes)
	w.queue = newWorklist(w.nodes)
	at, from := int32(0), int32(-1)
	for !g.free(at) {
		at++
	}
	for at >= 0 {
		w.tour = append(w.tour, at)
		on := g.partner[at][0]
		if on == from {
			on = g.partner[at][1]
		}
		at, from = on, at
	}
	if w.extra >= 0 {
		w.tour = append(w.tour, w.extra)
	}
	for place, node := range w.tour {
		w.place[node] = int32(place)
		w.queue.put(node)
	}
}

// follow lays an open way in an order of the points given, and queues all nodes
// in that order.
func (w *way) follow(order []int) {
	nodeOf := make([]int32, len(w.points))
	for node, name := range w.names {
		nodeOf[name] = int32(node)
	}
	w.tour, w.place = make([]int32, w.nodes), make([]int32, w.nodes)
	w.queue = newWorklist(w.nodes)
	for place, name := range order {
		w.tour[place] = nodeOf[name]
	}
	if w.extra >= 0 {
		w.tour[w.nodes-1] = w.extra
	}
	for place, node := range w.tour {
		w.place[node] = int32(place)
		w.queue.put(node)
	}
}

// worklist is a queue of nodes, each in it once at the most.
type worklist struct {
	ring        []int32
	waits       []bool
	head, count int
}

func newWorklist(nodes int32) worklist {
	return worklist{ring: make([]int32, nodes), waits: make([]bool, nodes)}
}

func (q *worklist) put(node int32) {
	if q.waits[node] {
		return
	}
	q.waits[node] = true
	at := q.head + q.count
	if at >= len(q.ring) {
		at -= len(q.ring)
	}
	q.ring[at] = node
	q.count++
}

func (q *worklist) take() (int32, bool) {
	if q.count == 0 {
		return 0, false
	}
	node := q.ring[q.head]
	if q.head++; q.head == len(q.ring) {
		q.head = 0
	}
	q.count--
	q.waits[node] = false
	return node, true
}
