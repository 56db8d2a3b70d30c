package shading

import (
	"cmp"
	"math"
	"slices"

	"wend/internal/heap"
	"wend/runtime/geom"
	"wend/runtime/region"
)

// A cell is a stack of rows of which each has one neighbour above and one below:
// it is covered by going to and fro. Of cells, those are joined between which the
// way along the border is short, each new one so that its line goes on where
// the line before it ended, if that can be.

// cell is rows from the lowest to the highest.
type cell struct {
	rows []int
	// start is the side on which the line begins in the lowest row; -1 as long as
	// it is not known.
	start int
	// taken says of the line's two ends, in the lowest and in the highest row,
	// whether it goes on there.
	taken [2]bool
}

// free is the side of the end of the line in the lowest (0) or highest (1) row.
func (c *cell) free(end int) int {
	if end == 1 && len(c.rows)%2 == 1 {
		return 1 - c.start
	}
	return c.start
}

// startWith is the side on which a line must begin so that its end in the lowest
// or highest row is on a side.
func (c *cell) startWith(end, side int) int {
	if end == 1 && len(c.rows)%2 == 1 {
		return 1 - side
	}
	return side
}

// Measured in spacings.
const (
	// longWay is how long a way from row to row of a cell may be. Where the border
	// runs nearly along the rows, a longer one would make a heavy seam.
	longWay = 6
	// offEnd is what it counts, beside its length, that a way does not begin where
	// a line ends, since some of it will be gone over twice.
	offEnd = 2
)

// hookup is a way between two cells, or a drop: straight from the end of a row
// onto the row above or below.
type hookup struct {
	from, to int // crossings; of a drop, to is an end of the row that it meets
	length   float64
	drop     *geom.Point // where the drop ends; nil for a way along the border
}

// plait is the choice of ways from row to row.
type plait struct {
	*rows
	spacing float64
	cells   []cell
	inside  map[[2]int]way // within cells, by row (the lower one) and side
	between []hookup
}

func newPlait(r *rows, within region.Region, spacing float64, work region.Work) (*plait, error) {
	p := &plait{rows: r, spacing: spacing, inside: map[[2]int]way{}}
	ways := r.ways()
	// Rows that are neighbours on both sides.
	type pair struct{ low, high int }
	sides := map[pair][2]int{} // index of the way on each side, plus 1
	order := []pair{}
	for i, w := range ways {
		a, b := &r.crossings[w.from], &r.crossings[w.to]
		if a.side != b.side {
			continue
		}
		k := pair{a.row, b.row}
		if r.rows[a.row].height > r.rows[b.row].height {
			k = pair{b.row, a.row}
		}
		known, seen := sides[k]
		if !seen {
			order = append(order, k)
		}
		known[a.side] = i + 1
		sides[k] = known
	}
	above := make([]int, len(r.rows))
	for i := range above {
		above[i] = -1
	}
	below := slices.Clone(above)
	used := make([]bool, len(ways))
	for _, k := range order {
		both := sides[k]
		if both[0] == 0 || both[1] == 0 {
			continue
		}
		if max(ways[both[0]-1].length, ways[both[1]-1].length) > longWay*spacing {
			continue
		}
		above[k.low], below[k.high] = k.high, k.low
		for side, i := range both {
			used[i-1] = true
			p.inside[[2]int{k.low, side}] = ways[i-1]
		}
	}
	for i := range r.rows {
		if below[i] >= 0 {
			continue
		}
		c := cell{start: -1}
		for j := i; j >= 0; j = above[j] {
			r.rows[j].cell = len(p.cells)
			c.rows = append(c.rows, j)
		}
		p.cells = append(p.cells, c)
	}
	for i, w := range ways {
		if !used[i] {
			p.between = append(p.between, hookup{w.from, w.to, w.length, nil})
		}
	}
	return p, p.addDrops(within, work)
}

// addDrops adds the drops from the ends of cells that stay in the area.
func (p *plait) addDrops(within region.Region, work region.Work) error {
	byLevel := map[int][]int{} // from left to right
	for i, r := range p.rows.rows {
		byLevel[r.level] = append(byLevel[r.level], i)
	}
	cutter := region.NewCutter(within)
	for _, c := range p.cells {
		for end, i := range [2]int{c.rows[0], c.rows[len(c.rows)-1]} {
			r := &p.rows.rows[i]
			if r.level < 0 {
				continue
			}
			for _, from := range r.ends {
				a := p.crossings[from].at
				level := byLevel[r.level+2*end-1]
				// The last row that begins left of the place.
				k, _ := slices.BinarySearchFunc(level, a.X, func(j int, x float64) int {
					return cmp.Compare(p.crossings[p.rows.rows[j].ends[left]].at.X, x)
				})
				if k == 0 {
					continue
				}
				other := &p.rows.rows[level[k-1]]
				if a.X >= p.crossings[other.ends[right]].at.X {
					continue
				}
				b := geom.Point{X: a.X, Y: other.height}
				out, err := cutter.Cut([]geom.Point{a.Mix(b, 0.25), a.Mix(b, 0.75)}, false, work)
				if err != nil {
					return err
				}
				if len(out) == 0 {
					p.between = append(p.between, hookup{from, other.ends[left], a.Distance(b), &b})
				}
			}
		}
	}
	return nil
}

// end says in which end of its cell's stack a row is; false for one within,
// which only drops meet.
func (p *plait) end(row int) (end int, ok bool) {
	rows := p.cells[p.rows.rows[row].cell].rows
	switch row {
	case rows[0]:
		return 0, true
	case rows[len(rows)-1]:
		return 1, true
	}
	return 0, false
}

// choose joins the cells and returns the hookups, and what they count.
func (p *plait) choose(first, start int) (chosen []hookup, count float64) {
	at := make([][]int, len(p.cells)) // the hookups of each cell
	for i, h := range p.between {
		for _, c := range [2]int{h.from, h.to} {
			cell := p.rows.rows[p.crossings[c].row].cell
			at[cell] = append(at[cell], i)
		}
	}
	for i := range p.cells {
		p.cells[i].start, p.cells[i].taken = -1, [2]bool{}
	}
	seen := 0
	for _, begin := range append([]int{first}, p.bySize()...) {
		if p.cells[begin].start >= 0 {
			continue
		}
		if begin != first {
			start = left
		}
		p.cells[begin].start = start
		var open heap.Heap[offered]
		offer := func(hookups []int) {
			for _, i := range hookups {
				if cost, ok := p.cost(&p.between[i]); ok {
					seen++
					open.Push(offered{i, cost, seen})
				}
			}
		}
		offer(at[begin])
		for len(open) > 0 {
			best := open.Pop()
			h := p.between[best.hookup]
			// What a hookup counts may have grown since it was offered, and never
			// becomes less.
			cost, ok := p.cost(&h)
			if ok && cost > best.cost {
				best.cost = cost
				open.Push(best)
				continue
			}
			if ok {
				offer(at[p.take(&h)])
				chosen = append(chosen, h)
				count += cost
			}
		}
	}
	return chosen, count
}

// offered is a hookup that may be chosen next, by what it counts and then by
// which was first.
type offered struct {
	hookup int
	cost   float64
	order  int
}

// Before orders what is offered.
func (o offered) Before(p offered) bool {
	return o.cost < p.cost || o.cost == p.cost && o.order < p.order
}

// bySize are the cells, those with the most rows first.
func (p *plait) bySize() []int {
	order := make([]int, len(p.cells))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return len(p.cells[b].rows) - len(p.cells[a].rows) })
	return order
}

// onEnd reports whether a crossing is where the line through its cell ends and
// does not go on yet.
func (p *plait) onEnd(c int) bool {
	at := &p.crossings[c]
	cell := &p.cells[p.rows.rows[at.row].cell]
	for end, row := range [2]int{cell.rows[0], cell.rows[len(cell.rows)-1]} {
		if row == at.row && cell.free(end) == at.side && !cell.taken[end] {
			return true
		}
	}
	return false
}

// cost is what a hookup counts that leads from a cell that is reached to one that
// is not; false for others.
func (p *plait) cost(h *hookup) (float64, bool) {
	from, to := h.from, h.to
	reached := func(c int) bool { return p.cells[p.rows.rows[p.crossings[c].row].cell].start >= 0 }
	if reached(from) == reached(to) {
		return 0, false
	}
	cost := h.length
	dropsOnto := h.drop != nil && reached(to)
	if reached(to) {
		from = to
	}
	if dropsOnto || !p.onEnd(from) {
		cost += float64(offEnd * p.spacing)
	}
	if h.drop != nil {
		cost += float64(offEnd * p.spacing)
	}
	return cost, true
}

// take goes through a hookup: the cell that it reaches begins there. It is
// returned.
func (p *plait) take(h *hookup) int {
	ends := [2]int{h.from, h.to}
	var reached int
	for _, c := range ends {
		at := &p.crossings[c]
		i := p.rows.rows[at.row].cell
		cell := &p.cells[i]
		if cell.start < 0 {
			reached = i
			if end, ok := p.end(at.row); ok {
				cell.start = cell.startWith(end, at.side)
			} else {
				cell.start = left
			}
		}
		if h.drop != nil && c == h.to {
			continue
		}
		for end, row := range [2]int{cell.rows[0], cell.rows[len(cell.rows)-1]} {
			if row == at.row && cell.free(end) == at.side {
				cell.taken[end] = true
				break
			}
		}
	}
	return reached
}

// tries is with how many of the largest cells a plait may begin.
const tries = 4

// strokes are the rows and the ways between them.
func (p *plait) strokes() [][]geom.Point {
	var best []hookup
	starts := make([]int, len(p.cells))
	least := math.Inf(1)
	for _, first := range p.bySize()[:min(tries, len(p.cells))] {
		for _, start := range [2]int{left, right} {
			chosen, count := p.choose(first, start)
			if count < least {
				best, least = chosen, count
				for i := range p.cells {
					starts[i] = p.cells[i].start
				}
			}
		}
	}
	meetings := make([][]geom.Point, len(p.rows.rows))
	var strokes [][]geom.Point
	for _, h := range best {
		if h.drop == nil {
			strokes = append(strokes, p.points(way{h.from, h.to, h.length}))
			continue
		}
		row := p.crossings[h.to].row
		meetings[row] = append(meetings[row], *h.drop)
		strokes = append(strokes, []geom.Point{p.crossings[h.from].at, *h.drop})
	}
	for i, c := range p.cells {
		side := 1 - starts[i]
		for k, row := range c.rows {
			if k+1 < len(c.rows) {
				strokes = append(strokes, p.points(p.inside[[2]int{row, side}]))
			}
			side = 1 - side
		}
	}
	for i := range p.rows.rows {
		strokes = append(strokes, p.line(i, meetings[i]))
	}
	return strokes
}
