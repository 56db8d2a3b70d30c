package weave

import (
	"context"
	"math"

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
	longest := r.totalMM / float64(2*len(r.ends)+1)
	items := make([]item, 0, 2*len(r.ends))
	touched := make([]bool, len(r.vertices.points))
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

// candidate is a link between two items, ordered by length and then by items,
// so that no two are equal and every part agrees on which is shortest.
type candidate struct {
	square float64
	low    int32 // items
	high   int32
	link   link
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

// span joins all parts by the straight links of the least total length: the
// minimum spanning tree over the distances between parts, any point to any
// point (O. Borůvka, 1926: each part takes its shortest link, and the joined
// parts go on as one).
func span(ctx context.Context, r *arrangement, p *parts) (*network, error) {
	t := newBoxTree(itemsOf(r, p))
	joined := newUnionFind(p.count)
	size := make([]int, p.count)
	for _, it := range t.items {
		size[it.part]++
	}
	// beyond[i] is a distance (squared) under which item i has no foreign
	// neighbour. It stays true, because parts only grow together.
	beyond := make([]float64, len(t.items))
	net := &network{tree: t, parts: p}
	best := make([]candidate, p.count)
	for len(net.links) < p.count-1 {
		t.paint(joined.find)
		weight := make([]int, p.count)
		for part, n := range size {
			weight[joined.find(int32(part))] += n
			best[part] = candidate{square: math.Inf(1)}
		}
		largest := int32(0)
		for part, n := range weight {
			if n > weight[largest] {
				largest = int32(part)
			}
		}
		// The largest part need not look: all others find their way to it.
		for i := range t.items {
			if i%strokesPerCheck == 0 && ctx.Err() != nil {
				return nil, ctx.Err()
			}
			own := joined.find(t.items[i].part)
			if own == largest || beyond[i] > best[own].square {
				continue
			}
			beyond[i] = t.nearestForeign(int32(i), own, joined, &best[own])
		}
		for part := range best {
			c := &best[part]
			if !math.IsInf(c.square, 1) && joined.join(c.link.parts[0], c.link.parts[1]) {
				net.links = append(net.links, c.link)
			}
		}
	}
	t.paint(func(part int32) int32 { return part })
	return net, nil
}

// nearestForeign improves best by links from item i to items of other parts.
// It gives a distance (squared) that none of them is under.
func (t *boxTree) nearestForeign(i, own int32, joined unionFind, best *candidate) float64 {
	a := t.items[i]
	box := geom.Bounds([]geom.Point{a.from, a.to})
	nearest := math.Inf(1)
	t.within(box, best.square, func(label int32) bool { return label == own }, func(j int) float64 {
		b := t.items[j]
		if joined.find(b.part) == own {
			return best.square
		}
		c := candidate{low: min(i, int32(j)), high: max(i, int32(j))}
		low, high := &t.items[c.low], &t.items[c.high]
		c.link.from, c.link.to, c.square = closest(*low, *high)
		c.link.parts = [2]int32{low.part, high.part}
		nearest = math.Min(nearest, c.square)
		if c.before(best) {
			*best = c
		}
		return best.square
	})
	return math.Min(nearest, best.square)
}
