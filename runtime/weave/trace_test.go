package weave

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/runtime/geom"
	"wend/runtime/plan"
)

func way(t require.TestingT, trace *Trace, line []geom.Point, to geom.Point) Way {
	w, err := trace.Way(context.Background(), line, to)
	require.NoError(t, err)
	require.Len(t, w.Roles, len(w.Points))
	at, cost := line[len(line)-1], 0.0
	for i, p := range w.Points {
		d := at.Distance(p)
		require.Positive(t, d)
		if w.Roles[i] == plan.Link && d >= trace.widthMM {
			d *= NewLineCost
		}
		cost += d
		at = p
	}
	require.InDelta(t, w.Cost, cost, 1e-4*(1+cost))
	if len(w.Points) > 0 {
		require.Equal(t, to, at)
	}
	return w
}

func TestAWayKeepsToTheLineWhereThatShowsLeast(t *testing.T) {
	square := points(0, 0, 10, 0, 10, 10, 0, 10, 0, 0)
	comb := points(0, 0, 30, 0, 30, 5, 30, 0, 20, 0, 20, 5)
	for _, c := range []struct {
		name  string
		line  []geom.Point
		to    geom.Point
		want  []geom.Point
		roles string // d, l, r
		cost  float64
	}{
		{"nowhere", square, geom.Point{}, nil, "", 0},
		{"off the only point", points(1, 1), geom.Point{X: 2, Y: 1}, points(2, 1), "l", 50},
		{"back along one segment", points(0, 0, 8, 0), geom.Point{X: 3}, points(3, 0), "r", 5},
		{"to a drawn point, round the shorter side", square, geom.Point{X: 0, Y: 10}, points(0, 10), "r", 10},
		{"to a point across the square", square, geom.Point{X: 10, Y: 8}, points(10, 0, 10, 8), "rr", 18},
		{"off the line at its nearest place", square, geom.Point{X: 5, Y: -2}, points(4.959992, 0, 5, -2), "rl", 104.98},
		{"over side trips", comb, geom.Point{X: 30, Y: 5}, points(20, 0, 30, 0, 30, 5), "rrr", 20},
		{"changing over at a crossing", points(0, 0, 10, 0, 10, 5, 5, 5, 5, -5), geom.Point{}, points(5, 0, 0, 0), "rr", 10},
		{"across a gap under one line width", points(0, 0, 50, 0, 50, 0.2, 0, 0.2), geom.Point{}, points(0, 0), "l", 0.2},
		{"new line rather than a long way round", points(0, 0, 100, 0, 100, 1, 0, 1), geom.Point{}, points(0, 0), "l", 50},
		{"the way round rather than new line", points(0, 0, 20, 0, 20, 1, 0, 1), geom.Point{}, points(20, 1, 20, 0, 0, 0), "rrr", 41},
		{"new line first, then along", points(0, 0, 100, 0, 100, 1, 50, 1), geom.Point{X: 20}, points(49.979996, 0, 20, 0), "lr", 79.989999},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := way(t, NewTrace(0.3), c.line, c.to)
			require.Len(t, w.Points, len(c.want), "%v", w)
			roles := ""
			for i, p := range w.Points {
				require.InDelta(t, 0, p.Distance(c.want[i]), 1e-5, "%v", w)
				roles += w.Roles[i].String()[:1]
			}
			require.Equal(t, c.roles, roles)
			require.InDelta(t, c.cost, w.Cost, 1e-3)
		})
	}
}

// latticeLine wanders over the points of a lattice.
func latticeLine(t *rapid.T, most int) []geom.Point {
	line := []geom.Point{{}}
	for range rapid.IntRange(0, most).Draw(t, "steps") {
		d := rapid.SampledFrom([]geom.Point{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}, {X: 1, Y: 1}, {X: 2}, {Y: -2}, {X: -1, Y: 2}}).Draw(t, "step")
		line = append(line, line[len(line)-1].Add(d.Times(4)))
	}
	return line
}

func TestRetracedLineLiesOnTheFirstAndAddsNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		line := latticeLine(t, 40)
		trace := NewTrace(0.3)
		for range 6 {
			to := line[rapid.IntRange(0, len(line)-1).Draw(t, "goal")]
			w := way(t, trace, line, to)
			segments := len(trace.drawn.ends)
			for i, p := range w.Points {
				if w.Roles[i] == plan.Retrace {
					require.LessOrEqual(t, trace.nearest(p), geom.SamePoint)
				}
			}
			line = append(line, w.Points...)
			require.NoError(t, trace.takeIn(context.Background(), line))
			for i := range w.Roles {
				if w.Roles[i] == plan.Link {
					segments = len(trace.drawn.ends)
				}
			}
			require.Equal(t, segments, len(trace.drawn.ends))
		}
	})
}

// fullSearch is the least cost over the line alone, with every place where it
// meets itself known, by brute force: all vertices and crossings, the shortest
// ways between all of them.
func fullSearch(line []geom.Point, to geom.Point) float64 {
	r, err := arrange(context.Background(), [][]geom.Point{line}, Options{})
	if err != nil {
		panic(err)
	}
	goal := r.addDot(to)
	from, _ := r.vertices.add(line[len(line)-1])
	g := newGraph(r, int32(len(r.ends)), goal, from)
	dist := make([]float64, len(g.vertex))
	for i := range dist {
		dist[i] = math.Inf(1)
	}
	dist[g.nodeOf(from)] = 0
	for range dist {
		for _, e := range g.edges {
			dist[e.ends[0]] = math.Min(dist[e.ends[0]], dist[e.ends[1]]+e.mm)
			dist[e.ends[1]] = math.Min(dist[e.ends[1]], dist[e.ends[0]]+e.mm)
		}
	}
	return dist[g.nodeOf(goal)]
}

func TestAWayOverTheLineIsTheShortest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		line := latticeLine(t, 30)
		count := len(line)
		trace := NewTrace(0.3)
		if k := rapid.IntRange(1, count).Draw(t, "asked after"); k < len(line) {
			way(t, trace, line[:k], line[0])
		}
		i := rapid.IntRange(0, len(line)-1).Draw(t, "goal")
		to := line[i]
		if i > 0 {
			to = to.Add(line[i-1].Sub(to).Times(0.25))
		}
		w := way(t, trace, line, to)
		least := math.Min(fullSearch(line, to), NewLineCost*line[len(line)-1].Distance(to))
		if least > 0 {
			require.LessOrEqual(t, w.Cost, least+1e-6)
		}
		for _, role := range w.Roles {
			if role == plan.Link {
				return
			}
		}
		require.InDelta(t, least, w.Cost, 1e-6)
	})
}

func TestATruncatedTraceIsAsIfTheRestHadNeverBeen(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		line := latticeLine(t, 40)
		count := len(line)
		n := rapid.IntRange(1, count).Draw(t, "kept")
		asked, fresh := NewTrace(1.5), NewTrace(1.5)
		to := geom.Point{X: float64(rapid.IntRange(-8, 8).Draw(t, "x")), Y: float64(rapid.IntRange(-8, 8).Draw(t, "y"))}
		way(t, asked, line[:n], to)
		way(t, asked, line, to)
		asked.Truncate(n)
		other := append(append([]geom.Point(nil), line[:n]...), latticeLine(t, 10)...)
		require.Equal(t, way(t, fresh, other[:n], to), way(t, asked, other[:n], to))
		require.Equal(t, way(t, fresh, other, to), way(t, asked, other, to))
	})
}

func TestTheNextMemberOfABitsetIsFound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var b bitset
		b.grow(1)
		in := map[int]bool{}
		for range rapid.IntRange(1, 60).Draw(t, "changes") {
			i := rapid.SampledFrom([]int{0, 1, 63, 64, 65, 4095, 4096, 5000, 300_000}).Draw(t, "member")
			if rapid.Bool().Draw(t, "add") {
				b.add(i)
				in[i] = true
			} else if in[i] {
				b.remove(i)
				delete(in, i)
			}
			from := rapid.IntRange(-1, 300_001).Draw(t, "from")
			next, previous := -1, -1
			for m := range in {
				if m >= max(from, 0) && (next < 0 || m < next) {
					next = m
				}
				if m <= from && m > previous {
					previous = m
				}
			}
			require.Equal(t, next, b.next(max(from, 0)))
			require.Equal(t, previous, b.previous(from))
		}
	})
}
