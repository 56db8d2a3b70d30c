package matching

import "slices"

// label is a blossom's part in the alternating tree.
type label uint8

const (
	outside label = iota // not in the tree
	outer                // at even distance from the root: its radii grow
	inner                // at odd distance: its radii shrink
)

// link is an edge between two blossoms, by its ends.
type link struct{ from, to int32 }

func (l link) reversed() link { return link{l.to, l.from} }

// blossom is a vertex alone, or an odd cycle of blossoms shrunk to one. All its
// vertices but the base are matched among themselves. Most are vertices alone: what
// only cycles have lies apart.
type blossom struct {
	*cycle // nil for a vertex alone
	parent *blossom
	set    *set  // while it is an outermost one
	dual   int64 // of the blossom itself; 0 for a vertex alone
	entry  link  // the edge over which the tree came in; from is -1 at the root
	base   int32
	leafOf int32 // the vertex, or -1
	size   int32 // how many vertices
	stamp  int32
}

// cycle is what a blossom is made of.
type cycle struct {
	children []*blossom // children[0] holds the base
	links    []link     // links[i] joins children[i] to the next one round
	heir     *blossom   // the child whose set the blossom took over
}

// excess is what a sum of radii counts too much for the duals of b and the
// blossoms inside: each once for every vertex but one.
func (b *blossom) excess() int64 {
	if b.cycle == nil {
		return 0
	}
	sum := int64(b.size-1) * b.dual
	for _, c := range b.children {
		sum += c.excess()
	}
	return sum
}

// outermost reports whether b is in no other blossom, and not dissolved.
func (b *blossom) outermost() bool { return b.parent == nil && b.set.top == b }

// appendLeaves adds the vertices of b to a list.
func appendLeaves(list []int32, b *blossom) []int32 {
	if b.leafOf >= 0 {
		return append(list, b.leafOf)
	}
	for _, c := range b.children {
		list = appendLeaves(list, c)
	}
	return list
}

// leaves is the vertices of b. The list is good until the next call.
func (s *Solver) leaves(b *blossom) []int32 {
	s.room = appendLeaves(s.room[:0], b)
	return s.room
}

// settle writes what the tree's growth did to b into its radii and dual.
func (s *Solver) settle(b *blossom) {
	growth := s.growth(b.set)
	b.set.joined = s.grown
	if b.leafOf < 0 {
		b.dual += growth
	}
	b.set.offset += growth
}

// shrink makes one outer blossom of the cycle that the tight edge (u, v)
// between two outer blossoms closes.
func (s *Solver) shrink(u, v int32) {
	ancestor := s.commonAncestor(s.top(u), s.top(v))
	made := &struct {
		blossom
		of cycle
	}{blossom: blossom{leafOf: -1, base: ancestor.base, entry: ancestor.entry}}
	b := &made.blossom
	b.cycle = &made.of

	s.up = s.up[:0]
	for c := s.top(u); c != ancestor; c = s.top(c.entry.from) {
		s.up = append(s.up, c)
	}
	size := 1 + len(s.up)
	for c := s.top(v); c != ancestor; c = s.top(c.entry.from) {
		size++
	}
	b.children, b.links = append(make([]*blossom, 0, size), ancestor), make([]link, 0, size)
	for i := len(s.up) - 1; i >= 0; i-- {
		b.links = append(b.links, s.up[i].entry)
		b.children = append(b.children, s.up[i])
	}
	b.links = append(b.links, link{u, v})
	for c := s.top(v); c != ancestor; c = s.top(c.entry.from) {
		b.children = append(b.children, c)
		b.links = append(b.links, c.entry.reversed())
	}

	b.heir = ancestor
	for _, c := range b.children {
		s.settle(c)
		c.parent = b
		b.size += c.size
		if c.size > b.heir.size {
			b.heir = c
		}
	}
	b.set = b.heir.set
	b.set.top = b
	s.tree = append(s.tree, b)
	wereInner := s.room[:0]
	for _, c := range b.children {
		from, wasInner := len(wereInner), c.set.label == inner
		if wasInner || c != b.heir {
			wereInner = appendLeaves(wereInner, c)
		}
		if c != b.heir {
			for _, w := range wereInner[from:] {
				s.move(w, b.set)
			}
		}
		if !wasInner {
			wereInner = wereInner[:from]
		}
	}
	b.set.label, b.set.joined, b.set.free = outer, s.grown, s.mate[b.base] < 0
	for _, w := range wereInner {
		s.scan(w)
	}
	s.room = wereInner
}

// commonAncestor is the blossom where the ways from b and c to the root meet.
func (s *Solver) commonAncestor(b, c *blossom) *blossom {
	s.stamp++
	for {
		if b != nil {
			if b.stamp == s.stamp {
				return b
			}
			b.stamp = s.stamp
			if b.entry.from < 0 {
				b = nil
			} else {
				b = s.top(b.entry.from)
			}
		}
		b, c = c, b
		if b == nil {
			b, c = c, b
		}
	}
}

// expand dissolves an inner blossom whose dual has come down to zero. The part
// of its cycle between entry and base that keeps the tree alternating stays in
// the tree, the rest leaves it.
func (s *Solver) expand(b *blossom) {
	s.settle(b)
	for _, c := range b.children {
		c.parent = nil
		c.set.label, c.set.free = outside, false
		if c == b.heir {
			continue
		}
		c.set.top = c
		for _, v := range s.leaves(c) {
			s.move(v, c.set)
		}
	}
	b.heir.set.top = b.heir
	n := len(b.children)
	at := 0
	for b.children[at] != s.top(b.entry.to) {
		at++
	}
	s.joinInner(b.children[at], b.entry)
	for at%n != 0 {
		var toOuter, toInner link
		if at%2 == 1 {
			toOuter, toInner = b.links[at], b.links[at+1]
			at += 2
		} else {
			toOuter, toInner = b.links[at-1].reversed(), b.links[at-2].reversed()
			at -= 2
		}
		s.joinOuter(s.top(toOuter.to), toOuter)
		s.joinInner(s.top(toInner.to), toInner)
	}
	for _, c := range b.children {
		if c.set.label != outside {
			continue
		}
		for _, v := range s.leaves(c) {
			for i, a := range s.arcs[v] {
				if s.disc[a.to].set.label == outer {
					s.keep(event{key: s.grown + s.slack(v, a), from: v, arc: int32(i)})
				}
			}
		}
	}
}

// rotate makes v the base of b, and of all blossoms inside b around v.
func (s *Solver) rotate(b *blossom, v int32) {
	if b.base == v {
		return
	}
	// Blossoms can be nested thousands deep, so the way up from v is gone once.
	for child := s.leaf[v]; child != b; child = child.parent {
		if child.parent.base != v {
			s.rotateCycle(child.parent, child, v)
		}
	}
}

// rotateCycle makes the base of b the vertex v in its child c, which is the base
// there already, by exchanging matched and unmatched links on the even way round
// from c to the child that holds the old base.
func (s *Solver) rotateCycle(b, c *blossom, v int32) {
	n := len(b.children)
	at := 0
	for b.children[at] != c {
		at++
	}
	pair := func(i int) {
		l := b.links[i]
		s.rotate(b.children[i], l.from)
		s.rotate(b.children[(i+1)%n], l.to)
		s.mate[l.from], s.mate[l.to] = l.to, l.from
	}
	if at%2 == 1 {
		for i := at + 1; i < n; i += 2 {
			pair(i)
		}
	} else {
		for i := at - 2; i >= 0; i -= 2 {
			pair(i)
		}
	}
	turnRound(b.children, at)
	turnRound(b.links, at)
	b.base = v
}

// turnRound makes list[at] the first of a list that goes round, by turning both
// parts of it and then the whole.
func turnRound[T any](list []T, at int) {
	if at > 0 {
		slices.Reverse(list[:at])
		slices.Reverse(list[at:])
		slices.Reverse(list)
	}
}
