package weave

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/graph/path"
	"gonum.org/v1/gonum/graph/simple"
	"pgregory.net/rapid"

	"wend/runtime/geom"
	"wend/runtime/plan"
)

// nodesInARow is a graph without edges. Where its nodes are says nothing of how
// long the edges will be.
func nodesInARow(nodes int32) *graph {
	g := &graph{drawing: &arrangement{vertices: &vertexTable{}}}
	for n := range nodes {
		g.vertex = append(g.vertex, n)
		g.drawing.vertices.points = append(g.drawing.vertices.points, geom.Point{X: float64(n)})
	}
	return g
}

// unitGraph is a graph with edges of length 1 that need not lie in a plane.
func unitGraph(nodes int, pairs [][2]int32) *graph {
	g := nodesInARow(int32(nodes))
	for _, p := range pairs {
		g.edges = append(g.edges, edge{ends: p, length: unitsPerMM, mm: 1, role: plan.Drawn})
	}
	g.index()
	return g
}

func completeGraph(n int32) (pairs [][2]int32) {
	for i := range n {
		for j := range i {
			pairs = append(pairs, [2]int32{j, i})
		}
	}
	return pairs
}

// The optima of closed and open walks follow by subset dynamic programming; the
// seven bridges are L. Euler's, 1736, with degrees 5, 3, 3, 3.
func TestWalksOverAbstractGraphsRetraceLeast(t *testing.T) {
	petersen := [][2]int32{}
	k33 := [][2]int32{}
	cube := [][2]int32{}
	for i := range int32(5) {
		petersen = append(petersen, [2]int32{i, (i + 1) % 5}, [2]int32{i, i + 5}, [2]int32{i + 5, (i+2)%5 + 5})
	}
	for i := range int32(3) {
		for j := range int32(3) {
			k33 = append(k33, [2]int32{i, 3 + j})
		}
	}
	for i := range int32(8) {
		for bit := int32(1); bit < 8; bit *= 2 {
			if i&bit == 0 {
				cube = append(cube, [2]int32{i, i | bit})
			}
		}
	}
	for _, c := range []struct {
		name              string
		nodes             int
		pairs             [][2]int32
		odd, closed, open int
	}{
		{"bridges of Koenigsberg", 4, [][2]int32{{0, 1}, {0, 1}, {0, 2}, {0, 2}, {0, 3}, {1, 3}, {2, 3}}, 4, 9, 8},
		{"cube", 8, cube, 8, 16, 15},
		{"Petersen graph", 10, petersen, 10, 20, 19},
		{"complete graph of 6", 6, completeGraph(6), 6, 18, 17},
		{"complete bipartite graph of 3 and 3", 6, k33, 6, 12, 11},
		{"star of 5", 6, [][2]int32{{0, 1}, {0, 2}, {0, 3}, {0, 4}, {0, 5}}, 6, 10, 8},
		{"star of 40", 41, func() (p [][2]int32) {
			for i := range int32(40) {
				p = append(p, [2]int32{0, i + 1})
			}
			return p
		}(), 40, 80, 78},
	} {
		t.Run(c.name, func(t *testing.T) {
			g := unitGraph(c.nodes, c.pairs)
			for _, closed := range []bool{true, false} {
				ends := walkEnds{start: -1, end: -1, closed: closed}
				odd, count := oddNodes(g, ends)
				require.Equal(t, c.odd, count)
				again, excess, err := leastRetrace(context.Background(), g, odd, ends)
				require.NoError(t, err)
				require.Zero(t, excess)
				want := c.open
				if closed {
					want = c.closed
				}
				require.Equal(t, want, len(c.pairs)+len(again))
			}
		})
	}
}

// exactRetrace is the least retrace of a small graph by brute force: shortest
// ways between all nodes, and dynamic programming over sets of odd nodes of
// which so many may stay single.
func exactRetrace(g *graph, odd []bool, single int) int64 {
	n := len(g.vertex)
	const far = math.MaxInt64 / 4
	dist := make([][]int64, n)
	for i := range dist {
		dist[i] = slices.Repeat([]int64{far}, n)
		dist[i][i] = 0
	}
	for _, e := range g.edges {
		a, b := e.ends[0], e.ends[1]
		dist[a][b] = min(dist[a][b], e.length)
		dist[b][a] = dist[a][b]
	}
	for k := range n {
		for i := range n {
			for j := range n {
				dist[i][j] = min(dist[i][j], dist[i][k]+dist[k][j])
			}
		}
	}
	var nodes []int
	for i, is := range odd {
		if is {
			nodes = append(nodes, i)
		}
	}
	best := make([][]int64, 1<<len(nodes))
	for set := range best {
		best[set] = slices.Repeat([]int64{far}, single+1)
		if set == 0 {
			best[0][0] = 0
			continue
		}
		first := 0
		for set>>first&1 == 0 {
			first++
		}
		rest := set &^ (1 << first)
		for k := range best[set] {
			if k > 0 {
				best[set][k] = best[rest][k-1]
			}
			for other := first + 1; other < len(nodes); other++ {
				if rest>>other&1 == 1 {
					best[set][k] = min(best[set][k], best[rest&^(1<<other)][k]+dist[nodes[first]][nodes[other]])
				}
			}
		}
	}
	return slices.Min(best[len(best)-1])
}

func TestTheRetraceOfSmallDrawingsIsTheLeast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		nodes := rapid.Int32Range(1, 9).Draw(t, "nodes")
		g := nodesInARow(nodes)
		length := rapid.Int64Range(0, 9)
		for n := int32(1); n < nodes; n++ {
			g.edges = append(g.edges, edge{ends: [2]int32{rapid.Int32Range(0, n-1).Draw(t, "to"), n}, length: length.Draw(t, "length")})
		}
		for range rapid.IntRange(0, 14).Draw(t, "more edges") {
			g.edges = append(g.edges, edge{ends: [2]int32{
				rapid.Int32Range(0, nodes-1).Draw(t, "from"), rapid.Int32Range(0, nodes-1).Draw(t, "to"),
			}, length: length.Draw(t, "length")})
		}
		g.index()
		ends := walkEnds{
			start:  rapid.Int32Range(-1, nodes-1).Draw(t, "start"),
			end:    rapid.Int32Range(-1, nodes-1).Draw(t, "end"),
			closed: rapid.Bool().Draw(t, "closed"),
		}
		odd, _ := oddNodes(g, ends)
		again, excess, err := leastRetrace(context.Background(), g, odd, ends)
		require.NoError(t, err)
		require.Zero(t, excess)
		total := int64(0)
		left := slices.Clone(odd)
		for _, e := range again {
			total += g.edges[e].length
			for _, n := range g.edges[e].ends {
				left[n] = !left[n]
			}
		}
		count := 0
		for _, is := range left {
			if is {
				count++
			}
		}
		require.LessOrEqual(t, count, ends.free())
		require.Equal(t, exactRetrace(g, odd, ends.free()), total)
	})
}

// The spanning value is held against the minimum spanning tree that gonum finds
// over all distances between parts.
func TestTheSpanningValueIsThatOfAMinimumSpanningTree(t *testing.T) {
	for _, s := range samples {
		t.Run(s.name, func(t *testing.T) {
			strokes := s.strokes(120)
			drawing, err := arrange(context.Background(), strokes, Options{})
			require.NoError(t, err)
			p := findParts(drawing)
			items := itemsOf(drawing, p)
			all := simple.NewWeightedUndirectedGraph(0, math.Inf(1))
			for part := range p.count {
				all.AddNode(simple.Node(part))
			}
			for i, a := range items {
				for _, b := range items[:i] {
					if a.part == b.part {
						continue
					}
					_, _, square := closest(a, b)
					if old, has := all.Weight(int64(a.part), int64(b.part)); !has || math.Sqrt(square) < old {
						all.SetWeightedEdge(simple.WeightedEdge{F: simple.Node(a.part), T: simple.Node(b.part), W: math.Sqrt(square)})
					}
				}
			}
			tree := simple.NewWeightedUndirectedGraph(0, math.Inf(1))
			want := path.Kruskal(tree, all)
			r := weave(t, strokes, Options{})
			require.InDelta(t, want, r.SpanningMM, 1e-9*(1+want))
		})
	}
}

// randomDrawing is a few strokes over a lattice, some off it.
func randomDrawing(t *rapid.T) [][]geom.Point {
	coordinate := rapid.Custom(func(t *rapid.T) float64 {
		x := float64(rapid.IntRange(0, 6).Draw(t, "lattice"))
		return x + rapid.SampledFrom([]float64{0, 0, 0, 0.5, 1.0 / 3, 4e-7, 1e-3}).Draw(t, "off")
	})
	stroke := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) geom.Point {
		return geom.Point{X: coordinate.Draw(t, "x"), Y: coordinate.Draw(t, "y")}
	}), 0, 6)
	return rapid.SliceOfN(stroke, 0, 12).Draw(t, "strokes")
}

func TestEveryDrawingIsCoveredByOneSoundLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		strokes := randomDrawing(t)
		options := Options{Closed: rapid.Bool().Draw(t, "closed")}
		at := func(name string) *geom.Point {
			if !rapid.Bool().Draw(t, name) {
				return nil
			}
			return &geom.Point{X: float64(rapid.IntRange(-1, 7).Draw(t, "x")), Y: float64(rapid.IntRange(-1, 7).Draw(t, "y"))}
		}
		options.Start = at("start")
		if !options.Closed {
			options.End = at("end")
		}
		if rapid.Bool().Draw(t, "tolerant") {
			options.ToleranceMM = 0.1
		}
		first := weave(t, strokes, options)
		require.Equal(t, first, weave(t, strokes, options))
	})
}

func TestEndsWithinTheToleranceAreFused(t *testing.T) {
	strokes := [][]geom.Point{
		points(0, 0, 0, 7),                         // a stem
		points(0.1, 3, 4, 3),                       // a bar that stops short of it
		points(0.05, 7.1, 4, 7.1),                  // another, near its end
		points(10, 0, 14, 0, 14, 4, 10, 4, 10, .1), // a square with a gap
		points(4.05, 3, 10, 3),
	}
	r := weave(t, strokes, Options{ToleranceMM: 0.15})
	require.Equal(t, 1, r.Parts)
	require.Zero(t, r.LinkMM)
	require.Equal(t, 4, r.Odd)
	require.Greater(t, weave(t, strokes, Options{}).Parts, 1)
}

func TestTheResultDoesNotDependOnWorkers(t *testing.T) {
	for _, s := range samples {
		want := weave(t, s.strokes(300), Options{})
		for range 3 {
			require.Equal(t, want, weave(t, s.strokes(300), Options{}))
		}
	}
}

func TestImpossibleRequestsFail(t *testing.T) {
	p := geom.Point{X: 1}
	_, err := Weave(context.Background(), nil, Options{Closed: true, End: &p})
	require.Error(t, err)
	_, err = Weave(context.Background(), [][]geom.Point{{{X: math.NaN()}}}, Options{})
	require.Error(t, err)
	_, err = Weave(context.Background(), nil, Options{Start: &geom.Point{Y: math.Inf(1)}})
	require.Error(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = Weave(ctx, randomStrokes(5000), Options{})
	require.ErrorIs(t, err, context.Canceled)
}

func TestAStraightCrossingIsPassedStraight(t *testing.T) {
	r := weave(t, unitGrid(6, 6), Options{Closed: true})
	sharp := 0
	for i := 2; i < len(r.Points); i++ {
		a, b := r.Points[i-1].Sub(r.Points[i-2]), r.Points[i].Sub(r.Points[i-1])
		if a.Dot(b) < -1e-9 {
			sharp++
		}
	}
	require.LessOrEqual(t, sharp, 2, fmt.Sprint(r.Points))
}

func FuzzWeave(f *testing.F) {
	f.Add(uint64(1), uint8(10), uint8(3), false)
	f.Add(uint64(2), uint8(40), uint8(0), true)
	f.Add(uint64(3), uint8(20), uint8(1), false) // as small as the tolerance of points
	f.Add(uint64(4), uint8(60), uint8(12), true)
	f.Fuzz(func(t *testing.T, seed uint64, count, kind uint8, closed bool) {
		rng := rand.New(rand.NewPCG(seed, 9))
		scale := []float64{1, 1e-6, 1e-3, 1e4}[kind%4]
		steps := []float64{7, 1e3}[kind/4%2]
		var strokes [][]geom.Point
		for range count % 64 {
			var stroke []geom.Point
			for range rng.IntN(5) {
				stroke = append(stroke, geom.Point{
					X: scale * math.Floor(rng.Float64()*steps), Y: scale * math.Floor(rng.Float64()*steps),
				})
			}
			strokes = append(strokes, stroke)
		}
		options := Options{Closed: closed, ToleranceMM: []float64{0, 0.15}[kind/8%2]}
		r := weave(t, strokes, options)
		require.Equal(t, r, weave(t, strokes, options))
	})
}
