package matching

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "wend/internal/repeatable"
)

// exhaustive is the least weight of a perfect matching by trying all, and
// whether there is one.
func exhaustive(vertices int, edges []Edge) (int64, bool) {
	const none = math.MaxInt64
	best := make([]int64, 1<<vertices)
	for set := 1; set < len(best); set++ {
		best[set] = none
		first := 0
		for set>>first&1 == 0 {
			first++
		}
		for _, e := range edges {
			if e.U == e.V || int(e.U) != first && int(e.V) != first {
				continue
			}
			pair := 1<<e.U | 1<<e.V
			if set&pair == pair && best[set&^pair] != none {
				best[set] = min(best[set], best[set&^pair]+e.Weight)
			}
		}
	}
	w := best[len(best)-1]
	return w, w != none
}

// requireOptimal holds a solved problem against the conditions that prove an
// optimum (complementary slackness), over all its edges.
func requireOptimal(t require.TestingT, s *Solver, edges []Edge) {
	var weight int64
	for v := range s.mate {
		m := s.Mate(v)
		require.GreaterOrEqual(t, m, 0)
		require.Equal(t, v, s.Mate(m))
		if v > m {
			continue
		}
		cheapest := int64(math.MaxInt64)
		for _, e := range edges {
			if int(e.U) == v && int(e.V) == m || int(e.U) == m && int(e.V) == v {
				cheapest = min(cheapest, e.Weight)
			}
		}
		weight += cheapest
	}
	for _, e := range edges {
		if e.U != e.V {
			require.GreaterOrEqual(t, s.restingSlack(e.U, e.V, 2*e.Weight), int64(0))
		}
	}
	for v := range s.mate {
		for b := s.leaf[v].parent; b != nil; b = b.parent {
			require.GreaterOrEqual(t, b.dual, int64(0))
		}
	}
	require.Equal(t, 2*weight, s.DoubledBound())
}

func TestTheCheapestPairingOfSmallGraphsIsFound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 12).Draw(t, "vertices")
		vertex := rapid.IntRange(0, n-1)
		top := rapid.SampledFrom([]int64{0, 1, 3, 20, 1 << 40}).Draw(t, "top weight")
		edges := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Edge {
			return Edge{int32(vertex.Draw(t, "u")), int32(vertex.Draw(t, "v")), rapid.Int64Range(-top/4, top).Draw(t, "weight")}
		}), 0, 40).Draw(t, "edges")

		want, possible := exhaustive(n, edges)
		s := NewSolver(n, 0)
		s.Add(edges)
		err := s.Solve(context.Background())
		if !possible {
			require.ErrorIs(t, err, ErrNoPerfectMatching)
			return
		}
		require.NoError(t, err)
		require.Equal(t, 2*want, s.DoubledBound())
		requireOptimal(t, s, edges)
	})
}

func TestEdgesAddedLaterGiveTheSameOptimum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := 2 * rapid.IntRange(1, 20).Draw(t, "pairs")
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		top := rapid.SampledFrom([]int64{2, 50, 1 << 40}).Draw(t, "top weight")
		var edges []Edge
		for u := range n {
			for v := range u {
				edges = append(edges, Edge{int32(u), int32(v), rng.Int64N(top)})
			}
		}
		rng.Shuffle(len(edges), func(i, j int) { edges[i], edges[j] = edges[j], edges[i] })
		s := NewSolver(n, 0)
		for from := 0; from < len(edges); {
			to := min(len(edges), from+1+rng.IntN(len(edges)))
			s.Add(edges[from:to])
			if err := s.Solve(context.Background()); err != nil {
				require.ErrorIs(t, err, ErrNoPerfectMatching)
			} else {
				requireOptimal(t, s, edges[:to])
			}
			from = to
		}
		_, weight, err := minimum(context.Background(), n, edges)
		require.NoError(t, err)
		require.Equal(t, 2*weight, s.DoubledBound())
	})
}

func TestMatchingsAgreeWithNetworkX(t *testing.T) {
	file, err := os.ReadFile("testdata/networkx.json")
	require.NoError(t, err)
	var golden struct {
		Version string
		Cases   []struct {
			Kind     string
			Vertices int
			Edges    [][3]int64
			Weight   *int64
		}
	}
	require.NoError(t, json.Unmarshal(file, &golden))
	require.NotEmpty(t, golden.Cases)
	for i, c := range golden.Cases {
		t.Run(fmt.Sprintf("%s with %d vertices, case %d", c.Kind, c.Vertices, i), func(t *testing.T) {
			var edges []Edge
			for _, e := range c.Edges {
				edges = append(edges, Edge{int32(e[0]), int32(e[1]), e[2]})
			}
			_, weight, err := minimum(context.Background(), c.Vertices, edges)
			if c.Weight == nil {
				require.ErrorIs(t, err, ErrNoPerfectMatching)
				return
			}
			require.NoError(t, err)
			require.Equal(t, *c.Weight, weight)
		})
	}
}

func TestASolvedProblemIsProvedOptimalAtSize(t *testing.T) {
	for _, n := range []int{200, 600} {
		edges := plane(n, 12)
		s := NewSolver(n, 0)
		s.Add(edges)
		require.NoError(t, s.Solve(context.Background()))
		requireOptimalFast(t, s, edges)
	}
}

// requireOptimalFast is requireOptimal without the quadratic search for weights.
func requireOptimalFast(t *testing.T, s *Solver, edges []Edge) {
	var weight int64
	counted := make([]bool, len(s.mate))
	for _, e := range edges {
		require.GreaterOrEqual(t, s.restingSlack(e.U, e.V, 2*e.Weight), int64(0))
		if s.Mate(int(e.U)) == int(e.V) && !counted[e.U] {
			weight += e.Weight
			counted[e.U], counted[e.V] = true, true
		}
	}
	require.Equal(t, 2*weight, s.DoubledBound())
}

func TestACancelledSolveStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, _, err := minimum(ctx, 4, []Edge{{0, 1, 5}, {0, 2, 1}, {1, 2, 1}, {2, 3, 9}})
	require.ErrorIs(t, err, context.Canceled)
}

// plane joins random points of a square that lie close: each to the neighbours
// in the 3 by 3 grid cells around it that hold about so many points, and every
// point to the next in order of cells, so that a perfect matching exists.
func plane(n int, neighbours float64) []Edge {
	rng := rand.New(rand.NewPCG(uint64(n), 7))
	side := int(math.Sqrt(float64(n) * 9 / neighbours))
	const size = 1 << 20
	type point struct{ x, y int64 }
	cells := make([][]int, side*side)
	points := make([]point, n)
	for i := range points {
		points[i] = point{rng.Int64N(size), rng.Int64N(size)}
		c := points[i].y*int64(side)/size*int64(side) + points[i].x*int64(side)/size
		cells[c] = append(cells[c], i)
	}
	length := func(u, v int) int64 {
		dx, dy := points[u].x-points[v].x, points[u].y-points[v].y
		return int64(math.Sqrt(float64(dx*dx + dy*dy)))
	}
	var edges []Edge
	last := -1
	for c, members := range cells {
		for _, u := range members {
			if last >= 0 {
				edges = append(edges, Edge{int32(last), int32(u), length(last, u)})
			}
			last = u
			for y := c/side - 1; y <= c/side+1; y++ {
				for x := c%side - 1; x <= c%side+1; x++ {
					if x < 0 || y < 0 || x >= side || y >= side {
						continue
					}
					for _, v := range cells[y*side+x] {
						if v < u {
							edges = append(edges, Edge{int32(u), int32(v), length(u, v)})
						}
					}
				}
			}
		}
	}
	return edges
}

func BenchmarkPairingPointsOfThePlane(b *testing.B) {
	for _, n := range []int{1000, 2000, 10_000, 100_000} {
		edges := plane(n, 12)
		b.Run(fmt.Sprintf("%d points", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, _, err := minimum(context.Background(), n, edges); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkPairingACompleteGraph(b *testing.B) {
	const n = 500
	var edges []Edge
	rng := rand.New(rand.NewPCG(3, 3))
	for u := range n {
		for v := range u {
			edges = append(edges, Edge{int32(u), int32(v), rng.Int64N(1 << 30)})
		}
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, _, err := minimum(context.Background(), n, edges); err != nil {
			b.Fatal(err)
		}
	}
}

// minimum pairs all vertices at the least total weight. It gives each vertex'
// partner and the total.
func minimum(ctx context.Context, vertices int, edges []Edge) (mate []int, weight int64, err error) {
	s := NewSolver(vertices, 0)
	s.Add(edges)
	if err := s.Solve(ctx); err != nil {
		return nil, 0, err
	}
	mate = make([]int, vertices)
	for v := range mate {
		mate[v] = s.Mate(v)
	}
	return mate, s.DoubledBound() / 2, nil
}
