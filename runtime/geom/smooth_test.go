package geom_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/runtime/geom"
)

func polygon(sides int, radius float64) []geom.Point {
	points := make([]geom.Point, 0, sides+1)
	for i := range sides {
		a := 2 * math.Pi * float64(i) / float64(sides)
		points = append(points, geom.Point{X: radius * math.Cos(a), Y: radius * math.Sin(a)})
	}
	return append(points, points[0])
}

func TestResampledPointsAreEvenlySpacedAndKeepBothEnds(t *testing.T) {
	m := geom.Measure(line(0, 0, 10, 0, 10, 20))
	points, ok := m.Resampled(10, 100)
	require.True(t, ok)
	require.Equal(t, line(0, 0, 10, 0, 10, 10, 10, 20), points)
	points, _ = m.Resampled(8, 100)
	require.Equal(t, line(0, 0, 7.5, 0, 10, 5, 10, 12.5, 10, 20), points, "no step is longer than asked for")
	points, _ = m.Resampled(50, 100)
	require.Equal(t, line(0, 0, 10, 20), points)
	_, ok = m.Resampled(1e-3, 100)
	require.False(t, ok)
	points, _ = geom.Measure(line(3, 3)).Resampled(1, 100)
	require.Equal(t, line(3, 3, 3, 3), points)

	// Eight times the side of a regular octagon, from a circle of many pieces.
	points, _ = geom.Measure(polygon(80_000, 50)).Resampled(2*math.Pi*50/8+0.01, 100)
	require.Len(t, points, 9)
	require.InDelta(t, 8*2*50*math.Sin(math.Pi/8), geom.Length(points), 1e-6)
}

// The moving mean over s-a..s+a of a circle of radius r is a circle of radius
// r sin(a/r)/(a/r); that of a corner between long straight legs along u and v
// lies at (v(s+a)² - u(s-a)²)/4a, s mm behind it (both elementary integrals).
func TestSmoothIsTheMovingMeanOfALine(t *testing.T) {
	const radius, reach = 40, 15
	want := radius * math.Sin(reach/float64(radius)) / (reach / float64(radius))
	smooth := geom.Smooth(polygon(20_000, radius), reach, 0.001)
	require.True(t, geom.Closed(smooth))
	for _, p := range smooth {
		require.InDelta(t, want, p.Length(), 1e-4)
	}
	require.Less(t, len(smooth), 1100)

	u, v := geom.Point{X: 1}, geom.Point{X: math.Cos(2), Y: math.Sin(2)}
	smooth = geom.Smooth([]geom.Point{u.Times(-100), {}, v.Times(100)}, reach, 0.001)
	require.Equal(t, u.Times(-100), smooth[0])
	require.Equal(t, v.Times(100), smooth[len(smooth)-1])
	for s := -20.0; s <= 20; s++ {
		in, out := math.Max(-reach, math.Min(s, reach))-reach, math.Max(-reach, math.Min(s, reach))+reach
		at := v.Times(out * out / (4 * reach)).Sub(u.Times(in * in / (4 * reach)))
		switch {
		case s < -reach:
			at = u.Times(s)
		case s > reach:
			at = v.Times(s)
		}
		require.LessOrEqual(t, awayFrom(smooth, at), 0.001, "%v", s)
	}
}

// awayFrom is how far a point lies from a line.
func awayFrom(line []geom.Point, p geom.Point) float64 {
	away := p.Distance(line[0])
	for i := 1; i < len(line); i++ {
		away = min(away, geom.SegmentDistance(line[i-1], line[i], p))
	}
	return away
}

func TestSmoothKeepsEndsStraightLinesAndLoops(t *testing.T) {
	require.Equal(t, line(0, 0, 30, 40), geom.Smooth(line(0, 0, 3, 4, 30, 40), 5, 0.01))
	require.Equal(t, line(3, 3), geom.Smooth(line(3, 3), 5, 0.01))
	rapid.Check(t, func(t *rapid.T) {
		points := drawLine(t, 1)
		reach := rapid.Float64Range(0, 300).Draw(t, "reach")
		smooth := geom.Smooth(points, reach, 0.01)
		require.LessOrEqual(t, geom.Length(smooth), geom.Length(points)+1e-6, "a mean is no longer than what it is the mean of")
		require.Equal(t, geom.Closed(points), geom.Closed(smooth))
		if !geom.Closed(points) {
			require.Equal(t, points[0], smooth[0])
			require.Equal(t, points[len(points)-1], smooth[len(smooth)-1])
		}
		box := geom.Bounds(points).Grow(0.01)
		if !geom.Closed(points) {
			box = geom.EmptyBox() // turned ends may lead out of it
		}
		for _, p := range smooth {
			require.True(t, p.Finite())
			require.True(t, box.Empty() || box.Contains(p))
		}
	})
}
