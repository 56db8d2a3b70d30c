// Package tour finds a short way through many points: closed, or open with
// free ends.
//
// The way is built and then bettered in four steps:
//
//  1. Greedy edges: the shortest candidate edge that joins two pieces, again
//     and again (construct.go).
//  2. Chains of exchanges from every point, after Lin and Kernighan (1973),
//     and moves of runs of one to three points after Or (1976); a point whose
//     surroundings have not changed since it was last tried in vain is left
//     alone (chain.go).
//  3. Kicks: neighbouring runs change places, what that touched is bettered
//     again, and where the whole became no shorter all of it is taken back from a
//     journal of reversals (kick.go).
//  4. Where two pieces still cross, they are exchanged (crossing.go).
//
// Everything is deterministic: chance comes from a seed, work is counted in
// kicks and never in seconds, and distances are exact to the last bit on every
// processor. Points that lie on one another are visited one after the other.
//
// Sources: S. Lin and B. W. Kernighan, Operations Research 21 (1973) 498-516;
// J. L. Bentley, ORSA Journal on Computing 4 (1992) 387-411 (neighbour lists,
// don't-look bits); O. Martin, S. W. Otto and E. W. Felten, Complex Systems 5
// (1991) 299-326 (kicks); D. Applegate, W. Cook and A. Rohe, INFORMS Journal on
// Computing 15 (2003) 82-92 (kicks at the ends of walks); all from memory.
package tour

import (
	"context"
	"errors"
	"math"
	"slices"

	"wend/runtime/geom"
)

// Options say what kind of way is wanted and how much work it is worth.
type Options struct {
	// Closed asks for the way back from the last point to the first.
	Closed bool
	// Kicks is how many kicks are tried; 0 lets the number of points decide.
	Kicks int
	// Seed decides where the kicks fall.
	Seed uint64
	// Progress, where not nil, is told from time to time how many of the kicks
	// are done.
	Progress func(done, of int)
	// From, where not nil, is the order of an open way that is to be bettered: each
	// index once, no two points on one another. Nothing is built, and there are no
	// kicks.
	From []int
	// Cost, where not nil, is what it costs to go from one point to another, at
	// least their distance and the same both ways. At the end the way is led past
	// its crossings at whatever cost.
	Cost func(a, b int) float64
}

// ErrNotFinite is the error for a coordinate that is no number.
var ErrNotFinite = errors.New("tour: a coordinate is not a finite number")

// Order gives the indices of points, in mm, in the order of a short way
// through all of them. An open way begins at the end with the lower index; a
// closed one begins at point 0 and goes on to the neighbour with the lower
// index. The error is ErrNotFinite or that of ctx, which is asked between kicks.
func Order(ctx context.Context, points []geom.Point, options Options) ([]int, error) {
	for _, p := range points {
		if !p.Finite() {
			return nil, ErrNotFinite
		}
	}
	places, visitors := distinct(points)
	if len(places) < 4 {
		return few(places, options.Closed, visitors), nil
	}
	w := newWay(places, options.Closed, options.Cost)
	kicks := options.Kicks
	switch {
	case options.From != nil:
		w.follow(options.From)
		kicks = 0
	default:
		w.construct()
		if kicks == 0 {
			kicks = UsualKicks(len(places))
		}
	}
	if err := w.settle(ctx); err != nil {
		return nil, err
	}
	if err := w.kick(ctx, kicks, options.Seed, options.Progress); err != nil {
		return nil, err
	}
	if err := w.uncross(ctx); err != nil {
		return nil, err
	}
	return w.order(visitors), nil
}

// distinct gives the places of points, each once, and which points lie there.
func distinct(points []geom.Point) (places []geom.Point, visitors [][]int) {
	known := make(map[geom.Point]int, len(points))
	one := make([]int, len(points)) // the memory of the usual case, one visitor a place
	for i, p := range points {
		p = geom.Point{X: p.X + 0, Y: p.Y + 0} // -0 is 0
		at, seen := known[p]
		if !seen {
			at = len(places)
			known[p] = at
			places = append(places, p)
			visitors = append(visitors, one[i:i:i+1])
		}
		visitors[at] = append(visitors[at], i)
	}
	return places, visitors
}

// UsualKicks is the work, in kicks, that a number of points is worth: a few kicks a point
// where there are few, so that a short tour is had at once, up to eight for
// thousands, and at a hundred thousand points one or two.
func UsualKicks(points int) int {
	each := min(2+float64(points)/250, 8)
	return max(points, min(int(each*float64(points)), 150_000))
}

// few orders up to three places: any order of a closed way is as long as any
// other, and an open one leaves the longest side out.
func few(places []geom.Point, closed bool, visitors [][]int) []int {
	order := []int{0, 1, 2}[:len(places)]
	if len(places) == 3 && !closed {
		a, b, c := places[0].Distance(places[1]), places[1].Distance(places[2]), places[2].Distance(places[0])
		switch max(a, b, c) {
		case a:
			order = []int{0, 2, 1}
		case b:
			order = []int{1, 0, 2}
		}
	}
	var indices []int
	for _, place := range order {
		indices = append(indices, visitors[place]...)
	}
	return indices
}

// way is a closed tour that is being bettered. An open way is a closed one
// with one more node, at no distance from every other: where it stands, the
// way is open.
type way struct {
	points []geom.Point // place of each node but the extra one; near ones have near numbers
	places []geom.Point // the same, and of the extra node, if there is one, an infinite place
	names  []int32      // which of the places given each node is
	nodes  int32        // how many nodes there are, with the extra one
	extra  int32        // the extra node, or -1

	neighbours []int32 // candidates a node has, nearest first, candidates for each
	candidates int
	spans      []float64              // how far each candidate is, in mm
	cost       func(a, b int) float64 // of the points given, or nil for their distance

	tour     []int32 // node at each place
	place    []int32 // place of each node
	mirrored bool    // whether the tour is read from its end to its beginning

	journal []reversal // what was reversed since the journal was last emptied
	queue   worklist
	added   []edge // edges that the chain under way has added
	touched []int32
}

func newWay(points []geom.Point, closed bool, cost func(a, b int) float64) *way {
	names := nearTogether(points)
	w := &way{nodes: int32(len(points)), extra: -1, names: names, candidates: min(candidatesOfEach, len(points)-1)}
	w.points = make([]geom.Point, len(points), len(points)+1)
	for node, name := range names {
		w.points[node] = points[name]
	}
	w.places = w.points
	if !closed {
		w.extra = w.nodes
		w.nodes++
		w.places = append(w.points, geom.Point{X: math.Inf(1), Y: math.Inf(1)})
	}
	w.neighbours = candidateLists(w.points, w.candidates)
	w.spans = make([]float64, len(w.neighbours))
	w.setCost(cost)
	return w
}

// setCost sets what it costs to go from one point to another; nil: their distance.
func (w *way) setCost(cost func(a, b int) float64) {
	w.cost = cost
	for at, near := range w.neighbours {
		w.spans[at] = w.distance(int32(at/w.candidates), near)
	}
}

// distance is how far two nodes are apart, in mm, or what it costs to go there.
func (w *way) distance(a, b int32) float64 { return w.charged(a, b, apart(w.places, a, b)) }

// charged is what it costs to go from one node to another that is so far apart.
func (w *way) charged(a, b int32, apart float64) float64 {
	if w.cost != nil {
		return w.price(a, b)
	}
	return apart
}

func (w *way) price(a, b int32) float64 {
	if a == w.extra || b == w.extra {
		return 0
	}
	return w.cost(int(w.names[a]), int(w.names[b]))
}

// apart is how far two places are apart, in mm. The extra node has no finite
// place, and is at no distance from any. The loops of the search call this and
// charged one by one, for both are short enough to be compiled into them.
func apart(places []geom.Point, a, b int32) float64 {
	p, q := &places[a], &places[b]
	dx, dy := p.X-q.X, p.Y-q.Y
	if d := math.Sqrt(float64(dx*dx) + float64(dy*dy)); d <= math.MaxFloat64 {
		return d
	}
	return 0
}

func (w *way) next(a int32) int32 {
	if w.mirrored {
		return w.before(w.place[a])
	}
	return w.after(w.place[a])
}

func (w *way) previous(a int32) int32 {
	if w.mirrored {
		return w.after(w.place[a])
	}
	return w.before(w.place[a])
}

func (w *way) after(place int32) int32 {
	if place++; place == w.nodes {
		place = 0
	}
	return w.tour[place]
}

func (w *way) before(place int32) int32 {
	if place == 0 {
		place = w.nodes
	}
	return w.tour[place-1]
}

// between reports whether going forward from a one meets b before c, or b is a.
func (w *way) between(a, b, c int32) bool {
	pa, pb, pc := w.place[a], w.place[b], w.place[c]
	if w.mirrored {
		pa, pc = pc, pa
	}
	if pa <= pc {
		return pa <= pb && pb <= pc
	}
	return pa <= pb || pb <= pc
}

// reversal is a stretch of places that was turned round; it may run over the
// end of the tour.
type reversal struct {
	first, count int32
	mirrors      bool // whether this is the rest, turned in place of the stretch that was meant
}

// reverse turns the stretch from node a forward to node b round. Whichever is
// shorter is turned, that stretch or the rest: as a ring both come to the same,
// read the other way.
func (w *way) reverse(a, b int32) {
	first, last := w.place[a], w.place[b]
	if w.mirrored {
		first, last = last, first
	}
	r := reversal{first: first, count: last - first + 1}
	if r.count <= 0 {
		r.count += w.nodes
	}
	if 2*r.count > w.nodes {
		r = reversal{first: last + 1, count: w.nodes - r.count, mirrors: true}
		if r.first == w.nodes {
			r.first = 0
		}
	}
	w.turn(r)
	w.journal = append(w.journal, r)
}

// takeBack undoes the reversals of the journal past the first keep.
func (w *way) takeBack(keep int) {
	for i := len(w.journal) - 1; i >= keep; i-- {
		w.turn(w.journal[i])
	}
	w.journal = w.journal[:keep]
}

// turn carries out a reversal; the same one again undoes it.
func (w *way) turn(r reversal) {
	w.mirrored = w.mirrored != r.mirrors
	if end := r.first + r.count; end <= w.nodes {
		stretch, place := w.tour[r.first:end], w.place
		for i, j := 0, len(stretch)-1; i < j; i, j = i+1, j-1 {
			a, b := stretch[i], stretch[j]
			stretch[i], stretch[j] = b, a
			place[b], place[a] = r.first+int32(i), r.first+int32(j)
		}
		return
	}
	// It runs over the end of the tour.
	i, j := r.first, r.first+r.count-1
	if j >= w.nodes {
		j -= w.nodes
	}
	for range r.count / 2 {
		a, b := w.tour[i], w.tour[j]
		w.tour[i], w.tour[j] = b, a
		w.place[b], w.place[a] = i, j
		if i++; i == w.nodes {
			i = 0
		}
		if j--; j < 0 {
			j = w.nodes - 1
		}
	}
}

// order is the way as indices of the points that visit its nodes.
func (w *way) order(visitors [][]int) []int {
	name := func(node int32) int { return visitors[w.names[node]][0] }
	start := w.extra
	if start < 0 {
		start = int32(slices.Index(w.names, 0))
	}
	forward := name(w.next(start)) < name(w.previous(start))
	order := make([]int, 0, len(visitors))
	at := start
	for range w.nodes {
		if at != w.extra {
			order = append(order, visitors[w.names[at]]...)
		}
		if forward {
			at = w.next(at)
		} else {
			at = w.previous(at)
		}
	}
	return order
}

// shorter is by how many mm a change must shorten a way to be worth making;
// below that the rounding of distances could make a search go round for ever.
// It is measured against the lengths that take part.
const shorter = 1e-12
