package geom_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "wend/internal/repeatable"
	"wend/runtime/geom"
)

func crossings(t require.TestingT, p, q []geom.Point) []geom.Point {
	spots, err := geom.Crossings(geom.Measure(p), geom.RunsOf(q), func(int) error { return nil })
	require.NoError(t, err)
	var points []geom.Point
	for _, s := range spots {
		points = append(points, s.Point)
	}
	return points
}

func TestCrossingsComeAlongTheFirstLine(t *testing.T) {
	for _, c := range []struct {
		name    string
		p, q    []geom.Point
		crossed []geom.Point
	}{
		{"none", line(0, 0, 10, 0), line(0, 5, 10, 5), nil},
		{"one", line(0, 0, 10, 0), line(4, -3, 4, 3), line(4, 0)},
		{"along the first", line(0, 0, 10, 0), line(8, -3, 8, 3, 2, 3, 2, -3), line(2, 0, 8, 0)},
		{"an end on the line", line(0, 0, 10, 0), line(4, 0, 4, 3), line(4, 0)},
		{"a corner on the line", line(0, 0, 10, 0), line(1, 3, 4, 0, 7, 3), line(4, 0)},
		{"through both corners", line(0, 0, 4, 0, 10, 0), line(4, -3, 4, 0, 4, 3), line(4, 0)},
		{"a common stretch", line(0, 0, 10, 0), line(2, 3, 2, 0, 5, 0, 6, 0, 6, 3), line(2, 0, 6, 0)},
		{"itself", line(0, 0, 10, 0, 10, 10), line(0, 0, 10, 0, 10, 10), line(0, 0, 10, 10)},
		{"a closed line at its start", line(0, 0, 10, 0, 10, 10, 0, 0), line(-5, 0, 0, 0), line(0, 0)},
		{"a point", line(4, 0), line(0, 0, 10, 0), line(4, 0)},
		{"on a point", line(0, 0, 10, 0), line(4, 0), line(4, 0)},
		{"within a millionth", line(0, 0, 10, 0), line(4, 5e-7, 4, 3), line(4, 0)},
		{"not quite", line(0, 0, 10, 0), line(4, 5e-6, 4, 3), nil},
	} {
		require.Equal(t, c.crossed, crossings(t, c.p, c.q), c.name)
	}
}

// Two circles of one radius r whose middles are d apart meet at d/2 and
// ±√(r² - d²/4).
func TestCirclesCrossWhereGeometrySays(t *testing.T) {
	p, q := polygon(5000, 30), polygon(4001, 30)
	for i := range q {
		q[i].X += 40
	}
	got := crossings(t, p, q)
	require.Len(t, got, 2)
	height := math.Sqrt(30*30 - 20*20)
	require.InDelta(t, 0, got[0].Distance(geom.Point{X: 20, Y: height}), 1e-3)
	require.InDelta(t, 0, got[1].Distance(geom.Point{X: 20, Y: -height}), 1e-3)
}

func TestCrossingsAreThoseOfAllPairs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawLine(t, 2)
		// No end of a piece touches the other line, where rounding would decide.
		q := rapid.Custom(func(t *rapid.T) []geom.Point { return drawLine(t, 2) }).Filter(func(q []geom.Point) bool {
			near := func(line []geom.Point) func(geom.Point) bool {
				return func(a geom.Point) bool { return awayFrom(line, a) < 1e-4 }
			}
			return !slices.ContainsFunc(p, near(q)) && !slices.ContainsFunc(q, near(p))
		}).Draw(t, "q")
		var places []float64 // mm along p
		upTo := 0.0
		for i := 1; i < len(p); i++ {
			for k := 1; k < len(q); k++ {
				if geom.Meet(p[i-1], p[i], q[k-1], q[k]) == geom.Crossing {
					share, _, _ := geom.Intersect(p[i-1], p[i], q[k-1], q[k])
					places = append(places, upTo+share*p[i-1].Distance(p[i]))
				}
			}
			upTo += p[i-1].Distance(p[i])
		}
		slices.Sort(places)
		places = slices.CompactFunc(places, func(a, b float64) bool { return math.Abs(b-a) <= 4*geom.SamePoint })
		require.Len(t, crossings(t, p, q), len(places))
	})
}
