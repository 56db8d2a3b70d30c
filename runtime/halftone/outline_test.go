package halftone

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
)

func outlineOptions() OutlineOptions {
	return OutlineOptions{WidthMM: 60, LineWidthMM: 0.5, ToleranceMM: 0.01, Detail: 1}
}

// The outline of a disc is a circle of its radius: found to less
// than a third of a line's width everywhere, and to a fifth on the mean.
func TestTheOutlineOfADiscIsItsCircle(t *testing.T) {
	const radius = 0.3
	picture := pictureOf(t, 240, 160, func(x, y float64) float64 {
		// Grey at the edge by how much of a pixel lies within.
		return min(max(0.5+240*(math.Hypot(x-0.45, (y-0.5)/1.5)-radius), 0), 1)
	})
	lines, err := Outline(t.Context(), picture, outlineOptions())
	require.NoError(t, err)
	require.Len(t, lines, 1)
	require.True(t, geom.Closed(lines[0]))
	middle, sum := geom.Point{X: 27, Y: 20}, 0.0
	for _, p := range lines[0] {
		require.InDelta(t, radius*60, p.Distance(middle), 0.15)
		sum += p.Distance(middle) / float64(len(lines[0]))
	}
	require.InDelta(t, radius*60, sum, 0.1)
	require.InDelta(t, 2*math.Pi*radius*60, geom.Length(lines[0]), 0.8)
}

// An edge that is missing for a little way is one stroke all the same, and what
// is most to be seen comes first.
func TestSmallGapsAreBridgedAndTheBoldestComesFirst(t *testing.T) {
	picture := pictureOf(t, 240, 160, func(x, y float64) float64 {
		switch {
		case y > 0.7:
			return 0.1
		case y > 0.3 && math.Abs(x-0.5) > 0.01:
			return 0.75
		}
		return 0.95
	})
	lines, err := Outline(t.Context(), picture, outlineOptions())
	require.NoError(t, err)
	require.NotEmpty(t, lines)
	box := geom.Bounds(lines[0])
	require.InDelta(t, 0.3*40, box.Min.Y, 0.6)
	require.InDelta(t, 0.3*40, box.Max.Y, 0.6)
	require.Greater(t, box.Width(), 55.0)
	o := outlineOptions()
	o.Detail = 0.25
	fewer, err := Outline(t.Context(), picture, o)
	require.NoError(t, err)
	require.LessOrEqual(t, len(fewer), len(lines))
}

func TestAnOutlineIsCancelledAndRefusedAsALineIs(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := Outline(ctx, ramp(t), outlineOptions())
	require.ErrorIs(t, err, context.Canceled)
	o := outlineOptions()
	o.WidthMM = 6
	_, err = Outline(t.Context(), ramp(t), o)
	require.ErrorIs(t, err, ErrTooSmall)
	lines, err := Outline(t.Context(), pictureOf(t, 90, 60, func(x, y float64) float64 { return 0.5 }), outlineOptions())
	require.NoError(t, err)
	require.Empty(t, lines)
}
