package weave

import (
	"cmp"
	"context"
	"math"
	"slices"

	"wend/internal/heap"
	"wend/runtime/geom"
	"wend/runtime/plan"
)

// NewLineCost is what a mm of new line costs, in mm of retraced line.
const NewLineCost = 50

// Way is how to get somewhere: the points to visit and what each piece on the
// way to them is, a retrace of drawn line or a link of new line. In between,
// retraced line passes the very points of the first drawing.
type Way struct {
	Points []geom.Point
	Roles  []plan.Role
	// Cost is mm of retraced line, plus NewLineCost for every mm of new line;
	// across a gap under one line width, new line does not show and costs 1.
	Cost float64
}

// mostApproaches is how many places near one end of a way are considered.
const mostApproaches = 128

// Way finds the way of least cost from the end of the line to a point. The line
// has at least one point. No step is made if that is the point already.
//
// Considered are all ways that go straight there or keep to the line, changing
// over wherever it meets itself or comes closer than its width, with new line of
// any length where they leave the present place and where they end. Ways that
// lay visible new line in between are not looked for. The cost is the least as
// long as the search stays small, see patience; beyond, it is near the least.
//
// The context is looked at while the line is taken in; its error is the only one.
func (t *Trace) Way(ctx context.Context, line []geom.Point, to geom.Point) (Way, error) {
	if err := t.takeIn(ctx, line); err != nil {
		return Way{}, err
	}
	here := line[len(line)-1]
	apart := here.Distance(to)
	if apart <= geom.SamePoint {
		return Way{}, nil
	}
	best := Way{Points: []geom.Point{to}, Roles: []plan.Role{plan.Link}, Cost: t.hopCost(apart)}
	if t.first[t.last] < 0 {
		return best, nil
	}
	distance := t.nearest(to)
	floor := t.hopCost(distance) - distance
	t.ways.tries = 0
	if t.ways.search(t, to, best.Cost, floor, nil, t.approaches(to, float64(1.5*distance)+float64(4*t.widthMM))) {
		best = t.ways.way(here)
	}
	// New line of a length h costs at least 49 h more than the direct distance,
	// so longer pieces than this cannot pay.
	if reach := min(apart, (best.Cost-apart)/(NewLineCost-1)); reach > t.widthMM {
		if t.ways.search(t, to, best.Cost, floor, t.approaches(here, reach), t.approaches(to, reach)) {
			best = t.ways.way(here)
		}
	}
	return best, nil
}

// hopCost is what new line of a length costs.
func (t *Trace) hopCost(mm float64) float64 {
	if mm < t.widthMM {
		return mm
	}
	return NewLineCost * mm
}

// within calls f for the segments that come within reach of p, and for others;
// it reports whether these were all there are.
func (t *Trace) within(p geom.Point, reach float64, f func(s int32)) (all bool) {
	across := float64(2*reach*t.drawn.grid.perMM) + 3
	if across*across > float64(len(t.drawn.ends)) {
		for s := range t.drawn.ends {
			f(int32(s))
		}
		return true
	}
	t.drawn.nearby(p, p, reach, f)
	return false
}

// nearest is the distance from p to the line.
func (t *Trace) nearest(p geom.Point) float64 {
	least := math.Inf(1)
	for reach := math.Max(t.widthMM, 2/t.drawn.grid.perMM); least > reach; reach *= 2 {
		if t.within(p, reach, func(s int32) {
			a, b := t.drawn.line(s)
			least = math.Min(least, nearestOn(p, a, b).Distance(p))
		}) {
			break
		}
	}
	return least
}

// approach is a place on the line from where, or to where, new line may lead.
type approach struct {
	place
	point geom.Point
	hop   float64 // mm of new line
	cost  float64 // of that
}

// approaches lists the places on the line within reach of p where it is at its
// nearest, for each stretch of line that comes near, and next to them the two
// where leaving the line at the best angle costs least: like light at a border,
// new line leaves at the angle whose cosine is the ratio of the costs.
func (t *Trace) approaches(p geom.Point, reach float64) []approach {
	type candidate struct {
		approach
		length float64
		along  geom.Point // unit vector
	}
	var near []candidate
	t.within(p, reach, func(s int32) {
		a, b := t.drawn.line(s)
		q := nearestOn(p, a, b)
		d := q.Distance(p)
		if d > reach {
			return
		}
		length := a.Distance(b)
		near = append(near, candidate{
			approach{place{s, q.Distance(a)}, q, d, t.hopCost(d)}, length, b.Sub(a).Times(1 / length),
		})
	})
	slices.SortFunc(near, func(c, d candidate) int { return cmp.Compare(c.segment, d.segment) })
	var list []candidate
	for i, c := range near {
		if i > 0 && near[i-1].segment == c.segment-1 && t.runsOn(c.segment) && near[i-1].hop <= c.hop {
			continue
		}
		if i+1 < len(near) && near[i+1].segment == c.segment+1 && t.runsOn(c.segment+1) && near[i+1].hop < c.hop {
			continue
		}
		list = append(list, c)
	}
	slices.SortFunc(list, func(c, d candidate) int {
		return cmp.Or(cmp.Compare(c.hop, d.hop), cmp.Compare(c.segment, d.segment))
	})
	var result []approach
	for _, c := range list[:min(len(list), mostApproaches)] {
		result = append(result, c.approach)
		if c.hop < t.widthMM {
			continue
		}
		const slope = 1 / 49.98999899979995 // 1 over the root of NewLineCost^2 - 1
		for _, at := range []float64{c.at - float64(c.hop*slope), c.at + float64(c.hop*slope)} {
			if at <= 0 || at >= c.length || c.at <= 0 || c.at >= c.length {
				continue
			}
			q := c.point.Add(c.along.Times(at - c.at))
			d := q.Distance(p)
			result = append(result, approach{place{c.segment, at}, q, d, t.hopCost(d)})
		}
	}
	return result
}

// runsOn reports whether segment s begins where the one before it ends.
func (t *Trace) runsOn(s int32) bool { return t.drawn.ends[s-1][1] == t.drawn.ends[s][0] }

// wayFinder searches for the cheapest way from junction to junction, guided by
// the distance left (P. E. Hart, N. J. Nilsson, B. Raphael, "A formal basis for
// the heuristic determination of minimum cost paths", IEEE Trans. SSC 4, 1968).
type wayFinder struct {
	t      *Trace
	to     geom.Point
	round  int32
	visits []visit // per vertex
	queue  heap.Heap[guess]
	starts []approach
	ends   []approach
	exits  map[int32][]exit
	floor  float64 // what every way costs beyond the distance left
	tries  int     // how often patience was lost on this way
	factor float64 // by which the distance left is overrated
	limit  float64 // ways that cost as much do not matter

	best float64
	end  int32 // the approach it ends with, or -1
	from leg   // from the last junction, or the start, to that approach
}

// visit is how a vertex is reached best so far.
type visit struct {
	cost    float64
	leg     leg
	round   int32
	settled bool
}

// leg is a bit of a way from a vertex, or from a start, to another place.
type leg struct {
	vertex   int32 // where it begins, or -1
	start    int32 // with which start it begins if there is no vertex, or -1
	gap      bool  // straight across a gap, not along the line
	from, to place
}

// exit says that an approach can be reached along the line from a vertex.
type exit struct {
	approach int32
	mm       float64
	from     place
}

type guess struct {
	cost   float64 // at least that of any way over the vertex
	vertex int32
}

func (w *wayFinder) begin(t *Trace, to geom.Point, limit, floor float64) {
	w.t, w.to, w.limit, w.floor = t, to, limit, floor
	w.round++
	for len(w.visits) < len(t.drawn.vertices.points) {
		w.visits = append(w.visits, visit{})
	}
	w.queue, w.starts, w.ends = w.queue[:0], w.starts[:0], w.ends[:0]
	w.exits = map[int32][]exit{}
	w.best, w.end = math.Inf(1), -1
}

// startAt begins at a vertex of the line.
func (w *wayFinder) startAt(v int32) {
	if w.t.junction(v) {
		w.reach(v, 0, leg{vertex: -1, start: -1})
		return
	}
	i := w.t.incidents[w.t.first[v]]
	w.start(approach{place: place{i.segment, i.at}, point: w.t.drawn.point(v)}, 0)
}

// start begins at a place on the line that is reached at a cost.
func (w *wayFinder) start(a approach, cost float64) {
	a.cost = cost
	k := int32(len(w.starts))
	w.starts = append(w.starts, a)
	if v, p, found := w.t.ahead(a.place); found {
		w.reach(v, cost+w.t.mm(p)-w.t.mm(a.place), leg{vertex: -1, start: k, from: a.place, to: p})
	}
	if v, p, found := w.t.behind(a.place); found {
		w.reach(v, cost+w.t.mm(a.place)-w.t.mm(p), leg{vertex: -1, start: k, from: a.place, to: p})
	}
}

// enter says by which approaches the way may end. All starts are known.
func (w *wayFinder) enter(approaches []approach) {
	t := w.t
	w.ends = approaches
	for k, a := range approaches {
		here := t.mm(a.place)
		low, high := place{-1, 0}, place{math.MaxInt32, 0}
		if v, p, found := t.ahead(a.place); v >= 0 {
			high = p
			if found {
				w.exits[v] = append(w.exits[v], exit{int32(k), t.mm(p) - here, p})
			}
		}
		if v, p, found := t.behind(a.place); v >= 0 {
			low = p
			if found {
				w.exits[v] = append(w.exits[v], exit{int32(k), here - t.mm(p), p})
			}
		}
		if v, p := t.junctionAt(a.place); v >= 0 {
			w.exits[v] = append(w.exits[v], exit{int32(k), math.Abs(here - t.mm(p)), p})
		}
		for s, from := range w.starts {
			if !from.place.before(low) && !high.before(from.place) {
				w.arrive(from.cost+math.Abs(t.mm(from.place)-here)+a.cost, int32(k),
					leg{vertex: -1, start: int32(s), from: from.place, to: a.place})
			}
		}
	}
}

// junctionAt is the junction at a place on the line, or -1, and its own place.
func (t *Trace) junctionAt(p place) (int32, place) {
	for _, i := range t.drawn.inner(p.segment) {
		if math.Abs(i.at-p.at) <= 2*geom.SamePoint {
			return i.vertex, place{p.segment, i.at}
		}
	}
	for side, v := range t.drawn.ends[p.segment] {
		at := float64(side) * t.length(p.segment)
		if math.Abs(at-p.at) <= 2*geom.SamePoint && t.junction(v) {
			return v, place{p.segment, at}
		}
	}
	return -1, place{}
}

func (w *wayFinder) arrive(cost float64, approach int32, from leg) {
	if cost < w.best && cost < w.limit {
		w.best, w.end, w.from = cost, approach, from
	}
}

func (w *wayFinder) reach(v int32, cost float64, l leg) {
	n := &w.visits[v]
	if n.round == w.round && cost >= n.cost {
		return
	}
	guessed := cost + float64(w.factor*w.t.drawn.point(v).Distance(w.to)) + w.floor
	if guessed >= math.Min(w.best, w.limit) {
		return
	}
	*n = visit{cost: cost, leg: l, round: w.round}
	w.queue.Push(guess{guessed, v})
}

// patience says how many junctions a search may look at when it overrates the
// distance left by a factor. At 1 it finds the least cost; above, it makes for
// the goal and finds a cost at most so many times the least, so that ways
// across a drawing with millions of crossings are found soon, too.
var patience = [...]struct {
	factor    float64
	junctions int
}{{1, 1 << 13}, {1.05, 1 << 13}, {1.25, 1 << 14}, {2, math.MaxInt}}

// search finds the best way from the end of the line, or with new line first,
// to a point by one of the approaches. It reports whether there is one that costs
// less than the limit. No way costs less than the distance left and the floor.
func (w *wayFinder) search(t *Trace, to geom.Point, limit, floor float64, starts, ends []approach) bool {
	for ; ; w.tries++ {
		p := patience[w.tries]
		w.begin(t, to, limit, floor)
		w.factor = p.factor
		w.startAt(t.last)
		for _, a := range starts {
			if a.hop > geom.SamePoint {
				w.start(a, a.cost)
			}
		}
		w.enter(ends)
		if w.run(p.junctions) {
			break
		}
	}
	return w.end >= 0
}

// run looks at so many junctions at most and reports whether that was enough.
func (w *wayFinder) run(junctions int) bool {
	t := w.t
	for len(w.queue) > 0 {
		g := w.queue.Pop()
		if g.cost >= w.best {
			break
		}
		v := g.vertex
		n := &w.visits[v]
		if n.settled {
			continue
		}
		n.settled = true
		if junctions--; junctions < 0 {
			return false
		}
		cost := n.cost
		for _, x := range w.exits[v] {
			w.arrive(cost+x.mm+w.ends[x.approach].cost, x.approach,
				leg{vertex: v, start: -1, from: x.from, to: w.ends[x.approach].place})
		}
		for i := t.first[v]; i >= 0; i = t.incidents[i].next {
			at := place{t.incidents[i].segment, t.incidents[i].at}
			here := t.mm(at)
			if u, p, found := t.ahead(at); found {
				w.reach(u, cost+t.mm(p)-here, leg{vertex: v, start: -1, from: at, to: p})
			}
			if u, p, found := t.behind(at); found {
				w.reach(u, cost+here-t.mm(p), leg{vertex: v, start: -1, from: at, to: p})
			}
		}
		for k := t.gapAt[v]; k >= 0; {
			x := &t.gaps[k]
			side := 0
			if x.ends[1] == v {
				side = 1
			}
			w.reach(x.ends[1-side], cost+x.mm, leg{vertex: v, start: -1, gap: true})
			k = x.next[side]
		}
	}
	return true
}

// way writes down the best way, which begins at a point.
func (w *wayFinder) way(here geom.Point) Way {
	t := w.t
	legs := []leg{w.from}
	for v := w.from.vertex; v >= 0; v = legs[len(legs)-1].vertex {
		legs = append(legs, w.visits[v].leg)
	}
	slices.Reverse(legs)
	way := Way{Cost: w.best}
	last := here
	add := func(p geom.Point, role plan.Role) {
		if p.Distance(last) > geom.SamePoint {
			way.Points, way.Roles, last = append(way.Points, p), append(way.Roles, role), p
		}
	}
	if s := legs[0].start; s >= 0 {
		add(w.starts[s].point, plan.Link)
	}
	for i, l := range legs {
		goal, end := w.ends[w.end].point, int32(-1)
		if i+1 < len(legs) {
			end = legs[i+1].vertex
			goal = t.drawn.point(end)
		}
		switch {
		case l.gap:
			add(goal, plan.Link)
			continue
		case l.vertex < 0 && l.start < 0:
			continue // the first junction is where the stylus is
		}
		if t.mm(l.from) < t.mm(l.to) {
			for s := l.from.segment; s < l.to.segment; s++ {
				add(t.drawn.point(t.drawn.ends[s][1]), plan.Retrace)
			}
		} else {
			for s := l.from.segment; s > l.to.segment; s-- {
				add(t.drawn.point(t.drawn.ends[s][0]), plan.Retrace)
			}
		}
		add(goal, plan.Retrace)
	}
	if n := len(way.Points); n > 0 && last.Distance(w.to) <= geom.SamePoint {
		way.Points[n-1] = w.to
	} else {
		add(w.to, plan.Link)
	}
	return way
}

// Before orders guesses by cost, and then by vertex.
func (g guess) Before(h guess) bool {
	return g.cost < h.cost || g.cost == h.cost && g.vertex < h.vertex
}
