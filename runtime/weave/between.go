package weave

import (
	"context"
	"math"
	"math/bits"

	"wend/runtime/geom"
	"wend/runtime/plan"
)

// Passages is what lines through a drawing cost that begin and end at given
// places.
type Passages struct {
	// RetraceMM[i][j] is how much line is gone over again from place i to place
	// j, and the same the other way.
	RetraceMM [][]float64
	// DrawnMM and LinkMM are the lengths of the strokes and of what joins their
	// parts, whatever the way.
	DrawnMM, LinkMM float64
}

// Between gives what Weave would, with each two of some places on the strokes as
// start and end, but for the lines themselves: the drawing is taken apart once
// for all of them. A place that is not on a stroke counts as a part.
//
// It fails as Weave does. The room may be nil.
func Between(ctx context.Context, strokes [][]geom.Point, places []geom.Point, room *Room) (*Passages, error) {
	room.empty()
	if err := checkPoints(append(strokes[:len(strokes):len(strokes)], places), Options{}); err != nil {
		return nil, err
	}
	drawing, err := arrange(ctx, strokes, Options{Room: room})
	if err != nil {
		return nil, err
	}
	dots := room.takeNumbers(len(places))
	for i, p := range places {
		dots[i] = drawing.addDot(p)
	}
	p := &Passages{RetraceMM: make([][]float64, len(places))}
	lengths := make([]float64, len(places)*len(places))
	for i := range places {
		p.RetraceMM[i], lengths = lengths[:len(places):len(places)], lengths[len(places):]
	}
	if len(drawing.vertices.points) == 0 {
		return p, nil
	}
	firstLink := int32(len(drawing.ends))
	if _, _, err := joinParts(ctx, drawing); err != nil {
		return nil, err
	}
	g := newGraph(drawing, firstLink, dots...)
	for _, e := range g.edges {
		if e.role == plan.Link {
			p.LinkMM += e.mm
		} else {
			p.DrawnMM += e.mm
		}
	}
	retraced := g.pairings(dots)
	for i := range places {
		for j := range i + 1 {
			again, err := retraced(ctx, i, j)
			if err != nil {
				return nil, err
			}
			for _, e := range again {
				p.RetraceMM[i][j] += g.edges[e].mm
			}
			p.RetraceMM[j][i] = p.RetraceMM[i][j]
		}
	}
	return p, nil
}

// pairings gives a function for the edges to go over twice from place i to place
// j, given as vertices.
func (g *graph) pairings(places []int32) func(ctx context.Context, i, j int) ([]int32, error) {
	odd, count := oddNodes(g, walkEnds{closed: true})
	if count <= fewOdd {
		p := g.newPairing(odd, places)
		return func(_ context.Context, i, j int) ([]int32, error) { return p.between(i, j), nil }
	}
	return func(ctx context.Context, i, j int) ([]int32, error) {
		ends := walkEnds{start: places[i], end: places[j]}
		odd, _ := oddNodes(g, ends)
		again, _, err := leastRetrace(ctx, g, odd, ends)
		return again, err
	}
}

// fewOdd is up to how many odd nodes the pairings of all sets of them are listed,
// for all places at once. A letter has hardly ever more.
const fewOdd = 12

// pairing is the least pairings of every even set of the odd nodes of a small
// graph, along shortest ways: what leastRetrace finds by matching for one pair of
// ends, at a fraction of its cost for all (M. Held, R. M. Karp, "A dynamic
// programming approach to sequencing problems", J. SIAM 10, 1962, has the table
// over subsets).
type pairing struct {
	g *graph
	// The first odd terminals are the odd nodes, the others those of the places.
	odd   int
	where []int     // the terminal of each place
	far   [][]int64 // from terminal to node, in units
	by    [][]int32 // the half edge by which the way from a terminal leaves a node for it, or -1
	nodes []int32   // of the terminals
	least []int64   // by set of odd nodes
	twice []bool    // per edge, of the pairing that is looked for
}

func (g *graph) newPairing(odd []bool, places []int32) *pairing {
	p := &pairing{g: g}
	room := g.drawing.room
	for n, is := range odd {
		if is {
			p.nodes = append(p.nodes, int32(n))
		}
	}
	p.odd = len(p.nodes)
	terminal := room.takeNumbers(len(g.vertex)) // plus 1
	for t, n := range p.nodes {
		terminal[n] = int32(t + 1)
	}
	for _, v := range places {
		n := g.nodeOf(v)
		if terminal[n] == 0 {
			p.nodes = append(p.nodes, n)
			terminal[n] = int32(len(p.nodes))
		}
		p.where = append(p.where, int(terminal[n]-1))
	}
	p.far, p.by = make([][]int64, len(p.nodes)), make([][]int32, len(p.nodes))
	far, by := room.takeUnits(len(p.nodes)*len(odd)), room.takeNumbers(len(p.nodes)*len(odd))
	done := room.takeMarks(len(odd))
	for t, n := range p.nodes {
		p.far[t], far = far[:len(odd):len(odd)], far[len(odd):]
		p.by[t], by = by[:len(odd):len(odd)], by[len(odd):]
		g.shortest(n, p.far[t], p.by[t], done)
	}
	p.least = room.takeUnits(1 << p.odd)
	p.twice = room.takeMarks(len(g.edges))
	for set := 3; set < len(p.least); set++ {
		if bits.OnesCount(uint(set))%2 == 1 {
			continue
		}
		_, p.least[set] = p.partner(set)
	}
	return p
}

// partner is the other of the pair that the first odd node of a set is in, and
// what the pairing of the set costs.
func (p *pairing) partner(set int) (with int, cost int64) {
	first := bits.TrailingZeros(uint(set))
	cost = math.MaxInt64
	for rest := set &^ (1 << first); rest != 0; rest &= rest - 1 {
		k := bits.TrailingZeros(uint(rest))
		if c := p.apart(first, k) + p.least[set&^(1<<first|1<<k)]; c < cost {
			with, cost = k, c
		}
	}
	return with, cost
}

// apart is how far two terminals are from each other.
func (p *pairing) apart(s, t int) int64 { return p.far[s][p.nodes[t]] }

// between is the edges to go over twice from place i to place j.
func (p *pairing) between(i, j int) []int32 {
	s, t := p.where[i], p.where[j]
	set := 1<<p.odd - 1
	twice := p.twice
	clear(twice)
	switch {
	case s == t:
	case s < p.odd && t < p.odd:
		set &^= 1<<s | 1<<t
	case s < p.odd || t < p.odd:
		if t < p.odd {
			s, t = t, s
		}
		set &^= 1 << s
		a, _ := p.alone(t, set)
		p.pass(t, a, twice)
		set &^= 1 << a
	default:
		a, b := t, s // the two paired with each other
		cost := p.apart(s, t) + p.least[set]
		for rest := set; rest != 0; rest &= rest - 1 {
			k := bits.TrailingZeros(uint(rest))
			if m, c := p.alone(t, set&^(1<<k)); p.apart(s, k)+c < cost {
				a, b, cost = k, m, p.apart(s, k)+c
			}
		}
		p.pass(s, a, twice)
		if a != t {
			p.pass(t, b, twice)
			set &^= 1<<a | 1<<b
		}
	}
	for set != 0 {
		first := bits.TrailingZeros(uint(set))
		with, _ := p.partner(set)
		p.pass(first, with, twice)
		set &^= 1<<first | 1<<with
	}
	var again []int32
	for e, is := range twice {
		if is {
			again = append(again, int32(e))
		}
	}
	return again
}

// alone is the odd node of a set of an odd number that a terminal is best paired
// with, and what that and the pairing of the rest cost.
func (p *pairing) alone(t, set int) (with int, cost int64) {
	cost = math.MaxInt64
	for rest := set; rest != 0; rest &= rest - 1 {
		k := bits.TrailingZeros(uint(rest))
		if c := p.apart(t, k) + p.least[set&^(1<<k)]; c < cost {
			with, cost = k, c
		}
	}
	return with, cost
}

// pass goes once more over the shortest way between two terminals. Two passes
// over an edge come to none.
func (p *pairing) pass(s, t int, twice []bool) {
	for n := p.nodes[t]; n != p.nodes[s]; {
		half := p.by[s][n]
		twice[half/2] = !twice[half/2]
		n = p.g.edges[half/2].ends[1-half%2]
	}
}

// shortest finds the shortest ways from a node to all others: how far they are,
// and the half edge by which each is left for it (E. W. Dijkstra, "A note on two
// problems in connexion with graphs", Numer. Math. 1, 1959). The graph is small, so
// the next node is looked for among all. done is room to work in.
func (g *graph) shortest(from int32, far []int64, by []int32, done []bool) {
	for n := range far {
		far[n], by[n], done[n] = math.MaxInt64, -1, false
	}
	far[from] = 0
	for {
		here := int32(-1)
		for n, d := range far {
			if !done[n] && d < math.MaxInt64 && (here < 0 || d < far[here]) {
				here = int32(n)
			}
		}
		if here < 0 {
			return
		}
		done[here] = true
		for _, half := range g.halves(here) {
			e := &g.edges[half/2]
			next := e.ends[1-half%2]
			if d := far[here] + e.length; d < far[next] {
				far[next], by[next] = d, half^1
			}
		}
	}
}
