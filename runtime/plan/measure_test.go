package plan_test

import (
	"math"
	"math/bits"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "wend/internal/repeatable"
	"wend/runtime/geom"
	"wend/runtime/plan"
)

func pt(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }

func measure(points ...geom.Point) plan.Measures { return (&plan.Sheet{Points: points}).Measure() }

func TestLineLaidOverLineCountsOnce(t *testing.T) {
	for _, c := range []struct {
		name              string
		points            []geom.Point
		length, retracing float64
	}{
		{"one point", []geom.Point{pt(3, 4)}, 0, 0},
		{"straight", []geom.Point{pt(0, 0), pt(3, 4)}, 5, 0},
		{"in two pieces", []geom.Point{pt(0, 0), pt(3, 4), pt(6, 8)}, 10, 0},
		{"there and back", []geom.Point{pt(0, 0), pt(3, 4), pt(0, 0)}, 10, 5},
		{"part of the way back", []geom.Point{pt(0, 0), pt(3, 4), pt(1.5, 2)}, 7.5, 2.5},
		{"back and beyond", []geom.Point{pt(0, 0), pt(3, 4), pt(-3, -4)}, 15, 5},
		{"three times", []geom.Point{pt(0, 0), pt(10, 0), pt(0, 0), pt(10, 0)}, 30, 20},
		{"upright, down and up", []geom.Point{pt(2, 0), pt(2, 9), pt(2, 3), pt(2, 9)}, 21, 12},
		{"back in other pieces", []geom.Point{pt(0, 0), pt(4, 0), pt(10, 0), pt(7, 0), pt(1, 0)}, 19, 9},
		{"a square twice, other ways round", []geom.Point{pt(0, 0), pt(5, 0), pt(5, 5), pt(0, 5), pt(0, 0), pt(0, 5), pt(5, 5), pt(5, 0), pt(0, 0)}, 40, 20},
		{"a crossing", []geom.Point{pt(0, 0), pt(4, 0), pt(4, 3), pt(2, 3), pt(2, -3)}, 15, 0},
		{"beside, a hundredth away", []geom.Point{pt(0, 0), pt(10, 0), pt(10, 0.01), pt(0, 0.01)}, 20.01, 0},
		{"apart on one line", []geom.Point{pt(0, 0), pt(1, 0), pt(1, 1), pt(3, 1), pt(3, 0), pt(4, 0)}, 6, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := measure(c.points...)
			require.InDelta(t, c.length, m.LengthMM, 1e-9)
			require.InDelta(t, c.retracing, m.RetracedMM, 1e-9)
			require.InDelta(t, c.length-c.retracing, m.VisibleMM, 1e-9)
		})
	}
}

func TestTheBoundsHoldTheTrueExtentsOfCurves(t *testing.T) {
	sheet := plan.Sheet{Points: []geom.Point{pt(0, 0), pt(1, 1)}, Extents: []plan.Extent{{Box: geom.Box{Min: pt(0, 0), Max: pt(1, 1.5)}}}}
	require.Equal(t, geom.Box{Max: pt(1, 1.5)}, sheet.Measure().Bounds)
}

// A random walk on a grid, drawn at random angles and places: each grid edge
// is visible once.
func TestAWalkOnATurnedGridShowsEachEdgeOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		angle := rapid.Float64Range(0, 2*math.Pi).Draw(t, "angle")
		size := rapid.Float64Range(0.3, 5).Draw(t, "size")
		sine, cosine := math.Sincos(angle)
		place := func(x, y int) geom.Point {
			return pt(70+size*(float64(x)*cosine-float64(y)*sine), 50+size*(float64(x)*sine+float64(y)*cosine))
		}
		type edge struct{ x, y, d int }
		drawn := map[edge]bool{}
		x, y := 0, 0
		points := []geom.Point{place(0, 0)}
		steps := rapid.SliceOfN(rapid.IntRange(0, 3), 1, 60).Draw(t, "steps")
		for _, s := range steps {
			nx, ny := x+[]int{1, 0, -1, 0}[s], y+[]int{0, 1, 0, -1}[s]
			drawn[edge{min(x, nx), min(y, ny), s % 2}] = true
			x, y = nx, ny
			points = append(points, place(x, y))
		}
		m := measure(points...)
		require.InDelta(t, size*float64(len(steps)), m.LengthMM, 1e-9)
		require.InDelta(t, size*float64(len(drawn)), m.VisibleMM, 1e-6)
	})
}

func BenchmarkMeasureAMillionSegments(b *testing.B) {
	spiral := make([]geom.Point, 1_000_001)
	for i := range spiral {
		sine, cosine := math.Sincos(float64(i) * 0.01)
		r := 50 * float64(i) / float64(len(spiral))
		spiral[i] = pt(70+r*cosine, 50+r*sine)
	}
	forth := append(append([]geom.Point{}, spiral[:500_000]...), make([]geom.Point, 500_000)...)
	for i := range 500_000 {
		forth[500_000+i] = spiral[499_999-i]
	}
	// A dragon curve: many pieces on each of few lines, none of them twice.
	grid, turns := make([]geom.Point, 1<<20+1), [...]geom.Point{pt(0.04, 0), pt(0, 0.04), pt(-0.04, 0), pt(0, -0.04)}
	for i, heading := 1, 0; i < len(grid); i++ {
		grid[i] = grid[i-1].Add(turns[heading&3])
		if i>>bits.TrailingZeros(uint(i))&2 == 0 {
			heading++
		} else {
			heading--
		}
	}
	for _, c := range []struct {
		name   string
		points []geom.Point
	}{{"spiral", spiral}, {"forth and back", forth}, {"grid", grid}} {
		b.Run(c.name, func(b *testing.B) {
			sheet := &plan.Sheet{Points: c.points}
			b.ReportAllocs()
			for b.Loop() {
				sheet.Measure()
			}
		})
	}
}
