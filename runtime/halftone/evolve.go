package halftone

import (
	"context"
	"sync"
)

// evolution is a line that is being bettered.
type evolution struct {
	chain  *chain
	ink    *ink
	field  *field
	flow   flow
	prices prices
	width  int32 // of the picture
	height int32
	free   [strips][]int32 // vertices that no line goes through
	hands  [strips]*hand
	swept  int
}

// strips is how many parts of the picture are worked on at once. It is a part of
// what is computed, not of where: one processor gives the same line.
const strips = 2

// hand works on one strip.
type hand struct {
	*evolution
	chance
	window      window
	low, high   int32 // x that it may change
	temperature float64
	step        int32
	free        []int32
	runs        []run
	gone        []run
}

func newEvolution(line []point, tones *grid, f flow, p prices, seed uint64) *evolution {
	e := &evolution{flow: f, prices: p, field: newField(tones)}
	e.width, e.height = int32(tones.columns)*perWidth, int32(tones.rows)*perWidth
	e.ink = newInk(tones.columns, tones.rows)
	e.ink.lay(line)
	room := 2*len(line) + tones.columns*tones.rows
	e.chain = newChain(line, tones.columns, tones.rows, room)
	for i := range room {
		e.free[i%strips] = append(e.free[i%strips], int32(len(line)+room-1-i))
	}
	for k := range e.hands {
		e.hands[k] = &hand{evolution: e, chance: newChance(seed, uint64(k))}
	}
	return e
}

// renewal is after how many sweeps the field is worked out anew, against what
// rounding has added up to.
const renewal = 10

// triesPerCheck is how many moves are tried between two looks at the context.
const triesPerCheck = 1 << 10

// apart is how far from one another two hands work at the least: the field
// reaches that far, and pieces of line a little farther.
const apart = (reach + 6) * perWidth

// sweep tries a move at every vertex. The hands work at once, on strips with a
// gap between them that is elsewhere each time.
func (e *evolution) sweep(ctx context.Context, temperature float64, step int32, cut chance) error {
	if e.swept%renewal == 0 {
		e.field.renew(e.ink)
	}
	e.swept++
	middle := int32(float64(e.width) * (0.35 + float64(0.3*cut.unit())))
	lows, highs := [strips]int32{0, middle + apart/2}, [strips]int32{middle - apart/2, e.width}
	var vertices [strips][]int32
	for v := e.chain.first; v >= 0; v = e.chain.next[v] {
		for k := range e.hands {
			if x := e.chain.points[v].x; x >= lows[k] && x <= highs[k] {
				vertices[k] = append(vertices[k], v)
			}
		}
	}
	var group sync.WaitGroup
	for k, h := range e.hands {
		h.low, h.high, h.temperature, h.step = lows[k], highs[k], temperature, step
		h.free = e.free[k]
		group.Go(func() {
			for i, v := range vertices[k] {
				if i%triesPerCheck == 0 && ctx.Err() != nil {
					return
				}
				h.try(v)
			}
		})
	}
	group.Wait()
	for k, h := range e.hands {
		e.free[k] = h.free
	}
	return ctx.Err()
}

// aim sets other tones for the line.
func (e *evolution) aim(tones *grid) {
	e.field.aim(tones)
	e.field.renew(e.ink)
}

// try tries one move at a vertex, if it is still there.
func (h *hand) try(v int32) {
	c := h.chain
	if c.prev[v] < 0 && v != c.first {
		return // taken out in this sweep
	}
	switch pick := h.below(20); {
	case pick < 11:
		h.shift(v)
	case pick < 14:
		h.insert(v)
	case pick < 18:
		h.remove(v)
	default:
		h.round(v)
	}
}

// mine reports whether a place may be changed by this hand.
func (h *hand) mine(p point) bool { return p.x >= h.low && p.x <= h.high }

// inside reports whether a line may go through a place.
func (h *hand) inside(p point) bool {
	return h.mine(p) && p.x >= halfWidth && p.y >= halfWidth && p.x <= h.width-halfWidth && p.y <= h.height-halfWidth
}

// aside is a way of chance length and direction, at most a step long.
func (h *hand) aside() point {
	for {
		r := h.source.Uint64()
		x := int32(r>>40)%(2*h.step+1) - h.step
		y := int32(r&0xffffff)%(2*h.step+1) - h.step
		if x*x+y*y <= h.step*h.step {
			return point{x, y}
		}
	}
}

// shift moves a vertex, or a run of up to three.
func (h *hand) shift(v int32) {
	c := h.chain
	before := c.prev[v]
	var old [3]int32
	var to [3]point
	n := 1 + h.below(len(old))
	d := h.aside()
	for i := range n {
		if c.next[v] < 0 {
			n = i
			break
		}
		p := c.points[v]
		old[i], to[i] = v, point{p.x + d.x, p.y + d.y}
		v = c.next[v]
	}
	if n > 0 && before >= 0 {
		h.replace(before, old[:n], v, to[:n])
	}
}

// insert puts a vertex into the piece after v.
func (h *hand) insert(v int32) {
	w := h.chain.next[v]
	if w < 0 || len(h.free) == 0 {
		return
	}
	p, q, d := h.chain.points[v], h.chain.points[w], h.aside()
	to := [1]point{{(p.x+q.x)/2 + d.x, (p.y+q.y)/2 + d.y}}
	h.replace(v, nil, w, to[:])
}

// remove takes a vertex out.
func (h *hand) remove(v int32) {
	c := h.chain
	if c.prev[v] < 0 || c.next[v] < 0 {
		return
	}
	old := [1]int32{v}
	h.replace(c.prev[v], old[:], c.next[v], nil)
}

// round puts two vertices in place of one, each on the way to a neighbour.
func (h *hand) round(v int32) {
	c := h.chain
	a, b := c.prev[v], c.next[v]
	if a < 0 || b < 0 || len(h.free) == 0 {
		return
	}
	p, q, r := c.points[a], c.points[v], c.points[b]
	d := h.aside()
	old := [1]int32{v}
	to := [2]point{{q.x + (p.x-q.x)/3 + d.x/4, q.y + (p.y-q.y)/3 + d.y/4}, {q.x + (r.x-q.x)/3 + d.x/4, q.y + (r.y-q.y)/3 + d.y/4}}
	h.replace(a, old[:], b, to[:])
}

// replace tries new places for the vertices between two others. A move is taken
// if the temperature allows what it costs.
func (h *hand) replace(a int32, old []int32, b int32, to []point) {
	c := h.chain
	if !h.mine(c.points[a]) || !h.mine(c.points[b]) {
		return
	}
	// The stretch with a vertex to either side, as it was and as it will be.
	var was, will [7]point
	was[0], was[1] = c.points[a], c.points[a]
	if p := c.prev[a]; p >= 0 {
		was[0] = c.points[p]
	}
	will[0], will[1] = was[0], was[1]
	n, m := 2, 2
	for _, v := range old {
		if was[n] = c.points[v]; !h.mine(was[n]) {
			return
		}
		n++
	}
	for _, p := range to {
		if !h.inside(p) {
			return
		}
		will[m] = p
		m++
	}
	was[n], was[n+1] = c.points[b], c.points[b]
	if q := c.next[b]; q >= 0 {
		was[n+1] = c.points[q]
	}
	will[m], will[m+1] = was[n], was[n+1]
	for i := 1; i < m; i++ {
		dx, dy := int64(will[i+1].x-will[i].x), int64(will[i+1].y-will[i].y)
		if d := dx*dx + dy*dy; d > longest*longest || d < shortest*shortest {
			return
		}
	}
	price := h.prices.of(&h.flow, will[:m+2]) - h.prices.of(&h.flow, was[:n+2])
	allowed := float64(h.temperature * h.wait())
	if !h.clear(a, old, b, will[1:m+1]) {
		return
	}
	h.gone, h.runs = h.gone[:0], h.runs[:0]
	for i := 1; i < n; i++ {
		h.gone = h.ink.cover(h.gone, was[i].x, was[i].y, was[i+1].x, was[i+1].y)
	}
	for i := 1; i < m; i++ {
		h.runs = h.ink.cover(h.runs, will[i].x, will[i].y, will[i+1].x, will[i+1].y)
	}
	h.window.open(was[1].x/2+was[n].x/2, was[1].y/2+was[n].y/2)
	h.window.lift(h.ink, h.field, h.gone)
	h.window.lower(h.ink, h.field, h.runs)
	h.window.gather()
	// Where pieces meet, their round ends lie over one another.
	dear := h.field.overlapIn(was[1].y / perPixel)[was[1].x/perWidth]
	over := float64(float64(h.window.overlap)/16) - float64(float64(joint/16*float64(m-n))*float64(dear))
	price += float64(h.prices.overlap / (perCell * perCell) * over)
	change := float64(h.field.first(h.window.cells)) + price
	if change > allowed || change+float64(h.field.second(h.window.cells)) > allowed {
		h.ink.add(h.runs, -1)
		h.ink.add(h.gone, 1)
		return
	}
	h.field.change(h.window.cells)
	h.link(a, old, b, to)
}

// joint is how many pixels the round ends of two pieces have in common.
const joint = 3.141592653589793 * perCell

// clear reports whether the pieces of a stretch would meet none of the line but
// those in whose place they come, nor one another.
func (h *hand) clear(a int32, old []int32, b int32, stretch []point) bool {
	var gone [4]int32
	gone[0] = a
	n := 1 + copy(gone[1:], old)
	for i := range len(stretch) - 1 {
		from, to := int32(-2), int32(-2)
		if i == 0 {
			from = a
		}
		if i == len(stretch)-2 {
			to = b
		}
		if !h.chain.free(stretch[i], stretch[i+1], gone[:n], from, to) {
			return false
		}
		for j := i + 1; j < len(stretch)-1; j++ {
			if j == i+1 && folded(stretch[i], stretch[i+1], stretch[j], stretch[j+1]) ||
				j > i+1 && meets(stretch[i], stretch[i+1], stretch[j], stretch[j+1]) {
				return false
			}
		}
	}
	return true
}

// link puts new vertices into the line in place of old ones.
func (h *hand) link(a int32, old []int32, b int32, to []point) {
	c := h.chain
	c.leave(a)
	for i, v := range old {
		c.leave(v)
		if i >= len(to) {
			c.next[v], c.prev[v] = -1, -1
			h.free = append(h.free, v)
		}
	}
	at := a
	for i, p := range to {
		var v int32
		if i < len(old) {
			v = old[i]
		} else {
			v = h.free[len(h.free)-1]
			h.free = h.free[:len(h.free)-1]
		}
		c.points[v], c.prev[v], c.next[at] = p, at, v
		at = v
	}
	c.next[at], c.prev[b] = b, at
	for v := a; v != b; v = c.next[v] {
		c.enter(v)
	}
}
