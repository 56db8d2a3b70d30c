package shading_test

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/runtime/geom"
	"wend/runtime/plan"
	"wend/runtime/region"
	"wend/runtime/shading"
)

func tourOf(t require.TestingT, area region.Region, o shading.Options) shading.Line {
	line, err := shading.Tour(context.Background(), area, o, free)
	require.NoError(t, err)
	return line
}

// toured are areas of which a straight way through points would often leave the
// last two.
func toured() map[string]region.Region {
	return map[string]region.Region{
		"square": region.Of(rectangle(0, 0, 40, 40)),
		"disc":   region.Of(circle(pt(0, 0), 20)),
		"ring":   region.Of(circle(pt(0, 0), 25), circle(pt(1, 0), 9)),
		"elle":   region.Of(polygon(pt(0, 0), pt(40, 0), pt(40, 15), pt(15, 15), pt(15, 40), pt(0, 40))),
		"slit":   region.Of(circle(pt(0, 0), 20), rectangle(-3, -0.3, 15, 0.6)),
	}
}

// Tones come out linear: the share of ink is right to one part in fifty.
func TestATourHasTheInkOfItsTone(t *testing.T) {
	const width = 0.5
	for name, area := range toured() {
		for _, tone := range []float64{0.5, 0.85} {
			line := tourOf(t, area, shading.Options{SpacingMM: width / (1 - tone), LineWidthMM: width, ToleranceMM: 0.02})
			box := apart(area)
			ink := float64(inkOf(box, area, line.Points, width).all()) / float64(pictureOf(box, area.Contains).all())
			require.InEpsilon(t, 1-tone, ink, 0.02, "%s, tone %.2f", name, tone)
		}
	}
}

// All of the line lies half its width within the border, slits and all, and it goes
// over itself nowhere but along the border.
func TestATourStaysInItsArea(t *testing.T) {
	for name, area := range toured() {
		roomy, err := region.Offset(area, 0.02-0.25, 0.001, region.Round, free)
		require.NoError(t, err)
		line := tourOf(t, area, shading.Options{SpacingMM: 1.5, LineWidthMM: 0.5, ToleranceMM: 0.02})
		out, err := region.NewCutter(roomy).Cut(line.Points, false, free)
		require.NoError(t, err)
		require.Empty(t, out, name)
		require.Less(t, lengths(line)[plan.Link], 1e-9, "one line, without a link")
	}
}

func TestTwoPartsOfATourAreLinked(t *testing.T) {
	area := region.Of(rectangle(0, 0, 10, 10), rectangle(14, 0, 10, 10))
	line := tourOf(t, area, shading.Options{SpacingMM: 1, LineWidthMM: 0.5, ToleranceMM: 0.02})
	require.InDelta(t, 5, lengths(line)[plan.Link], 1, "from points about half a spacing within")
	with := tourOf(t, area, shading.Options{SpacingMM: 1, LineWidthMM: 0.5, ToleranceMM: 0.02, Border: true})
	for _, corner := range []geom.Point{pt(0, 0), pt(10, 10), pt(24, 10)} {
		require.Contains(t, with.Points, corner)
	}
}

func TestAnythingCanBeToured(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		area := anyArea(t)
		o := options(rapid.Float64Range(2, 6).Draw(t, "spacing"))
		o.Border = rapid.Bool().Draw(t, "border")
		line := tourOf(t, area, o)
		require.Equal(t, len(line.Points) == 0, areaOf(t, area) < 1e-9)
		if len(line.Points) > 0 {
			require.Len(t, line.Roles, len(line.Points)-1)
			for _, p := range line.Points {
				require.True(t, p.Finite(), fmt.Sprint(p))
			}
			require.Equal(t, line, tourOf(t, area, o))
		}
	})
}
