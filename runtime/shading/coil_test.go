package shading_test

import (
	"context"
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "wend/internal/repeatable"
	"wend/runtime/geom"
	"wend/runtime/plan"
	"wend/runtime/region"
	"wend/runtime/shading"
)

func coil(t require.TestingT, area region.Region, o shading.Options) shading.Line {
	line, err := shading.Coil(context.Background(), area, o, free)
	require.NoError(t, err)
	return line
}

// The turns cover the area evenly: as long as the area divided by the spacing, but
// for the share of the border and of the middle, where two sides of a turn may come
// close.
func TestACoilIsAsLongAsTheAreaBySpacing(t *testing.T) {
	for name, area := range shapes() {
		t.Run(name, func(t *testing.T) {
			const spacing = 1.5
			line := coil(t, area, options(spacing))
			border := 0.0
			for _, ring := range area {
				border += geom.Length(ring.Points)
			}
			mm := lengths(line)
			require.InDelta(t, areaOf(t, area)/spacing, mm[plan.Drawn], 0.7*border)
			require.Less(t, mm[plan.Retrace]+mm[plan.Link], 0.01*mm[plan.Drawn], "one line, without a link")
		})
	}
}

func TestACoilStaysInItsArea(t *testing.T) {
	for name, area := range shapes() {
		t.Run(name, func(t *testing.T) {
			roomy, err := region.Offset(area, 0.02-0.25, 0.001, region.Round, free)
			require.NoError(t, err)
			out, err := region.NewCutter(roomy).Cut(coil(t, area, options(1.5)).Points, false, free)
			require.NoError(t, err)
			require.Empty(t, out)
		})
	}
}

// In a disc the coil is a spiral: never outwards, from half a line within the
// border to the middle, and as long as the area by spacing.
func TestInADiscACoilIsASpiral(t *testing.T) {
	const width = 0.5
	line := coil(t, region.Of(circle(pt(3, 4), 30)), shading.Options{SpacingMM: 1, LineWidthMM: width, ToleranceMM: 0.02})
	require.InDelta(t, 30-width/2, line.Points[0].Distance(pt(3, 4)), 0.02)
	radius := math.Inf(1)
	for _, p := range line.Points {
		r := p.Distance(pt(3, 4))
		require.LessOrEqual(t, r, radius+0.02, "never outwards")
		radius = min(radius, r)
	}
	require.Less(t, radius, 1.0)
	require.InEpsilon(t, math.Pi*30*30, geom.Length(line.Points), 0.01)
}

func TestAnythingCanBeCoiled(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		area := anyArea(t)
		o := options(rapid.Float64Range(0.5, 5).Draw(t, "spacing"))
		o.Border = rapid.Bool().Draw(t, "border")
		line := coil(t, area, o)
		require.Equal(t, len(line.Points) == 0, areaOf(t, area) < 1e-9)
		if len(line.Points) > 0 {
			require.Len(t, line.Roles, len(line.Points)-1)
			require.Equal(t, line, coil(t, area, o))
		}
	})
}

func BenchmarkCoil(b *testing.B) {
	area := region.Of(circle(pt(0, 0), 100), circle(pt(20, 10), 30), circle(pt(-40, 10), 20))
	b.ReportAllocs()
	for b.Loop() {
		coil(b, area, options(1))
	}
}

// The work is told before it is done: an area that nothing could cover ends at a
// limit, not at the end of the memory.
func TestACoilTooLongToBeMadeEndsAtALimit(t *testing.T) {
	enough := errors.New("enough")
	told := 0
	work := func(steps, made int) error {
		if told += made; told > 1_000_000 {
			return enough
		}
		return nil
	}
	_, err := shading.Coil(context.Background(), region.Of(rectangle(0, 0, 1e5, 1e5)), options(0.5), work)
	require.ErrorIs(t, err, enough)
	require.Less(t, told, 3_000_000)
}
