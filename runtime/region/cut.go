package region

import (
	"slices"

	"wend/runtime/geom"
)

// Cutter cuts lines by a region.
//
// Each piece of a line is looked at as if it ran just left and just right of
// where it runs: both ways it meets the border in single points only, so what
// touches the border, runs along it or goes through its corners needs no rule
// of its own. A piece is inside if it is on either side; so the border belongs to
// the region.
type Cutter struct {
	area  Region
	grid  grid
	reach geom.Box // mm: beyond it nothing of the region is
	edges [][2]node
	index *index
	left  int64 // left of it nothing of the region is
}

// NewCutter makes a Cutter.
func NewCutter(area Region) *Cutter {
	box := area.Bounds()
	c := &Cutter{area: area, grid: gridFor(box)}
	if box.Empty() {
		c.reach = box
		c.index = newIndex(nil)
		return c
	}
	// Twice as large, which is what coordinateBits leaves room for.
	c.reach = box.Grow(float64(max(box.Width(), box.Height())/2) + c.grid.unit)
	var frames []frame
	for _, line := range area {
		last := c.grid.snap(line.Points[len(line.Points)-1])
		for _, p := range line.Points {
			q := c.grid.snap(p)
			if q != last {
				c.edges = append(c.edges, [2]node{last, q})
				frames = append(frames, frameOf(last, q))
				c.left = min(c.left, q.x-1)
			}
			last = q
		}
	}
	c.index = newIndex(frames)
	return c
}

// sides is what lies just left and just right of a line.
type sides [2]bool

func (s sides) inside() bool { return s[0] || s[1] }

// event is where, along a piece of a line, a side goes into the region or out
// of it.
type event struct {
	share share
	flips sides
}

// CutAll is Cut of each of several lines, in their order.
func (c *Cutter) CutAll(lines [][]geom.Point, inside bool, work Work) ([][]geom.Point, error) {
	var all [][]geom.Point
	for _, line := range lines {
		parts, err := c.Cut(line, inside, work)
		if err != nil {
			return nil, err
		}
		all = append(all, parts...)
	}
	return all, nil
}

// Cut is the parts of a line inside the region, or those outside, in the order
// of the line and with every point of it that they hold. A line of a single
// point is one part or none.
func (c *Cutter) Cut(line []geom.Point, inside bool, work Work) ([][]geom.Point, error) {
	if len(line) == 1 {
		if c.area.Contains(line[0]) == inside {
			return [][]geom.Point{line}, nil
		}
		return nil, nil
	}
	p := parts{wanted: inside}
	now, known := sides{}, false
	var events []event
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		from, to, meets := within(c.reach, a, b)
		if !meets {
			now, known = sides{}, true
			p.change(false, a)
			p.extend(b)
			continue
		}
		start, end := c.grid.snap(a.Mix(b, from)), c.grid.snap(a.Mix(b, to))
		if start == end {
			if !known && i == 1 {
				p.change(c.area.Contains(a), a)
			}
			known = false
			p.extend(b)
			continue
		}
		seen := 0
		if from > 0 {
			now, known = sides{}, true
		}
		if !known {
			now, seen = c.sidesAt(start, end.sub(start))
		}
		p.change(now.inside(), a)
		var more int
		events, known, more = c.events(events[:0], start, end)
		if err := work(1+seen+more, 0); err != nil {
			return nil, err
		}
		for j := 0; j < len(events); {
			at := events[j].share
			for ; j < len(events) && events[j].share.compare(at) == 0; j++ {
				now[0] = now[0] != events[j].flips[0]
				now[1] = now[1] != events[j].flips[1]
			}
			if at.part < at.whole {
				p.change(now.inside(), a.Mix(b, from+float64((to-from)*(float64(at.part)/float64(at.whole)))))
			}
		}
		p.extend(b)
	}
	return p.finish(), nil
}

// within is the stretch of ab, as shares of the way, that lies in a box, and
// whether there is one.
func within(box geom.Box, a, b geom.Point) (from, to float64, ok bool) {
	if max(a.X, b.X) < box.Min.X || min(a.X, b.X) > box.Max.X || max(a.Y, b.Y) < box.Min.Y || min(a.Y, b.Y) > box.Max.Y {
		return 0, 0, false
	}
	from, to = 0, 1
	limit := func(at, way, low, high float64) {
		if way == 0 {
			return
		}
		s, t := (low-at)/way, (high-at)/way
		from, to = max(from, min(s, t)), min(to, max(s, t))
	}
	limit(a.X, b.X-a.X, box.Min.X, box.Max.X)
	limit(a.Y, b.Y-a.Y, box.Min.Y, box.Max.Y)
	return from, to, from < to
}

// sidesAt is what lies left and right of a line that leaves p along way, just
// behind p; and how many edges were looked at.
func (c *Cutter) sidesAt(p, way node) (s sides, seen int) {
	// The place behind p and beside the line is p moved a little along way and
	// far less along its normal. Every comparison with p that is undecided is
	// decided by the first of these, else by the second.
	c.index.visit(node{min(c.left, p.x), p.y}, p, 1, func(i int32) {
		seen++
		a, b := c.edges[i][0], c.edges[i][1]
		if a.y > b.y {
			a, b = b, a
		}
		above := func(q node, normal int64) bool {
			return first(q.y-p.y, -way.y, -normal) > 0
		}
		for k, normal := range [2]int64{way.x, -way.x} {
			if above(a, normal) || !above(b, normal) {
				continue
			}
			along := b.sub(a)
			// The edge rises: it is crossed on the way here from the left if
			// the place is to its right.
			beside := along.dot(way)
			if k == 1 {
				beside = -beside
			}
			if first(side(a, b, p), along.cross(way), beside) < 0 {
				s[k] = !s[k]
			}
		}
	})
	return s, seen
}

// first is the first number that is not 0.
func first(numbers ...int64) int64 {
	for _, n := range numbers {
		if n != 0 {
			return n
		}
	}
	return 0
}

// events are where the sides of a piece of a line change, in its order, its
// start left out. It reports whether the end is away from the border, so that
// the next piece begins with the sides that this one ends with.
func (c *Cutter) events(events []event, a, b node) (_ []event, clear bool, seen int) {
	clear = true
	c.index.visit(a, b, 0, func(i int32) {
		seen++
		p, q := c.edges[i][0], c.edges[i][1]
		s, t := side(a, b, p), side(a, b, q)
		if s == 0 && t == 0 {
			clear = false
			return
		}
		flips := sides{(s > 0) != (t > 0), (s >= 0) != (t >= 0)}
		if flips == (sides{}) {
			return
		}
		at := shareOf(a, b, p, q)
		if at.part < 0 || at.part > at.whole {
			return
		}
		if at.part == at.whole {
			clear = false
		}
		if at.part > 0 {
			events = append(events, event{at, flips})
		}
	})
	slices.SortFunc(events, func(e, f event) int { return e.share.compare(f.share) })
	return events, clear, seen
}

// parts collects what is kept of a line.
type parts struct {
	wanted bool
	within bool // of the part that is open
	open   []geom.Point
	done   [][]geom.Point
	begun  bool
}

// change says that the line is inside from p on, or outside.
func (p *parts) change(inside bool, at geom.Point) {
	keep := inside == p.wanted
	if p.begun && keep == p.within {
		return
	}
	p.extend(at)
	p.close()
	p.begun, p.within = true, keep
	p.extend(at)
}

func (p *parts) extend(to geom.Point) {
	if p.begun && p.within && (len(p.open) == 0 || p.open[len(p.open)-1] != to) {
		p.open = append(p.open, to)
	}
}

// close ends the open part; one without length is a touch, and none.
func (p *parts) close() {
	if len(p.open) > 1 && geom.Length(p.open) > geom.SamePoint {
		p.done = append(p.done, p.open)
	}
	p.open = nil
}

func (p *parts) finish() [][]geom.Point {
	p.close()
	return p.done
}
