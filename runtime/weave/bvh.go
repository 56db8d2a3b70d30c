package weave

import (
	"cmp"
	"math"
	"math/bits"
	"slices"

	"wend/runtime/geom"
)

// item is a straight bit of a part, or a dot.
type item struct {
	from, to geom.Point
	part     int32
}

func (it *item) box() geom.Box {
	return geom.Box{
		Min: geom.Point{X: min(it.from.X, it.to.X), Y: min(it.from.Y, it.to.Y)},
		Max: geom.Point{X: max(it.from.X, it.to.X), Y: max(it.from.Y, it.to.Y)},
	}
}

// boxTree finds the items nearest to a place. It is a complete binary tree over
// the items in the order of a space-filling curve, with the box around all below
// in each node.
type boxTree struct {
	items []item
	boxes []geom.Box // node 1 is the root, node n has the children 2n and 2n+1
	label []int32    // per node the part that all items below are of, or -1
	first int        // the node of the first leaf
}

const itemsPerLeaf = 4

// keyed is an item by its number, and where it is on a curve.
type keyed struct {
	key uint64
	at  int32
}

func newBoxTree(items []item, room *Room) *boxTree {
	box := geom.EmptyBox()
	for _, it := range items {
		box = box.Include(it.from).Include(it.to)
	}
	curve := newCurve(box)
	list := room.takeKeys(len(items))
	for i, it := range items {
		list[i] = keyed{curve.key(geom.Point{X: (it.from.X + it.to.X) / 2, Y: (it.from.Y + it.to.Y) / 2}), int32(i)}
	}
	slices.SortFunc(list, func(a, b keyed) int { return cmp.Or(cmp.Compare(a.key, b.key), cmp.Compare(a.at, b.at)) })
	t := &boxTree{items: room.takeItems(len(items))}
	for i, k := range list {
		t.items[i] = items[k.at]
	}
	leaves := (len(items) + itemsPerLeaf - 1) / itemsPerLeaf
	t.first = 1 << bits.Len(uint(max(leaves-1, 0)))
	t.boxes = room.takeBoxes(2 * t.first)
	t.label = room.takeNumbers(2 * t.first)
	for n := len(t.boxes) - 1; n > 0; n-- {
		if n < t.first {
			t.boxes[n] = t.boxes[2*n].Union(t.boxes[2*n+1])
			continue
		}
		t.boxes[n] = geom.EmptyBox()
		for _, it := range t.leaf(n) {
			t.boxes[n] = t.boxes[n].Include(it.from).Include(it.to)
		}
	}
	return t
}

// curve is a curve that fills a box (G. M. Morton, 1966). What is near on it is
// near in the plane.
type curve struct {
	from  geom.Point
	scale float64
}

func newCurve(box geom.Box) curve {
	c := curve{from: box.Min, scale: math.Max(box.Width(), box.Height())}
	if c.scale > 0 {
		c.scale = (1<<20 - 1) / c.scale
	}
	return c
}

// key is where on the curve a point of the box is.
func (c curve) key(p geom.Point) uint64 {
	return spread(uint64((p.X-c.from.X)*c.scale)) | spread(uint64((p.Y-c.from.Y)*c.scale))<<1
}

// spread puts a zero between all bits of a number below 2^20.
func spread(x uint64) uint64 {
	x = (x | x<<16) & 0x0000ffff0000ffff
	x = (x | x<<8) & 0x00ff00ff00ff00ff
	x = (x | x<<4) & 0x0f0f0f0f0f0f0f0f
	x = (x | x<<2) & 0x3333333333333333
	return (x | x<<1) & 0x5555555555555555
}

// leaf is the items of a leaf node.
func (t *boxTree) leaf(n int) []item {
	from := min(len(t.items), (n-t.first)*itemsPerLeaf)
	return t.items[from:min(len(t.items), from+itemsPerLeaf)]
}

// paint tells the tree which parts belong together: those with the same colour.
func (t *boxTree) paint(colour func(part int32) int32) {
	const nothing = -2
	for n := len(t.label) - 1; n > 0; n-- {
		if n < t.first {
			a, b := t.label[2*n], t.label[2*n+1]
			switch {
			case b == nothing, a == b:
				t.label[n] = a
			default:
				t.label[n] = -1
			}
			continue
		}
		label := int32(nothing)
		for _, it := range t.leaf(n) {
			c := colour(it.part)
			if label == nothing {
				label = c
			} else if label != c {
				label = -1
			}
		}
		t.label[n] = label
	}
}

// within calls f for the items that may lie within a distance of box, given as
// its square, nearer nodes first; f gives the square that counts from then on.
// Nodes that skip rejects by their label are left out.
func (t *boxTree) within(box geom.Box, square float64, skip func(label int32) bool, f func(i int) float64) {
	var stack [64]int32
	depth := 0
	if !skip(t.label[1]) {
		stack[0], depth = 1, 1
	}
	for depth > 0 {
		depth--
		n := int(stack[depth])
		if boxGap(&t.boxes[n], &box) > square {
			continue
		}
		if n >= t.first {
			from := (n - t.first) * itemsPerLeaf
			for i := from; i < min(from+itemsPerLeaf, len(t.items)); i++ {
				square = f(i)
			}
			continue
		}
		near, far := 2*n, 2*n+1
		d, e := boxGap(&t.boxes[near], &box), boxGap(&t.boxes[far], &box)
		if e < d {
			near, far, d, e = far, near, e, d
		}
		if e <= square && !skip(t.label[far]) {
			stack[depth] = int32(far)
			depth++
		}
		if d <= square && !skip(t.label[near]) {
			stack[depth] = int32(near)
			depth++
		}
	}
}

// boxGap is the square of the distance between two boxes.
func boxGap(a, b *geom.Box) float64 {
	x := max(0, a.Min.X-b.Max.X, b.Min.X-a.Max.X)
	y := max(0, a.Min.Y-b.Max.Y, b.Min.Y-a.Max.Y)
	return float64(x*x) + float64(y*y)
}

// nearestOn is the point of the segment from a to b nearest to p.
func nearestOn(p, a, b geom.Point) geom.Point {
	along := b.Sub(a)
	square := along.Dot(along)
	if square == 0 {
		return a
	}
	t := p.Sub(a).Dot(along) / square
	switch {
	case t <= 0:
		return a
	case t >= 1:
		return b
	}
	return geom.Point{X: a.X + float64(t*along.X), Y: a.Y + float64(t*along.Y)}
}

// closest is where two segments that do not cross come nearest to each other,
// and the square of the distance there: one of the points is always an end.
func closest(a, b item) (p, q geom.Point, square float64) {
	square = math.Inf(1)
	try := func(u, v geom.Point) {
		d := u.Sub(v)
		if s := d.Dot(d); s < square {
			p, q, square = u, v, s
		}
	}
	try(a.from, nearestOn(a.from, b.from, b.to))
	try(a.to, nearestOn(a.to, b.from, b.to))
	try(nearestOn(b.from, a.from, a.to), b.from)
	try(nearestOn(b.to, a.from, a.to), b.to)
	return p, q, square
}
