package weave

import (
	"math"

	"wend/runtime/geom"
)

// grid finds the segments near a place. Only cells that hold something take
// memory, so the plane has no edges. The newest segments can be removed again.
//
// A grid for few segments has no cells: all their boxes are looked at, which takes
// less time and memory than to lay them out.
type grid struct {
	few    bool
	boxes  []geom.Box // of all segments in turn, if they are few
	perMM  float64    // cells per mm
	margin float64    // mm around a segment that count as its cells
	keys   []uint64
	heads  []int32 // into items, the newest first; -1 where the slot is free
	used   int
	items  []gridItem
	long   []int32 // segments over too many cells, looked at every time
}

type gridItem struct{ segment, next int32 }

// longCells is how many cells a segment may lie in before it is kept aside.
const longCells = 1 << 12

// newGrid suits so many segments of a total length within a box, and searches
// with a reach in mm.
func newGrid(count int, totalMM float64, box geom.Box, reach float64, room *Room) *grid {
	// A segment lies in one cell and in another for every crossed border. About
	// as many cells as segments would be ideal if segments were points; long
	// ones must not fill memory, so each gets eight cells on average at most.
	n := float64(max(count, 1))
	// Cells as wide as the reach: a search looks at few of them, however little
	// there is yet, and around a single point, too.
	size := max(totalMM/(8*n), max(reach, 1e-3))
	if !box.Empty() {
		size = max(size, math.Sqrt(box.Width()/n*box.Height()))
	}
	g := &grid{perMM: 1 / size, few: count <= fewSegments}
	g.margin = 2*geom.SamePoint + float64(1e-9*size)
	if g.few {
		g.boxes = room.takeBoxes(count)[:0]
	} else {
		g.resize(4 * count)
	}
	return g
}

// fewSegments is for how many segments a grid has no cells.
const fewSegments = 128

// full reports whether there are too many segments for a grid without cells.
func (g *grid) full() bool { return g.few && len(g.boxes) >= 2*fewSegments }

func (g *grid) resize(atLeast int) {
	size := 64
	for size < atLeast {
		size *= 2
	}
	keys, heads := g.keys, g.heads
	g.keys, g.heads = make([]uint64, size), make([]int32, size)
	for i := range g.heads {
		g.heads[i] = -1
	}
	for i, h := range heads {
		if h >= 0 {
			slot := g.slot(keys[i])
			g.keys[slot], g.heads[slot] = keys[i], h
		}
	}
}

// slot is where a cell is, or where it would go.
func (g *grid) slot(key uint64) int {
	at := int(key>>1) & (len(g.keys) - 1)
	for g.heads[at] >= 0 && g.keys[at] != key {
		at = (at + 1) & (len(g.keys) - 1)
	}
	return at
}

// cells calls f for every cell that the segment from a to b comes near, in
// order of columns. It is false, having called nothing, if they are too many.
func (g *grid) cells(a, b geom.Point, reach float64, f func(key uint64)) bool {
	if a.X > b.X {
		a, b = b, a
	}
	m := g.margin + reach
	low, high := min(a.Y, b.Y)-m, max(a.Y, b.Y)+m
	first, last := math.Floor((a.X-m)*g.perMM), math.Floor((b.X+m)*g.perMM)
	rows := math.Floor(high*g.perMM) - math.Floor(low*g.perMM)
	if !(last-first+rows+2 < longCells) {
		return false
	}
	size := 1 / g.perMM
	slope := 0.0
	if b.X-a.X > m {
		slope = (b.Y - a.Y) / (b.X - a.X)
	}
	for cx := int64(first); cx <= int64(last); cx++ {
		y0, y1 := low, high
		if slope != 0 {
			left := float64(float64(cx)*size) - float64(2*m)
			right := float64(float64(cx+1)*size) + float64(2*m)
			p := a.Y + float64(slope*(max(left, a.X)-a.X))
			q := a.Y + float64(slope*(min(right, b.X)-a.X))
			y0, y1 = max(low, min(p, q)-m), min(high, max(p, q)+m)
		}
		for cy := int64(math.Floor(y0 * g.perMM)); cy <= int64(math.Floor(y1*g.perMM)); cy++ {
			f(mix(cx, cy))
		}
	}
	return true
}

func (g *grid) add(segment int32, a, b geom.Point) {
	if g.few {
		g.boxes = append(g.boxes, geom.Box{
			Min: geom.Point{X: min(a.X, b.X), Y: min(a.Y, b.Y)},
			Max: geom.Point{X: max(a.X, b.X), Y: max(a.Y, b.Y)},
		})
		return
	}
	if g.cells(a, b, 0, func(key uint64) {
		if 2*(g.used+1) > len(g.keys) {
			g.resize(2 * len(g.keys))
		}
		slot := g.slot(key)
		if g.heads[slot] < 0 {
			g.keys[slot] = key
			g.used++
		}
		g.items = append(g.items, gridItem{segment, g.heads[slot]})
		g.heads[slot] = int32(len(g.items) - 1)
	}) {
		return
	}
	g.long = append(g.long, segment)
}

// removeLast takes out the segment that was added last.
func (g *grid) removeLast(segment int32, a, b geom.Point) {
	if g.few {
		g.boxes = g.boxes[:len(g.boxes)-1]
		return
	}
	if n := len(g.long); n > 0 && g.long[n-1] == segment {
		g.long = g.long[:n-1]
		return
	}
	from := len(g.items)
	for from > 0 && g.items[from-1].segment == segment {
		from--
	}
	g.cells(a, b, 0, func(key uint64) {
		slot := g.slot(key)
		h := g.heads[slot]
		for h >= int32(from) {
			h = g.items[h].next
		}
		if h < 0 {
			g.free(slot)
		} else {
			g.heads[slot] = h
		}
	})
	g.items = g.items[:from]
}

// free empties a slot and closes the gap that it would leave in later searches.
func (g *grid) free(slot int) {
	if g.heads[slot] < 0 {
		return
	}
	g.used--
	mask := len(g.keys) - 1
	for at := slot; ; {
		g.heads[slot] = -1
		for {
			at = (at + 1) & mask
			if g.heads[at] < 0 {
				return
			}
			home := int(g.keys[at]>>1) & mask
			if (at-home)&mask >= (at-slot)&mask {
				break
			}
		}
		g.keys[slot], g.heads[slot] = g.keys[at], g.heads[at]
		slot = at
	}
}

// near calls f for every segment that comes within reach of the one from a to
// b, and for others; for some more than once.
func (g *grid) near(a, b geom.Point, reach float64, f func(segment int32)) {
	if g.few {
		m := g.margin + reach
		left, right := min(a.X, b.X)-m, max(a.X, b.X)+m
		low, high := min(a.Y, b.Y)-m, max(a.Y, b.Y)+m
		for i := len(g.boxes) - 1; i >= 0; i-- { // the newest first, as among cells
			if box := &g.boxes[i]; box.Max.X >= left && box.Min.X <= right && box.Max.Y >= low && box.Min.Y <= high {
				f(int32(i))
			}
		}
		return
	}
	if !g.cells(a, b, reach, func(key uint64) {
		for i := g.heads[g.slot(key)]; i >= 0; i = g.items[i].next {
			f(g.items[i].segment)
		}
	}) {
		for _, it := range g.items {
			f(it.segment)
		}
	}
	for _, s := range g.long {
		f(s)
	}
}
