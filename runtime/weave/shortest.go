package weave

// wayHeap is a binary heap of places by the length of the way there; of equal
// ones, the lower number comes first.
type wayHeap []wayItem

type wayItem struct {
	key  int64
	node int32
}

func (a wayItem) before(b wayItem) bool {
	return a.key < b.key || a.key == b.key && a.node < b.node
}

func (h *wayHeap) push(key int64, node int32) {
	e := wayItem{key, node}
	*h = append(*h, e)
	q := *h
	i := len(q) - 1
	for i > 0 {
		up := (i - 1) / 2
		if !e.before(q[up]) {
			break
		}
		q[i] = q[up]
		i = up
	}
	q[i] = e
}

func (h *wayHeap) pop() wayItem {
	q := *h
	least, e := q[0], q[len(q)-1]
	q = q[:len(q)-1]
	*h = q
	i := 0
	for {
		down := 2*i + 1
		if down >= len(q) {
			break
		}
		if down+1 < len(q) && q[down+1].before(q[down]) {
			down++
		}
		if !q[down].before(e) {
			break
		}
		q[i] = q[down]
		i = down
	}
	if len(q) > 0 {
		q[i] = e
	}
	return least
}

// search finds shortest ways along the edges of a graph from one node after
// another (E. W. Dijkstra, "A note on two problems in connexion with graphs",
// 1959). It reuses its memory, so a search costs no more than what it visits.
type search struct {
	g       *graph
	dist    []int64 // valid where run matches
	via     []int32 // the half edge over which the way arrives, as seen from before it
	run     []int32 // in which search the node was reached
	settled []bool
	round   int32
	queue   wayHeap
}

func newSearch(g *graph) *search {
	n := len(g.vertex)
	return &search{
		g: g, dist: make([]int64, n), via: make([]int32, n), run: make([]int32, n), settled: make([]bool, n),
	}
}

// from settles nodes in order of their distance and calls visit for each, the
// start included, until visit is false or all are settled.
func (s *search) from(start int32, visit func(node int32, dist int64) bool) {
	s.round++
	s.queue = s.queue[:0]
	s.reach(start, 0, -1)
	for len(s.queue) > 0 {
		item := s.queue.pop()
		n := item.node
		if s.settled[n] {
			continue
		}
		s.settled[n] = true
		if !visit(n, item.key) {
			return
		}
		for _, half := range s.g.halves(n) {
			e := &s.g.edges[half/2]
			s.reach(e.ends[1-half%2], item.key+e.length, half)
		}
	}
}

func (s *search) reach(n int32, dist int64, via int32) {
	if s.run[n] == s.round {
		if dist >= s.dist[n] {
			return
		}
	} else {
		s.run[n], s.settled[n] = s.round, false
	}
	s.dist[n], s.via[n] = dist, via
	s.queue.push(dist, n)
}

// edgesTo calls f for the edges of the way to a settled node, the last first.
func (s *search) edgesTo(n int32, f func(edge int32)) {
	for s.via[n] >= 0 {
		half := s.via[n]
		f(half / 2)
		n = s.g.edges[half/2].ends[half%2]
	}
}
