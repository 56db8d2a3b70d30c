package tour

import (
	"context"
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
)

// heldKarp is a lower bound on every closed tour: the weight of the least
// 1-tree under penalties of the nodes, which a subgradient search raises (M.
// Held and R. M. Karp, Mathematical Programming 1 (1971) 6-25; the length of a
// step from that of a known tour after B. T. Polyak, 1969; both from memory).
// The search looks at candidate edges alone: near nodes, and every edge of an
// exact least tree over all pairs that was met, for those join clusters that
// lie apart. What is returned is the value of such an exact tree, so it holds
// whatever the search missed.
func heldKarp(points []geom.Point, upper float64, rounds int) float64 {
	w := newWay(points, true, nil)
	edges := w.candidateEdges()
	known := make(map[edge]bool, len(edges))
	for _, e := range edges {
		known[edge{e.a, e.b}] = true
	}
	// Clusters, of three sizes. Each is moved as one, too: node by node, the search
	// would take for ever to have two edges lead to each.
	value, tree := w.exactOneTree(make([]float64, len(w.points)))
	var clusters []*pieces
	for _, times := range [...]float64{2, 4, 8} {
		c := &pieces{root: make([]int32, len(w.points)), count: int32(len(w.points))}
		for i := range c.root {
			c.root[i] = int32(i)
		}
		for _, e := range tree {
			if w.distance(e.a, e.b) < times*value/float64(len(w.points)) {
				c.root[c.of(e.a)] = c.of(e.b)
			}
		}
		clusters = append(clusters, c)
	}
	penalty := make([]float64, len(w.points))
	bound := math.Inf(-1)
	for range 4 {
		value, tree = w.exactOneTree(penalty)
		bound = max(bound, value)
		for _, e := range tree {
			if !known[e] {
				known[e] = true
				edges = append(edges, candidate{a: e.a, b: e.b})
			}
		}
		penalty = w.raise(edges, clusters, penalty, upper, rounds)
	}
	value, _ = w.exactOneTree(penalty)
	return max(bound, value)
}

// raise are penalties under which the least 1-tree of the edges weighs more.
func (w *way) raise(edges []candidate, clusters []*pieces, from []float64, upper float64, rounds int) []float64 {
	penalty, best := slices.Clone(from), slices.Clone(from)
	degree, last := make([]int, len(penalty)), make([]int, len(penalty))
	off, all := make([]float64, len(penalty)), make([]float64, len(penalty)) // degrees too many: of nodes, and with those of their clusters
	of := make([]float64, len(penalty))
	highest, share, vain := math.Inf(-1), 1.0, 0
	for round := range rounds {
		value := w.sparseOneTree(edges, penalty, degree)
		if vain++; value > highest {
			highest, vain = value, 0
			copy(best, penalty)
		}
		if vain > 10 {
			share, vain = share*0.7, 0
		}
		if round == 0 {
			copy(last, degree)
		}
		squares := 0.0
		for i, d := range degree {
			off[i] = 0.7*float64(d-2) + 0.3*float64(last[i]-2)
			squares += off[i] * off[i]
			last[i] = d
		}
		copy(all, off)
		for _, c := range clusters {
			clear(of)
			for i, d := range off {
				of[c.of(int32(i))] += d
			}
			for i := range all {
				all[i] += of[c.of(int32(i))]
			}
			for _, sum := range of {
				squares += sum * sum
			}
		}
		if squares == 0 {
			break // the tree is a tour: no bound is higher
		}
		step := share * (upper - value) / squares
		for i := range penalty {
			penalty[i] += step * all[i]
		}
	}
	return best
}

// exactOneTree is the value of the least 1-tree over all pairs, and its edges
// but for the two of the node that is left out: Prim's algorithm on all nodes
// but one, and the two least edges of that one, less twice the penalties. Any
// node may be left out; node 0 is.
func (w *way) exactOneTree(penalty []float64) (value float64, tree []edge) {
	n := int32(len(w.points))
	key := make([]float64, n)
	from := make([]int32, n)
	in := make([]bool, n)
	for i := range key {
		key[i] = math.Inf(1)
	}
	at := int32(1)
	in[1] = true
	for range n - 2 {
		next, least := int32(-1), math.Inf(1)
		for b := int32(1); b < n; b++ {
			if in[b] {
				continue
			}
			if d := w.distance(at, b) + penalty[at] + penalty[b]; d < key[b] {
				key[b], from[b] = d, at
			}
			if key[b] < least {
				next, least = b, key[b]
			}
		}
		value += least
		tree = append(tree, edge{min(next, from[next]), max(next, from[next])})
		in[next], at = true, next
	}
	first, second := math.Inf(1), math.Inf(1)
	for b := int32(1); b < n; b++ {
		d := w.distance(0, b) + penalty[0] + penalty[b]
		if d < first {
			first, second = d, first
		} else if d < second {
			second = d
		}
	}
	value += first + second
	for _, p := range penalty {
		value -= 2 * p
	}
	return value, tree
}

// sparseOneTree is the same over candidate edges, by Kruskal's algorithm; it
// fills in the degrees.
func (w *way) sparseOneTree(edges []candidate, penalty []float64, degree []int) float64 {
	n := int32(len(w.points))
	clear(degree)
	g := pieces{root: make([]int32, n), count: n}
	for i := range n {
		g.root[i] = i
	}
	for i := range edges {
		e := &edges[i]
		e.length = w.distance(e.a, e.b) + penalty[e.a] + penalty[e.b]
	}
	sortCandidates(edges)
	value := 0.0
	first, second := candidate{length: math.Inf(1)}, candidate{length: math.Inf(1)}
	for _, e := range edges {
		if e.a == 0 || e.b == 0 {
			if e.length < first.length {
				first, second = e, first
			} else if e.length < second.length {
				second = e
			}
			continue
		}
		if a, b := g.of(e.a), g.of(e.b); a != b {
			g.root[a] = b
			value += e.length
			degree[e.a]++
			degree[e.b]++
		}
	}
	for _, e := range [...]candidate{first, second} {
		value += e.length
		degree[e.a]++
		degree[e.b]++
	}
	for _, p := range penalty {
		value -= 2 * p
	}
	return value
}

// The tours that nobody can prove optimal, beside a bound that no tour can beat.
// One percent over the bound is about as near as an optimum comes.
func TestToursStayNearTheBound(t *testing.T) {
	points := uniform(200, 1)
	order, err := Order(context.Background(), points, Options{Closed: true})
	require.NoError(t, err)
	length := wayLength(points, order, true)
	bound := heldKarp(points, length, 150)
	require.LessOrEqual(t, bound, length)
	require.Less(t, length, 1.02*bound)
}

// BenchmarkGap prints by how many percent of the Held-Karp bound tours are
// longer:
//
//	go test ./runtime/tour -run xxx -bench Gap -benchtime 1x
func BenchmarkGap(b *testing.B) {
	for _, count := range []int{1000, 2000, 5000, 10_000, 15_000} {
		for name, set := range map[string]func(int, uint64) []geom.Point{"uniform": uniform, "clustered": clustered} {
			b.Run(fmt.Sprintf("%s/%d", name, count), func(b *testing.B) {
				points := set(count, 1)
				length := 0.0
				for b.Loop() {
					order, err := Order(context.Background(), points, Options{Closed: true})
					require.NoError(b, err)
					length = wayLength(points, order, true)
				}
				b.StopTimer()
				b.ReportMetric(100*(length/heldKarp(points, length, 250)-1), "%-over-bound")
			})
		}
	}
}
