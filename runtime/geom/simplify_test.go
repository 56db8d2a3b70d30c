package geom_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/runtime/geom"
)

// The method as published (Douglas & Peucker, Cartographica 10(2), 1973),
// recursive, with distances from the segment.
func douglasPeucker(points []geom.Point, from, to int, tolerance float64) []int {
	at, away := from, 0.0
	for i := from + 1; i < to; i++ {
		if d := geom.SegmentDistance(points[from], points[to], points[i]); d > away {
			at, away = i, d
		}
	}
	if away <= tolerance {
		return nil
	}
	kept := append(douglasPeucker(points, from, at, tolerance), at)
	return append(kept, douglasPeucker(points, at, to, tolerance)...)
}

func TestSimplifyIsDouglasAndPeuckersMethod(t *testing.T) {
	require.Equal(t, []int{0, 2, 3, 7, 9}, geom.Simplify(line(0, 0, 1, 0.1, 2, -0.1, 3, 5, 4, 6, 5, 7, 6, 8.1, 7, 9, 8, 9, 9, 9), 1.0),
		"the worked example of rosettacode.org, Ramer-Douglas-Peucker line simplification")
	rapid.Check(t, func(t *rapid.T) {
		points := drawLine(t, 2)
		tolerance := rapid.Float64Range(0, 100).Draw(t, "tolerance")
		want := append([]int{0}, douglasPeucker(points, 0, len(points)-1, tolerance)...)
		require.Equal(t, append(want, len(points)-1), geom.Simplify(points, tolerance))
	})
}

func TestSimplifyOfLittleKeepsIt(t *testing.T) {
	require.Empty(t, geom.Simplify(nil, 1))
	require.Equal(t, []int{0}, geom.Simplify(line(1, 1), 1))
	require.Equal(t, []int{0, 1}, geom.Simplify(line(1, 1, 1, 1), 1))
	require.Equal(t, []int{0, 3}, geom.Simplify(line(0, 0, 1, 0, 2, 0, 3, 0), 0))
	require.Equal(t, []int{0, 2, 4}, geom.Simplify(line(0, 0, 5, 0, 9, 0, 4, 0, 0, 0), 1), "a spike out and back stays")
}

func TestSimplifiedLongLinesStayWithinTolerance(t *testing.T) {
	for name, points := range map[string][]geom.Point{
		"spiral": spiralLine(8_000), "noise": noisyLine(8_000), "straight": straightLine(8_000), "sawtooth": sawtoothLine(8_000),
	} {
		t.Run(name, func(t *testing.T) {
			const tolerance = 0.05
			kept := geom.Simplify(points, tolerance)
			require.Equal(t, 0, kept[0])
			require.Equal(t, len(points)-1, kept[len(kept)-1])
			for i := 1; i < len(kept); i++ {
				for k := kept[i-1] + 1; k < kept[i]; k++ {
					require.LessOrEqual(t, geom.SegmentDistance(points[kept[i-1]], points[kept[i]], points[k]), tolerance)
				}
			}
			published := len(douglasPeucker(points, 0, len(points)-1, tolerance)) + 2
			t.Logf("%d kept of %d; %d by the method as published", len(kept), len(points), published)
			require.LessOrEqual(t, float64(len(kept)), 1.02*float64(published)+2)
		})
	}
}

func spiralLine(n int) []geom.Point {
	points := make([]geom.Point, n)
	for i := range points {
		points[i] = geom.Polar(100*float64(i)/float64(n), 360*float64(i)/200)
	}
	return points
}

func noisyLine(n int) []geom.Point {
	random := rand.New(rand.NewPCG(9, 9))
	points := make([]geom.Point, n)
	for i := range points {
		points[i] = geom.Point{X: 200 * float64(i) / float64(n), Y: 20*math.Sin(float64(i)/500) + 0.1*random.Float64()}
	}
	return points
}

func straightLine(n int) []geom.Point {
	points := make([]geom.Point, n)
	for i := range points {
		points[i] = geom.Point{X: float64(i), Y: float64(2 * i)}
	}
	return points
}

// sawtoothLine always has its farthest point near an end.
func sawtoothLine(n int) []geom.Point {
	points := make([]geom.Point, n)
	for i := range points {
		points[i] = geom.Point{X: float64(i), Y: float64(i%2) * float64(n-i)}
	}
	return points
}

func BenchmarkSimplify(b *testing.B) {
	for _, c := range []struct {
		name   string
		points []geom.Point
	}{
		{"spiral/10k", spiralLine(10_000)}, {"spiral/100k", spiralLine(100_000)},
		{"noise/100k", noisyLine(100_000)}, {"straight/100k", straightLine(100_000)},
		{"sawtooth/10k", sawtoothLine(10_000)}, {"sawtooth/100k", sawtoothLine(100_000)},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				geom.Simplify(c.points, 0.05)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(c.points)), "ns/point")
		})
	}
}
