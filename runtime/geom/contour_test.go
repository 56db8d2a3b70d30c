package geom_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
)

// levelLines are the contours of a function, and how often it was asked.
func levelLines(t *testing.T, f func(x, y float64) float64, box geom.Box, level, step, tolerance float64) ([][]geom.Point, int) {
	asked := 0
	lines, err := geom.Contours(func(p geom.Point) (float64, error) {
		asked++
		return f(p.X, p.Y), nil
	}, box, level, step, tolerance)
	require.NoError(t, err)
	return lines, asked
}

var around = geom.Box{Min: geom.Point{X: -60, Y: -50}, Max: geom.Point{X: 60, Y: 50}}

// The level lines of the distance from a point are circles.
func TestContoursOfDistanceAreCircles(t *testing.T) {
	for _, tolerance := range []float64{0.1, 0.01, 0.001} {
		for _, step := range []float64{1, 5, 17} {
			lines, asked := levelLines(t, math.Hypot, around, 35, step, tolerance)
			require.Len(t, lines, 1)
			circle := lines[0]
			require.True(t, geom.Closed(circle))
			for i, p := range circle {
				require.InDelta(t, 35, p.Length(), tolerance/8)
				if i > 0 {
					require.InDelta(t, 35, p.Mix(circle[i-1], 0.5).Length(), 1.2*tolerance, "step %v, tolerance %v", step, tolerance)
				}
			}
			// The higher values lie outside, so to the left means clockwise.
			require.InEpsilon(t, -math.Pi*35*35, areaWithin(circle), 0.1*tolerance+1e-3)
			require.Less(t, asked, 30*len(circle)+int(12000/(step*step))+500)
		}
	}
}

// Cassini's ovals: the product of the distances from (±a, 0) is b². One curve
// if b > a, two if b < a. Where b = a, the lemniscate of Bernoulli, with
// half-width a√2, encloses 2a² (any handbook of plane curves). For b < a the
// ovals cut the axis at √(a² ± b²).
func TestContoursOfTheProductOfTwoDistancesAreCassiniOvals(t *testing.T) {
	const a = 30.0
	product := func(x, y float64) float64 { return math.Sqrt(math.Hypot(x-a, y) * math.Hypot(x+a, y)) }
	lines, _ := levelLines(t, product, around, 34, 3, 0.005)
	require.Len(t, lines, 1)
	box := geom.Bounds(lines[0])
	require.InDelta(t, math.Sqrt(a*a+34*34), box.Max.X, 0.01)
	// b² / 2a is the height of the oval if b < a√2.
	require.InDelta(t, 34*34/(2*a), box.Max.Y, 0.01)

	lines, _ = levelLines(t, product, around, 28, 3, 0.005)
	require.Len(t, lines, 2)
	for _, oval := range lines {
		require.True(t, geom.Closed(oval))
		box := geom.Bounds(oval)
		near, far := math.Min(math.Abs(box.Min.X), math.Abs(box.Max.X)), math.Max(math.Abs(box.Min.X), math.Abs(box.Max.X))
		require.InDelta(t, math.Sqrt(a*a-28*28), near, 0.01)
		require.InDelta(t, math.Sqrt(a*a+28*28), far, 0.01)
	}

	// The saddle lies at a corner of cells, where the loops touch.
	lines, _ = levelLines(t, product, around, a, 3, 0.005)
	area := 0.0
	for _, loop := range lines {
		area += math.Abs(areaWithin(loop))
	}
	require.InEpsilon(t, 2*a*a, area, 2e-3)
}

func TestContoursEndOnTheEdgeOfTheBoxAndKeepHighToTheirLeft(t *testing.T) {
	lines, _ := levelLines(t, func(x, _ float64) float64 { return x }, around, 7, 9, 0.01)
	require.Len(t, lines, 1)
	require.Equal(t, 50.0, lines[0][0].Y, "higher to the left: downward")
	require.Equal(t, -50.0, lines[0][len(lines[0])-1].Y)
	for _, p := range lines[0] {
		require.InDelta(t, 7, p.X, 0.001)
	}
	lines, _ = levelLines(t, func(x, y float64) float64 { return math.Sin(x/5) * math.Cos(y/7) }, around, 0.3, 1.5, 0.01)
	require.GreaterOrEqual(t, len(lines), 20)
	for _, line := range lines {
		first, last := line[0], line[len(line)-1]
		inner := around.Grow(-1e-9)
		require.True(t, geom.Closed(line) || !inner.Contains(first) && !inner.Contains(last))
		for i := 1; i < len(line); i++ {
			along := line[i].Sub(line[i-1])
			if along.Length() < 0.2 {
				continue
			}
			left := line[i].Mix(line[i-1], 0.5).Add(geom.Point{X: -along.Y, Y: along.X}.Times(0.1))
			require.Greater(t, math.Sin(left.X/5)*math.Cos(left.Y/7), 0.3)
		}
	}
}

// An ellipse with tips that turn within one cell: x²/a² + y²/b² = 1 encloses πab.
func TestContoursFollowATipWithinACell(t *testing.T) {
	const a, b = 37.0, 5.0
	f := func(x, y float64) float64 { return math.Hypot(x/a, y/b) }
	lines, _ := levelLines(t, f, around, 1, 4, 0.01)
	require.Len(t, lines, 1)
	require.InDelta(t, a, geom.Bounds(lines[0]).Max.X, 0.02)
	require.InEpsilon(t, math.Pi*a*b, -areaWithin(lines[0]), 2e-3)
}

func TestContoursOfWhatHasNone(t *testing.T) {
	for _, f := range []func(x, y float64) float64{
		func(_, _ float64) float64 { return 5 },
		func(_, _ float64) float64 { return 7 },
		func(x, y float64) float64 { return -math.Hypot(x, y) + 7 }, // a single point
	} {
		lines, _ := levelLines(t, f, around, 7, 10, 0.01)
		require.Empty(t, lines)
	}
	flat := geom.Box{Min: geom.Point{X: 1}, Max: geom.Point{X: 1, Y: 50}}
	lines, asked := levelLines(t, math.Hypot, flat, 7, 10, 0.01)
	require.Empty(t, lines)
	require.Zero(t, asked)
	// A step: the line is found although nothing has the value.
	lines, _ = levelLines(t, func(x, _ float64) float64 { return math.Copysign(1, x-3.21) }, around, 0, 10, 0.01)
	require.Len(t, lines, 1)
	require.InDelta(t, 3.21, lines[0][0].X, 0.01)
}
