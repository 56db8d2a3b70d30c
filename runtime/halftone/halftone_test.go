package halftone

import (
	"bytes"
	"context"
	"image"
	"image/color"
	"image/png"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
	"wend/runtime/tone"
)

// pictureOf makes a picture from a function of sRGB values, 0..1 both ways from
// the upper left.
func pictureOf(t testing.TB, width, height int, value func(x, y float64) float64) *tone.Image {
	im := image.NewGray(image.Rect(0, 0, width, height))
	for y := range height {
		for x := range width {
			im.SetGray(x, y, color.Gray{Y: uint8(255 * min(max(value((float64(x)+0.5)/float64(width), (float64(y)+0.5)/float64(height)), 0), 1))})
		}
	}
	var out bytes.Buffer
	require.NoError(t, png.Encode(&out, im))
	picture, err := tone.Decode(out.Bytes())
	require.NoError(t, err)
	return picture
}

func ramp(t testing.TB) *tone.Image {
	return pictureOf(t, 60, 40, func(x, y float64) float64 { return x })
}

func options() Options {
	return Options{WidthMM: 24, LineWidthMM: 0.5, Contrast: 1, Seed: 1}
}

func TestTheLineNeverMeetsItselfAndStaysWithinThePicture(t *testing.T) {
	result, err := Line(t.Context(), ramp(t), options())
	require.NoError(t, err)
	require.Zero(t, meetings(result.Points))
	box := geom.Bounds(result.Points)
	require.GreaterOrEqual(t, box.Min.X, 0.25)
	require.GreaterOrEqual(t, box.Min.Y, 0.25)
	require.LessOrEqual(t, box.Max.X, 24-0.25)
	require.LessOrEqual(t, box.Max.Y, result.HeightMM-0.25)
	require.InDelta(t, 16, result.HeightMM, 0.25)
}

func TestOneProcessorDrawsTheSameLineAsTwo(t *testing.T) {
	draw := func() []geom.Point {
		result, err := Line(t.Context(), ramp(t), options())
		require.NoError(t, err)
		return result.Points
	}
	first := draw()
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	require.Equal(t, first, draw())
}

func measured(_ context.Context, line []geom.Point) (float64, error) { return geom.Length(line), nil }

func TestTheGoalIsMetOrSaidToBeTooMuch(t *testing.T) {
	o := options()
	o.Measure = measured
	o.Goal = 200
	result, err := Line(t.Context(), ramp(t), o)
	require.NoError(t, err)
	require.False(t, result.Saturated)
	require.InEpsilon(t, o.Goal, geom.Length(result.Points), 0.03)
	o.Goal = 5000
	result, err = Line(t.Context(), ramp(t), o)
	require.NoError(t, err)
	require.True(t, result.Saturated)
}

func TestWhatCannotBeDrawnIsSaid(t *testing.T) {
	o := options()
	o.WidthMM = 6
	_, err := Line(t.Context(), ramp(t), o)
	require.ErrorIs(t, err, ErrTooSmall)
	o.WidthMM = 5000
	_, err = Line(t.Context(), ramp(t), o)
	require.ErrorIs(t, err, ErrTooLarge)
	_, err = Line(t.Context(), pictureOf(t, 40, 30, func(x, y float64) float64 { return 1 }), options())
	require.ErrorIs(t, err, ErrBlank)
	ctx, cancel := context.WithCancel(t.Context())
	o = options()
	o.Progress = func(done, of int) {
		if done == of/2 {
			cancel()
		}
	}
	_, err = Line(ctx, ramp(t), o)
	require.ErrorIs(t, err, context.Canceled)
}
