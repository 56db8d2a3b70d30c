package weave

import (
	"cmp"
	"math"
	"slices"

	"wend/internal/heap"
	"wend/runtime/geom"
	"wend/runtime/plan"
)

// trails is a way to draw a graph in which at every node but the ends of the
// line an even number of passes begin. A pass is one way over an edge; edges to
// be retraced have two. At each node the ends of passes are coupled: coming in
// on one, the line goes out on its partner. Any coupling gives a set of closed
// trails, and one open one if the line has two ends. Where trails meet, couples
// are exchanged until one trail is left (C. Hierholzer, Math. Annalen 6, 1873,
// showed that this is possible).
//
// The couples are chosen for straight continuation, and exchanged where that
// costs least, so the line turns back sharply where it must and hardly anywhere
// else.
type trails struct {
	g       *graph
	pass    []int32      // the edge of each pass
	couples [][]int32    // per node, half passes, two by two; an odd last one is an end
	out     []geom.Point // per half edge, the unit vector along which it leaves its node
	set     unionFind    // passes on one trail
	queue   heap.Heap[exchange]
}

// exchange is a possible exchange between two couples at a node, and by how much
// it makes the turns sharper.
type exchange struct {
	cost    float64
	node    int32
	i, j    int32 // couples
	crossed bool  // first with first and second with second
}

func newTrails(g *graph, again []int32) *trails {
	room := g.drawing.room
	t := &trails{g: g, pass: room.takeNumbers(len(g.edges) + len(again))[:0]}
	for e := range g.edges {
		t.pass = append(t.pass, int32(e))
	}
	t.pass = append(t.pass, again...)
	degree := room.takeNumbers(len(g.vertex))
	for _, e := range t.pass {
		for _, n := range g.edges[e].ends {
			degree[n]++
		}
	}
	halves := room.takeNumbers(2 * len(t.pass))
	t.couples = make([][]int32, len(g.vertex))
	for n, d := range degree {
		t.couples[n], halves = halves[:0:d], halves[d:]
	}
	for i, e := range t.pass {
		for side, n := range g.edges[e].ends {
			t.couples[n] = append(t.couples[n], int32(2*i+side))
		}
	}
	t.out = room.takePoints(2 * len(g.edges))
	for half := range t.out {
		t.out[half] = g.direction(int32(half))
	}
	t.set = newUnionFind(len(t.pass), room)
	for n := range t.couples {
		t.couple(int32(n))
	}
	return t
}

// direction is where half a pass leaves its node to.
func (t *trails) direction(half int32) geom.Point {
	return t.out[2*t.pass[half/2]+half%2]
}

// turn grows from 0 for going straight on from one half pass to the other to 2
// for turning back.
func (t *trails) turn(a, b int32) float64 { return 1 + t.direction(a).Dot(t.direction(b)) }

// fewHalves is up to how many half passes at a node all couplings are tried.
const fewHalves = 8

// couple arranges the half passes at a node for the straightest passage.
func (t *trails) couple(n int32) {
	halves := t.couples[n]
	if len(halves) > fewHalves {
		// Sorted by direction, those half the circle apart continue one another.
		slices.SortFunc(halves, func(a, b int32) int {
			return cmp.Or(compareDirections(t.direction(a), t.direction(b)), cmp.Compare(a, b))
		})
		half := len(halves) / 2
		sorted := slices.Clone(halves)
		for i := range half {
			halves[2*i], halves[2*i+1] = sorted[i], sorted[i+half]
		}
		if len(halves)%2 == 1 {
			halves[len(halves)-1] = sorted[len(halves)-1]
		}
	} else if len(halves) > 2 {
		var best [fewHalves]int32
		least := math.Inf(1)
		t.tryCouplings(halves, 0, 0, func(total float64) {
			if total < least {
				least = total
				copy(best[:], halves)
			}
		})
		copy(halves, best[:])
	}
	for i := 1; i < len(halves); i += 2 {
		t.set.join(halves[i-1]/2, halves[i]/2)
	}
}

// tryCouplings calls f with every coupling of halves[from:], in place, and the
// sum of all turns.
func (t *trails) tryCouplings(halves []int32, from int, sum float64, f func(total float64)) {
	left := len(halves) - from
	if left <= 1 {
		f(sum)
		return
	}
	for j := from + 1; j < len(halves); j++ {
		halves[from+1], halves[j] = halves[j], halves[from+1]
		t.tryCouplings(halves, from+2, sum+t.turn(halves[from], halves[from+1]), f)
		halves[from+1], halves[j] = halves[j], halves[from+1]
	}
	if left%2 == 1 { // the first may be the one left over
		last := len(halves) - 1
		halves[from], halves[last] = halves[last], halves[from]
		t.tryCouplings(halves[:last], from, sum, f)
		halves[from], halves[last] = halves[last], halves[from]
	}
}

// compareDirections orders unit vectors counterclockwise from the positive x
// axis.
func compareDirections(a, b geom.Point) int {
	upper := func(p geom.Point) bool { return p.Y > 0 || p.Y == 0 && p.X > 0 }
	if ua, ub := upper(a), upper(b); ua != ub {
		if ua {
			return -1
		}
		return 1
	}
	return -cmp.Compare(a.Cross(b), 0)
}

// join makes one trail of all by the cheapest exchanges.
func (t *trails) join() {
	for n := range t.couples {
		count := len(t.couples[n]) / 2
		for j := 1; j < count; j++ {
			// With many couples at a node, neighbours suffice to join all.
			i := 0
			if count > fewHalves {
				i = j - 1
			}
			for ; i < j; i++ {
				t.consider(int32(n), int32(i), int32(j))
			}
		}
	}
	for len(t.queue) > 0 {
		x := t.queue.Pop()
		now, trail := t.evaluate(x.node, x.i, x.j)
		if !trail {
			continue
		}
		if now.cost > x.cost {
			t.queue.Push(now)
			continue
		}
		halves := t.couples[x.node]
		a, b := 2*x.i, 2*x.j
		if now.crossed {
			halves[a+1], halves[b] = halves[b], halves[a+1]
		} else {
			halves[a+1], halves[b+1] = halves[b+1], halves[a+1]
		}
		t.set.join(halves[a]/2, halves[a+1]/2)
	}
	t.joinEnds()
}

// joinEnds deals with trails that meet the rest only at a node where the line
// ends: the end and one of a couple change places.
func (t *trails) joinEnds() {
	for n, halves := range t.couples {
		if len(halves)%2 == 0 {
			continue
		}
		last := len(halves) - 1
		for i := 0; i < last; i += 2 {
			if !t.set.join(halves[i]/2, halves[last]/2) {
				continue
			}
			if t.turn(halves[last], halves[i+1]) <= t.turn(halves[i], halves[last]) {
				halves[i], halves[last] = halves[last], halves[i]
			} else {
				halves[i+1], halves[last] = halves[last], halves[i+1]
			}
		}
		t.couples[n] = halves
	}
}

func (t *trails) consider(n, i, j int32) {
	if x, two := t.evaluate(n, i, j); two {
		t.queue.Push(x)
	}
}

// evaluate is the better exchange between two couples, and whether they lie on
// two trails.
func (t *trails) evaluate(n, i, j int32) (exchange, bool) {
	h := t.couples[n]
	a, b, c, d := h[2*i], h[2*i+1], h[2*j], h[2*j+1]
	if t.set.find(a/2) == t.set.find(c/2) {
		return exchange{}, false
	}
	before := t.turn(a, b) + t.turn(c, d)
	crossed := t.turn(a, c) + t.turn(b, d) - before
	straight := t.turn(a, d) + t.turn(c, b) - before
	if crossed < straight {
		return exchange{crossed, n, i, j, true}, true
	}
	return exchange{straight, n, i, j, false}, true
}

// Before orders exchanges by cost, and then by their places.
func (x exchange) Before(y exchange) bool {
	if x.cost != y.cost {
		return x.cost < y.cost
	}
	return cmp.Or(cmp.Compare(x.node, y.node), cmp.Compare(x.i, y.i), cmp.Compare(x.j, y.j)) < 0
}

// walk writes the one trail into a result.
func (t *trails) walk(ends walkEnds, result *Result) {
	if len(t.pass) == 0 {
		result.Points = []geom.Point{t.g.drawing.point(t.g.vertex[0])}
		return
	}
	room := t.g.drawing.room
	partner := room.takeNumbers(2 * len(t.pass))
	for i := range partner {
		partner[i] = -1
	}
	var loose []int32
	sharpest, breakAt := -1.0, [2]int32{-1, -1}
	startNode := int32(-1)
	if ends.start >= 0 {
		startNode = t.g.nodeOf(ends.start)
	} else if ends.end >= 0 {
		startNode = t.g.nodeOf(ends.end)
	}
	for n, halves := range t.couples {
		for i := 1; i < len(halves); i += 2 {
			a, b := halves[i-1], halves[i]
			partner[a], partner[b] = b, a
			if turn := t.turn(a, b); turn > sharpest && (startNode < 0 || startNode == int32(n)) {
				sharpest, breakAt = turn, [2]int32{a, b}
			}
		}
		if len(halves)%2 == 1 {
			loose = append(loose, halves[len(halves)-1])
		}
	}
	var half int32
	if len(loose) == 0 {
		half = breakAt[0]
		partner[breakAt[0]], partner[breakAt[1]] = -1, -1
	} else {
		half = loose[0]
		if t.endsAt(half, ends.end) && !t.endsAt(half, ends.start) || t.endsAt(loose[1], ends.start) && !t.endsAt(half, ends.start) {
			half = loose[1]
		}
	}

	// A line of a million points would be copied over and over while it grew.
	pieces := 0
	for _, e := range t.pass {
		pieces += int(t.g.edges[e].to-t.g.edges[e].from) - 1
	}
	result.Points, result.Roles = slices.Grow(result.Points, pieces+1), slices.Grow(result.Roles, pieces)
	seen := room.takeMarks(len(t.g.edges))
	result.Points = append(result.Points, t.g.drawing.point(t.g.vertex[t.nodeAt(half)]))
	for half >= 0 {
		e := t.pass[half/2]
		edge := &t.g.edges[e]
		role := edge.role
		switch {
		case seen[e]:
			role = plan.Retrace
			result.RetraceMM += edge.mm
		case role == plan.Link:
			result.LinkMM += edge.mm
		default:
			result.DrawnMM += edge.mm
		}
		seen[e] = true
		chain := t.g.chain[edge.from:edge.to]
		for i := 1; i < len(chain); i++ {
			v := chain[i]
			if half%2 == 1 {
				v = chain[len(chain)-1-i]
			}
			result.Points = append(result.Points, t.g.drawing.point(v))
			result.Roles = append(result.Roles, role)
		}
		half = partner[half^1]
	}
}

func (t *trails) nodeAt(half int32) int32 { return t.g.edges[t.pass[half/2]].ends[half%2] }

func (t *trails) endsAt(half, vertex int32) bool {
	return vertex >= 0 && t.g.vertex[t.nodeAt(half)] == vertex
}
