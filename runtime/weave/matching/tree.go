package matching

import "context"

// event is something that happens to the tree when it has grown to a key: an
// edge from an outer blossom becomes tight, or the dual of an inner blossom
// reaches zero.
type event struct {
	key int64
	// The edge, as seen from one end; or, if from is -1, the blossom: its place in
	// the tree. Without pointers there is nothing in a heap of millions for the
	// collector of garbage to follow.
	from, arc int32
}

// heap is a binary heap of events, the least key first. It compares keys where they
// stand, not through a method as internal/heap does for others: half of the time of
// each step, and there are millions.
type heap []event

func (h *heap) push(e event) {
	*h = append(*h, e)
	q := *h
	i := len(q) - 1
	for i > 0 {
		up := (i - 1) / 2
		if q[up].key <= e.key {
			break
		}
		q[i] = q[up]
		i = up
	}
	q[i] = e
}

func (h *heap) pop() event {
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
		if down+1 < len(q) && q[down+1].key < q[down].key {
			down++
		}
		if q[down].key >= e.key {
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

// keep remembers an event unless the tree will have met a free vertex by then.
func (s *Solver) keep(e event) {
	if e.key <= s.limit {
		s.events.push(e)
	}
}

// current is the radius of v at this moment.
func (s *Solver) current(v int32) int64 {
	d := &s.disc[v]
	return d.radius + d.set.offset + s.growth(d.set)
}

// slack is by how much an edge between two outermost blossoms is longer than
// the radii of its ends at this moment.
func (s *Solver) slack(v int32, a arc) int64 { return a.weight - s.current(v) - s.current(a.to) }

// outcome is how the growth of a tree ended.
type outcome uint8

const (
	augmented outcome = iota
	tooLarge          // before it met a free vertex
	hopeless          // no edge leads on
	stopped           // by the context
)

// eventsPerCheck is how many events pass between two looks at the context.
const eventsPerCheck = 1 << 14

// augmentFrom grows a tree from the free vertex root until it meets another
// free one, and exchanges matched and unmatched edges between them.
func (s *Solver) augmentFrom(ctx context.Context, root int32, size int) outcome {
	s.grown, s.limit = 0, 1<<62
	defer s.leaveTree()
	s.joinOuter(s.top(root), link{-1, root})
	for seen := 0; len(s.events) > 0; seen++ {
		if len(s.tree) > size {
			return tooLarge
		}
		if seen%eventsPerCheck == 0 && ctx.Err() != nil {
			return stopped
		}
		e := s.events.pop()
		s.grown = e.key
		if e.from < 0 {
			if b := s.tree[e.arc]; b.outermost() && b.set.label == inner {
				s.expand(b)
			}
		} else if s.tighten(e) {
			return augmented
		}
	}
	return hopeless
}

// tighten deals with an edge that may just have become tight. It is true when
// that led to a free vertex and the matching has been augmented.
func (s *Solver) tighten(e event) bool {
	a := s.arcs[e.from][e.arc]
	u, v := e.from, a.to
	if s.disc[u].set.label != outer {
		u, v = v, u
	}
	near, far := s.disc[u].set, s.disc[v].set
	if near == far || near.label != outer || far.label == inner {
		return false
	}
	if slack := s.slack(e.from, a); slack > 0 {
		if far.label == outer {
			slack /= 2
		}
		e.key = s.grown + slack
		s.keep(e)
		return false
	}
	if far.label == outer {
		s.shrink(u, v)
		return false
	}
	c := far.top
	if far.free {
		s.augment(u, v)
		return true
	}
	s.joinInner(c, link{u, v})
	partner := s.mate[c.base]
	s.joinOuter(s.top(partner), link{c.base, partner})
	return false
}

func (s *Solver) joinOuter(b *blossom, entry link) {
	b.entry = entry
	b.set.label, b.set.joined = outer, s.grown
	s.tree = append(s.tree, b)
	if b.leafOf >= 0 {
		s.scan(b.leafOf)
		return
	}
	for _, v := range s.leaves(b) {
		s.scan(v)
	}
}

func (s *Solver) joinInner(b *blossom, entry link) {
	b.entry = entry
	b.set.label, b.set.joined = inner, s.grown
	s.tree = append(s.tree, b)
	if b.leafOf < 0 {
		s.keep(event{s.grown + b.dual, -1, int32(len(s.tree) - 1)})
	}
}

// scan keeps the events of the edges of a vertex that has just become outer.
func (s *Solver) scan(v int32) {
	own, radius := s.disc[v].set, s.current(v)
	for i, a := range s.arcs[v] {
		d := &s.disc[a.to]
		far := d.set
		if far == own || far.label == inner {
			continue
		}
		slack := a.weight - radius - d.radius - far.offset
		if far.label == outer {
			slack = (slack - s.grown + far.joined) / 2
		} else if far.free {
			s.limit = min(s.limit, s.grown+slack)
		}
		s.keep(event{key: s.grown + slack, from: v, arc: int32(i)})
	}
}

// augment matches the outer vertex u with v, whose blossom is free, and
// exchanges matched and unmatched edges from there back to the root.
func (s *Solver) augment(u, v int32) {
	s.rotate(s.top(v), v)
	s.mate[v] = u
	s.disc[v].set.free = false
	for {
		b := s.top(u)
		up := b.entry.from
		s.rotate(b, u)
		s.mate[u] = v
		if up < 0 {
			b.set.free = false
			return
		}
		c := s.top(up)
		u, v = c.entry.from, c.entry.to
		s.rotate(c, v)
		s.mate[v] = u
	}
}

// leaveTree writes the growth into the duals and takes the tree apart.
func (s *Solver) leaveTree() {
	for _, b := range s.tree {
		if b.outermost() {
			s.settle(b)
			b.set.label = outside
		}
	}
	clear(s.tree)
	s.tree, s.events = s.tree[:0], s.events[:0]
}
