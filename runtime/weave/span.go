package weave

import (
	"context"
	"math"
	"runtime"
	"sync"

	"wend/runtime/geom"
)

// link is a straight new line between two parts.
type link struct {
	from, to geom.Point
	parts    [2]int32
}

func (l link) length() float64 { return l.from.Distance(l.to) }

// network is the new lines that join all parts, and what is needed to find
// places on the parts.
type network struct {
	tree  *boxTree
	parts *parts
	links []link
	// branches are points in the open where links meet; branch i counts as part
	// parts.count+i.
	branches []geom.Point
}

func (w *network) length() float64 {
	sum := 0.0
	for _, l := range w.links {
		sum += l.length()
	}
	return sum
}

// nearestOnPart is the point of a part nearest to p within a distance, and
// whether there is one.
func (w *network) nearestOnPart(p geom.Point, part int32, within float64) (nearest geom.Point, found bool) {
	if i := int(part) - w.parts.count; i >= 0 {
		return w.branches[i], true
	}
	least := float64(within * within)
	w.tree.within(geom.Box{Min: p, Max: p}, least,
		func(label int32) bool { return label >= 0 && label != part },
		func(i int) float64 {
			it := w.tree.items[i]
			if it.part != part {
				return least
			}
			q := nearestOn(p, it.from, it.to)
			if d := q.Sub(p).Dot(q.Sub(p)); d < least || !found && d == least {
				least, nearest, found = d, q, true
			}
			return least
		})
	return nearest, found
}

// itemsOf cuts a drawing into items for a box tree. Long segments are cut into
// several, because the box around a long slanting one says little.
func itemsOf(r *arrangement, p *parts) []item {
	longest := 2 * r.totalMM / float64(len(r.ends)+1)
	items := r.room.takeItems(2 * len(r.ends))[:0]
	touched := r.room.takeMarks(len(r.vertices.points))
	for s, e := range r.ends {
		a, b := r.line(int32(s))
		touched[e[0]], touched[e[1]] = true, true
		for _, i := range r.inner(int32(s)) {
			touched[i.vertex] = true
		}
		n := 1
		if longest > 0 {
			n = int(math.Min(math.Ceil(a.Distance(b)/longest), longCells))
		}
		from := a
		for i := 1; i <= n; i++ {
			to := b
			if i < n {
				k := float64(i) / float64(n)
				to = geom.Point{X: a.X + float64(k*(b.X-a.X)), Y: a.Y + float64(k*(b.Y-a.Y))}
			}
			items = append(items, item{from, to, p.of[e[0]]})
			from = to
		}
	}
	for v, is := range touched {
		if !is {
			q := r.point(int32(v))
			items = append(items, item{q, q, p.of[v]})
		}
	}
	return items
}

// span joins all parts by the straight links of the least total length: the
// minimum spanning tree over the distances between parts, any point to any
// point (O. Borůvka, 1926: each part takes its shortest link, and the joined
// parts go on as one). The shortest links of all parts are found in one descent
// through pairs of boxes (W. B. March, P. Ram, A. G. Gray, "Fast Euclidean
// minimum spanning tree", KDD 2010).
func span(ctx context.Context, r *arrangement, p *parts) (*network, error) {
	t := newBoxTree(itemsOf(r, p), r.room)
	b := &boruvka{
		ctx: ctx, t: t, room: r.room, joined: newUnionFind(p.count, r.room), best: r.room.takeCandidates(p.count),
		weight: r.room.takeNumbers(p.count), reach: r.room.takeLengths(len(t.boxes)), own: r.room.takeNumbers(len(t.items)),
	}
	net := &network{tree: t, parts: p}
	for len(net.links) < p.count-1 {
		b.round()
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		for part := range b.best {
			c := &b.best[part]
			if !math.IsInf(c.square, 1) && b.joined.join(c.parts[0], c.parts[1]) {
				low, high := t.items[c.low], t.items[c.high]
				l := link{parts: c.parts}
				l.from, l.to, _ = closest(low, high)
				net.links = append(net.links, l)
			}
		}
	}
	t.paint(func(part int32) int32 { return part })
	return net, nil
}

type boruvka struct {
	ctx    context.Context
	t      *boxTree
	room   *Room
	joined unionFind
	best   []candidate // per part that stands for a set of joined ones
	weight []int32     // per part, how many items its set has
	own    []int32     // per item, the part that stands for its set
	found  []*descent  // the workers
	reach  []float64   // per node, how far (squared) any item below may have to look
}

// fewItems is below how many items a worker alone is done before others have begun.
const fewItems = 1 << 10

// candidate is a link between two items, ordered by length and then by items,
// so that no two are equal and every part agrees on which is shortest.
type candidate struct {
	square    float64
	low, high int32
	parts     [2]int32 // of the items
}

func (c *candidate) before(d *candidate) bool {
	if c.square != d.square {
		return c.square < d.square
	}
	if c.low != d.low {
		return c.low < d.low
	}
	return c.high < d.high
}

// round finds the shortest link of every set of joined parts but the largest,
// to which all others find their way.
func (b *boruvka) round() {
	for i, it := range b.t.items {
		b.own[i] = b.joined.find(it.part)
	}
	b.t.paint(b.joined.find)
	weight := b.weight
	clear(weight)
	largest := int32(0)
	for _, own := range b.own {
		weight[own]++
	}
	for part, n := range weight {
		b.best[part] = candidate{square: math.Inf(1)}
		if n > weight[largest] {
			largest = int32(part)
		}
	}
	b.best[largest].square = -1
	// Neighbours in the order of the curve give bounds to begin with.
	for i := 1; i < len(b.own); i++ {
		if b.own[i-1] != b.own[i] {
			b.try(b.best, i-1, i)
			b.try(b.best, i, i-1)
		}
	}
	for n := len(b.reach) - 1; n > 0; n-- {
		if n < b.t.first {
			b.reach[n] = max(b.reach[2*n], b.reach[2*n+1])
			continue
		}
		b.reach[n] = -1
		from := (n - b.t.first) * itemsPerLeaf
		for i := from; i < min(from+itemsPerLeaf, len(b.own)); i++ {
			b.reach[n] = max(b.reach[n], b.best[b.own[i]].square)
		}
	}
	// Each worker searches around some of the subtrees. As no two candidates are
	// equal, the shortest ones do not depend on who finds them.
	subtrees := min(b.t.first, 64)
	workers := min(runtime.GOMAXPROCS(0), subtrees)
	if len(b.t.items) < fewItems {
		workers = 1
	}
	for len(b.found) < workers {
		b.found = append(b.found, &descent{boruvka: b, best: b.room.takeCandidates(len(b.best))})
	}
	search := func(w int) {
		for n := subtrees + w; n < 2*subtrees; n += workers {
			b.found[w].descend(n, 1, 0) // every box lies in that of the root
		}
	}
	for _, d := range b.found {
		copy(d.best, b.best)
	}
	var wait sync.WaitGroup
	for w := range workers {
		if workers > 1 {
			wait.Go(func() { search(w) })
		} else {
			search(w)
		}
	}
	wait.Wait()
	for _, d := range b.found {
		for part := range d.best {
			if d.best[part].before(&b.best[part]) {
				b.best[part] = d.best[part]
			}
		}
	}
	b.best[largest].square = math.Inf(1)
}

// try improves the best link of the part of item i by the link to item j.
func (b *boruvka) try(best []candidate, i, j int) {
	c := candidate{low: int32(min(i, j)), high: int32(max(i, j))}
	low, high := &b.t.items[c.low], &b.t.items[c.high]
	_, _, c.square = closest(*low, *high)
	c.parts = [2]int32{low.part, high.part}
	if own := b.own[i]; c.before(&best[own]) {
		best[own] = c
	}
}

// descent is one worker's search.
type descent struct {
	*boruvka
	best  []candidate
	steps int
	stop  bool
}

// descend improves the best links of the items below node q by links to the
// items below node r, which is so far away (squared).
func (b *descent) descend(q, r int, gap float64) {
	t := b.t
	if t.label[q] >= 0 && t.label[q] == t.label[r] || gap > b.reach[q] || b.stop {
		return
	}
	if q >= t.first && r >= t.first {
		b.compare(q, r)
		return
	}
	if q >= t.first {
		b.descendBoth(q, r)
		return
	}
	for child := 2 * q; child <= 2*q+1; child++ {
		if r >= t.first {
			b.descend(child, r, boxGap(&t.boxes[child], &t.boxes[r]))
		} else {
			b.descendBoth(child, r)
		}
	}
	b.reach[q] = max(b.reach[2*q], b.reach[2*q+1])
}

// descendBoth descends to both children of r, the one nearer to q first.
func (b *descent) descendBoth(q, r int) {
	boxes := b.t.boxes
	near, far := 2*r, 2*r+1
	gap, farGap := boxGap(&boxes[q], &boxes[near]), boxGap(&boxes[q], &boxes[far])
	if farGap < gap {
		near, far, gap, farGap = far, near, farGap, gap
	}
	b.descend(q, near, gap)
	b.descend(q, far, farGap)
}

// compare looks at all pairs of the items in leaves q and r.
func (b *descent) compare(q, r int) {
	if b.steps++; b.steps%strokesPerCheck == 0 && b.ctx.Err() != nil {
		b.stop = true
	}
	t := b.t
	reach := -1.0
	fromQ, fromR := (q-t.first)*itemsPerLeaf, (r-t.first)*itemsPerLeaf
	for i := fromQ; i < min(fromQ+itemsPerLeaf, len(t.items)); i++ {
		best := &b.best[b.own[i]]
		box := t.items[i].box()
		if boxGap(&box, &t.boxes[r]) <= best.square {
			for j := fromR; j < min(fromR+itemsPerLeaf, len(t.items)); j++ {
				if b.own[j] == b.own[i] {
					continue
				}
				if other := t.items[j].box(); boxGap(&box, &other) <= best.square {
					b.try(b.best, i, j)
				}
			}
		}
		reach = max(reach, best.square)
	}
	b.reach[q] = reach
}
