package region_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/runtime/geom"
	"wend/runtime/region"
)

func cut(t require.TestingT, r region.Region, line []geom.Point, inside bool) [][]geom.Point {
	parts, err := region.NewCutter(r).Cut(line, inside, free)
	require.NoError(t, err)
	return parts
}

func total(parts [][]geom.Point) float64 {
	sum := 0.0
	for _, p := range parts {
		sum += geom.Length(p)
	}
	return sum
}

// What is inside and what is outside make up the line, in its order: laid end to
// end by where they begin, they lead from its start to its end.
func TestPartsInsideAndOutsideMakeUpTheLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := someRegion().Draw(t, "region")
		coarse := rapid.SampledFrom([]float64{0, 1, 8}).Draw(t, "coarse")
		coordinate := rapid.Custom(func(t *rapid.T) float64 {
			at := rapid.Float64Range(-80, 80).Draw(t, "at")
			if coarse > 0 {
				at = math.Round(at/coarse) * coarse
			}
			return at
		})
		var line []geom.Point
		for range rapid.IntRange(2, 20).Draw(t, "points") {
			line = append(line, pt(coordinate.Draw(t, "x"), coordinate.Draw(t, "y")))
		}
		// Along its own border now and then, and back over itself.
		if rapid.Bool().Draw(t, "border") {
			line = append(line, r[0].Points...)
		}
		if rapid.Bool().Draw(t, "back") {
			line = append(line, geom.Reversed(line)...)
		}
		inside, outside := cut(t, r, line, true), cut(t, r, line, false)
		require.InDelta(t, geom.Length(line), total(inside)+total(outside), 1e-3)
		for k, parts := range [][][]geom.Point{inside, outside} {
			for _, part := range parts {
				for i := 1; i < len(part); i++ {
					p := part[i-1].Mix(part[i], 0.5)
					if part[i-1].Distance(part[i]) > 1e-3 && !nearLine(p, r, 1e-5) {
						require.Equal(t, k == 0, r.Contains(p), "at %v", p)
					}
				}
			}
		}
		require.True(t, endToEnd(line[0], line[len(line)-1], inside, outside), "%v %v", inside, outside)
	})
}

// endToEnd reports whether parts of two kinds, each in its order, can be laid end
// to end from one point to another. The line may come back to where it was, so
// both kinds can go on at a place.
func endToEnd(at, end geom.Point, inside, outside [][]geom.Point) bool {
	if len(inside)+len(outside) == 0 {
		return at.Distance(end) < 1e-4
	}
	goesOn := func(parts [][]geom.Point) bool { return len(parts) > 0 && parts[0][0].Distance(at) < 1e-4 }
	last := func(part []geom.Point) geom.Point { return part[len(part)-1] }
	return goesOn(inside) && endToEnd(last(inside[0]), end, inside[1:], outside) ||
		goesOn(outside) && endToEnd(last(outside[0]), end, inside, outside[1:])
}

func TestCutsBySquares(t *testing.T) {
	square := region.Of(rectangle(0, 0, 10, 10))
	ring := region.Of(rectangle(0, 0, 10, 10), rectangle(4, 4, 2, 2))
	for _, c := range []struct {
		name            string
		area            region.Region
		line            []geom.Point
		inside, outside [][]geom.Point
	}{
		{"through", square, []geom.Point{pt(-5, 5), pt(15, 5)},
			[][]geom.Point{{pt(0, 5), pt(10, 5)}}, [][]geom.Point{{pt(-5, 5), pt(0, 5)}, {pt(10, 5), pt(15, 5)}}},
		{"through a hole", ring, []geom.Point{pt(2, 5), pt(8, 5)},
			[][]geom.Point{{pt(2, 5), pt(4, 5)}, {pt(6, 5), pt(8, 5)}}, [][]geom.Point{{pt(4, 5), pt(6, 5)}}},
		{"along the border, which is inside", square, []geom.Point{pt(-5, 0), pt(15, 0)},
			[][]geom.Point{{pt(0, 0), pt(10, 0)}}, [][]geom.Point{{pt(-5, 0), pt(0, 0)}, {pt(10, 0), pt(15, 0)}}},
		{"touching a corner from outside", square, []geom.Point{pt(-5, 5), pt(5, -5)},
			nil, [][]geom.Point{{pt(-5, 5), pt(5, -5)}}},
		{"touching the border from inside", square, []geom.Point{pt(2, 5), pt(5, 0), pt(8, 5)},
			[][]geom.Point{{pt(2, 5), pt(5, 0), pt(8, 5)}}, nil},
		{"in through a corner", square, []geom.Point{pt(-5, -5), pt(5, 5), pt(-5, -5)},
			[][]geom.Point{{pt(0, 0), pt(5, 5), pt(0, 0)}}, [][]geom.Point{{pt(-5, -5), pt(0, 0)}, {pt(0, 0), pt(-5, -5)}}},
		{"from far away", square, []geom.Point{pt(5, 5), pt(5, 4e8)},
			[][]geom.Point{{pt(5, 5), pt(5, 10)}}, [][]geom.Point{{pt(5, 10), pt(5, 4e8)}}},
		{"a point", square, []geom.Point{pt(10, 3)}, [][]geom.Point{{pt(10, 3)}}, nil},
		{"a point elsewhere", square, []geom.Point{pt(11, 3)}, nil, [][]geom.Point{{pt(11, 3)}}},
		{"by nothing", region.Region{}, []geom.Point{pt(1, 1), pt(2, 2)}, nil, [][]geom.Point{{pt(1, 1), pt(2, 2)}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			near := func(want, got [][]geom.Point) {
				require.Len(t, got, len(want))
				for i := range want {
					require.Len(t, got[i], len(want[i]))
					for j := range want[i] {
						require.InDelta(t, 0, got[i][j].Distance(want[i][j]), 1e-5, "%v", got)
					}
				}
			}
			near(c.inside, cut(t, c.area, c.line, true))
			near(c.outside, cut(t, c.area, c.line, false))
		})
	}
}

// A line of 100,000 segments cut by a region of 1,000: what takes the time is
// the line, not the product of the two.
func BenchmarkCutAHundredThousandSegments(b *testing.B) {
	var line, border []geom.Point
	for i := range 100_001 {
		sin, cos := math.Sincos(float64(i) * 0.01)
		r := 60 * math.Cos(float64(i)*0.00731)
		line = append(line, pt(r*cos, r*sin))
	}
	for i := range 1000 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 1000)
		r := 40 + 15*math.Sin(float64(i)*0.2)
		border = append(border, pt(r*cos, r*sin))
	}
	area := region.Of(append(border, border[0]))
	b.ReportAllocs()
	for b.Loop() {
		parts, err := region.NewCutter(area).Cut(line, true, free)
		require.NoError(b, err)
		require.NotEmpty(b, parts)
	}
}

// Two areas of 10,000 corners each that cross in some thousand places.
func BenchmarkUnionOfTenThousandCorners(b *testing.B) {
	wavy := func(center geom.Point, phase float64) []geom.Point {
		var line []geom.Point
		for i := range 10_000 {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / 10_000)
			r := 40 + 5*math.Sin(float64(i)*0.3+phase)
			line = append(line, pt(center.X+r*cos, center.Y+r*sin))
		}
		return append(line, line[0])
	}
	regions := []region.Region{region.Of(wavy(pt(0, 0), 0)), region.Of(wavy(pt(3, 2), 1))}
	b.ReportAllocs()
	for b.Loop() {
		r, err := region.Union(regions, free)
		require.NoError(b, err)
		require.NotEmpty(b, r)
	}
}
