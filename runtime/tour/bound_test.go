package tour

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
)

// heldKarp is a lower bound on every closed tour: the weight of the least
// 1-tree under penalties of the nodes, which a subgradient search raises (M.
// Held and R. M. Karp, Mathematical Programming 1 (1971) 6-25, from memory).
// The search looks at candidate edges alone; the bound that is returned comes
// from one exact least tree over all pairs with the penalties found, so it
// holds whatever the search missed.
func heldKarp(points []geom.Point, upper float64, rounds int) float64 {
	w := newWay(points, true)
	edges := w.candidateEdges()
	n := len(w.points)
	penalty := make([]float64, n)
	degree := make([]int, n)
	last := make([]int, n)
	for i := range last {
		last[i] = 2
	}
	best, bestPenalty := math.Inf(-1), make([]float64, n)
	step := 0.1 * upper / float64(n)
	for period, first := rounds/2, true; period > 0; period, step, first = period/2, step/2, false {
		for round := 0; round < period; round++ {
			value := w.sparseOneTree(edges, penalty, degree)
			if value > best {
				best = value
				copy(bestPenalty, penalty)
				if first && round > 0 {
					step *= 2
				}
				if round == period-1 {
					period *= 2
				}
			} else {
				first = false
			}
			for i, d := range degree {
				penalty[i] += step * (0.7*float64(d-2) + 0.3*float64(last[i]-2))
				last[i] = d
			}
		}
	}
	return w.exactOneTree(bestPenalty)
}

// exactOneTree is the value of the least 1-tree over all pairs: Prim's
// algorithm on all nodes but one, and the two least edges of that one, less
// twice the penalties. Any node may be left out; node 0 is.
func (w *way) exactOneTree(penalty []float64) float64 {
	n := int32(len(w.points))
	key := make([]float64, n)
	in := make([]bool, n)
	for i := range key {
		key[i] = math.Inf(1)
	}
	value := 0.0
	at := int32(1)
	in[1] = true
	for range n - 2 {
		next, least := int32(-1), math.Inf(1)
		for b := int32(1); b < n; b++ {
			if in[b] {
				continue
			}
			if d := w.distance(at, b) + penalty[at] + penalty[b]; d < key[b] {
				key[b] = d
			}
			if key[b] < least {
				next, least = b, key[b]
			}
		}
		value += least
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
	return value
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
	bound := heldKarp(points, length, 600)
	require.LessOrEqual(t, bound, length)
	require.Less(t, length, 1.02*bound)
}

// BenchmarkGap prints by how many percent of the Held-Karp bound tours are
// longer. Among clusters the search for the bound converges slowly, so the figure
// there is too high rather than too low:
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
				b.ReportMetric(100*(length/heldKarp(points, length, 2000)-1), "%-over-bound")
			})
		}
	}
}
