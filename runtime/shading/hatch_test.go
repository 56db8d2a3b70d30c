package shading_test

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/runtime/geom"
	"wend/runtime/plan"
	"wend/runtime/region"
	"wend/runtime/shading"
)

func free(int, int) error { return nil }

func pt(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }

func circle(center geom.Point, radius float64) []geom.Point {
	var points []geom.Point
	for i := range 361 {
		points = append(points, center.Add(geom.Polar(radius, float64(i%360))))
	}
	return points
}

func rectangle(x, y, width, height float64) []geom.Point {
	return []geom.Point{pt(x, y), pt(x+width, y), pt(x+width, y+height), pt(x, y+height), pt(x, y)}
}

func options(spacing float64) shading.Options {
	return shading.Options{SpacingMM: spacing, LineWidthMM: 0.5, ToleranceMM: 0.01}
}

func hatch(t require.TestingT, area region.Region, angle float64, cross bool, o shading.Options) shading.Line {
	line, err := shading.Hatch(context.Background(), area, angle, cross, o, free)
	require.NoError(t, err)
	return line
}

// lengths are the lengths of a line by what its pieces are there for.
func lengths(line shading.Line) (mm [3]float64) {
	for i, role := range line.Roles {
		mm[role] += line.Points[i].Distance(line.Points[i+1])
	}
	return mm
}

func areaOf(t require.TestingT, r region.Region) float64 {
	area, _, _, err := r.Measure(free)
	require.NoError(t, err)
	return area
}

func shapes() map[string]region.Region {
	var star, spiral, comb []geom.Point
	for k := range 11 {
		star = append(star, geom.Polar([2]float64{45, 18}[k%2], float64(36*k)))
	}
	for k := range 300 {
		spiral = append(spiral, geom.Polar(5+float64(k)/8, float64(4*k)))
	}
	for k := 299; k >= 0; k-- {
		spiral = append(spiral, geom.Polar(1+float64(k)/8, float64(4*k)))
	}
	comb = append(comb, pt(0, 0), pt(90, 0), pt(90, 10))
	for k := 8; k >= 0; k-- {
		x := float64(10 * k)
		comb = append(comb, pt(x+8, 10), pt(x+8, 60), pt(x, 60), pt(x, 10))
	}
	return map[string]region.Region{
		"square": region.Of(rectangle(0, 0, 40, 40)),
		"disc":   region.Of(circle(pt(0, 0), 30)),
		"ring":   region.Of(circle(pt(0, 0), 40), circle(pt(5, 3), 18)),
		"star":   region.Of(star),
		"spiral": region.Of(append(spiral, spiral[0])),
		"comb":   region.Of(append(comb, comb[0])),
	}
}

// A row covers a band as wide as the spacing, so rows are as long as the area in
// which they may be divided by the spacing, but for the share of the border: some
// row more or less where the border runs along the rows.
func TestRowsAreAsLongAsTheAreaBySpacing(t *testing.T) {
	for name, area := range shapes() {
		border := 0.0
		simple, err := area.Simple(free)
		require.NoError(t, err)
		for _, line := range simple {
			border += geom.Length(line.Points)
		}
		for _, angle := range []float64{0, 30, 77} {
			for _, spacing := range []float64{0.7, 2} {
				t.Run(name, func(t *testing.T) {
					line := hatch(t, area, angle, false, options(spacing))
					within, err := region.Offset(area, -0.25, 0.01, region.Round, free)
					require.NoError(t, err)
					require.InDelta(t, areaOf(t, within)/spacing, lengths(line)[plan.Drawn], 0.15*border)
				})
			}
		}
	}
}

// A fill is one line that stays in its area, by half the width of the line, and
// what it adds is on the order of the border.
func TestAHatchStaysInItsArea(t *testing.T) {
	for name, area := range shapes() {
		for _, angle := range []float64{0, 45, 100} {
			t.Run(name, func(t *testing.T) {
				// But for the tolerance of arcs.
				roomy, err := region.Offset(area, 0.011-0.25, 0.001, region.Round, free)
				require.NoError(t, err)
				cutter := region.NewCutter(roomy)
				line := hatch(t, area, angle, false, options(1.5))
				out, err := cutter.Cut(line.Points, false, free)
				require.NoError(t, err)
				require.Empty(t, out)
				border := 0.0
				for _, ring := range area {
					border += geom.Length(ring.Points)
				}
				require.Less(t, lengths(line)[plan.Link], 0.8*border)
			})
		}
	}
}

func TestARectangleIsHatchedToAndFro(t *testing.T) {
	line := hatch(t, region.Of(rectangle(0, 0, 40, 20)), 0, false, options(2))
	// Ten rows, joined alternately at their ends, a quarter of a millimetre
	// within the border.
	require.Len(t, line.Points, 20)
	mm := lengths(line)
	require.InDelta(t, 10*39.5, mm[plan.Drawn], 1e-6)
	require.InDelta(t, 9*2, mm[plan.Link], 1e-6)
	require.Zero(t, mm[plan.Retrace])
}

func TestWithTheBorderNothingIsAdded(t *testing.T) {
	for name, area := range shapes() {
		t.Run(name, func(t *testing.T) {
			o := options(2)
			o.Border = true
			for _, cross := range []bool{false, true} {
				line := hatch(t, area, 20, cross, o)
				require.InDelta(t, 0, lengths(line)[plan.Link], 1e-6)
			}
		})
	}
}

// Parts that do not touch are joined by the shortest straight links, and no part
// stays empty, however small.
func TestPartsAreJoined(t *testing.T) {
	area := region.Of(rectangle(0, 0, 20, 20), rectangle(30, 0, 20, 20), rectangle(0.2, 30, 3, 0.9))
	line := hatch(t, area, 0, false, options(2))
	box := geom.Bounds(line.Points)
	require.Greater(t, box.Max.Y, 30.0)
	// The upper part has one row at half its height, 11 mm over the highest row of
	// the lower left one.
	require.InDelta(t, 11, longestLink(line), 1e-6)
}

func longestLink(line shading.Line) float64 {
	longest := 0.0
	for i, role := range line.Roles {
		if role == plan.Link {
			longest = max(longest, line.Points[i].Distance(line.Points[i+1]))
		}
	}
	return longest
}

// anyArea is up to three closed lines of any corners, which lie on a coarse grid,
// and so on one another, in two cases of three.
func anyArea(t *rapid.T) region.Region {
	coarse := rapid.SampledFrom([]float64{0, 1, 8}).Draw(t, "coarse")
	var lines [][]geom.Point
	for range rapid.IntRange(1, 3).Draw(t, "lines") {
		var ring []geom.Point
		for range rapid.IntRange(1, 12).Draw(t, "corners") {
			p := pt(rapid.Float64Range(-30, 30).Draw(t, "x"), rapid.Float64Range(-30, 30).Draw(t, "y"))
			if coarse > 0 {
				p = pt(math.Round(p.X/coarse)*coarse, math.Round(p.Y/coarse)*coarse)
			}
			ring = append(ring, p)
		}
		lines = append(lines, append(ring, ring[0]))
	}
	return region.Of(lines...)
}

// Whatever is closed can be hatched.
func TestAnythingCanBeHatched(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		area := anyArea(t)
		o := options(rapid.Float64Range(0.5, 5).Draw(t, "spacing"))
		o.Border = rapid.Bool().Draw(t, "border")
		cross := rapid.Bool().Draw(t, "cross")
		angle := rapid.SampledFrom([]float64{0, 45, 90, 13}).Draw(t, "angle")
		line := hatch(t, area, angle, cross, o)
		require.Equal(t, len(line.Points) == 0, areaOf(t, area) < 1e-9)
		if len(line.Points) > 0 {
			require.Len(t, line.Roles, len(line.Points)-1)
			require.Equal(t, line, hatch(t, area, angle, cross, o))
		}
	})
}

func BenchmarkHatchAThousandRows(b *testing.B) {
	area := region.Of(circle(pt(0, 0), 300), circle(pt(50, 20), 100), circle(pt(-120, 30), 60))
	for _, c := range []struct {
		name          string
		cross, border bool
	}{{"rows", false, false}, {"border", false, true}, {"cross", true, false}} {
		b.Run(c.name, func(b *testing.B) {
			o := options(0.6)
			if c.cross {
				o.SpacingMM = 3
			}
			o.Border = c.border
			for b.Loop() {
				hatch(b, area, 30, c.cross, o)
			}
		})
	}
}
