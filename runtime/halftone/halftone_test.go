package halftone

import (
	"bytes"
	"context"
	"image"
	"image/color"
	"image/png"
	"math"
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
	picture, err := tone.Decode(t.Context(), out.Bytes())
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

func TestTheInkOfEveryStyleStaysWithinThePicture(t *testing.T) {
	for _, style := range Styles() {
		o := options()
		o.Style = style.Name
		result, err := Line(t.Context(), ramp(t), o)
		require.NoError(t, err)
		box := geom.Bounds(result.Points)
		page := geom.Box{Max: geom.Point{X: o.WidthMM, Y: result.HeightMM}}.Grow(-o.LineWidthMM/2 + 1e-9)
		require.True(t, page.Contains(box.Min) && page.Contains(box.Max), "%s: %v", style.Name, box)
	}
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

// In every style: met within 3 %, or said to be more than all the ink, or to be
// missed.
func TestTheGoalIsMetOrItIsSaidThatItIsNot(t *testing.T) {
	for _, style := range Styles() {
		met := 0
		for _, goal := range []float64{5, 60, 200, 400, 5000} {
			o := options()
			o.Style, o.Measure, o.Goal = style.Name, measured, goal
			result, err := Line(t.Context(), ramp(t), o)
			require.NoError(t, err)
			require.InDelta(t, result.Measured, geom.Length(result.Points), 1e-6)
			off := geom.Length(result.Points)/goal - 1
			require.Equal(t, math.Abs(off) > 0.03, result.Saturated || result.Missed, "%s, %v: %v", style.Name, goal, off)
			require.False(t, result.Saturated && result.Missed)
			require.Equal(t, goal == 5000, result.Saturated, "%s, %v", style.Name, goal)
			if math.Abs(off) <= 0.03 {
				met++
			}
		}
		require.GreaterOrEqual(t, met, 2, style.Name)
	}
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

// A dark place that wide white parts from the rest is drawn too, in little time
// and in all there is.
func TestNoDarkPlaceIsLeftOutBehindWhite(t *testing.T) {
	const size = 48.0
	dark := []geom.Box{
		{Min: geom.Point{X: 2, Y: 2}, Max: geom.Point{X: 16, Y: 12}}, {Min: geom.Point{X: 34, Y: 2}, Max: geom.Point{X: 46, Y: 12}},
		{Min: geom.Point{X: 18, Y: 24}, Max: geom.Point{X: 30, Y: 32}}, {Min: geom.Point{X: 2, Y: 24}, Max: geom.Point{X: 6, Y: 36}},
	}
	picture := pictureOf(t, 96, 80, func(x, y float64) float64 {
		for _, box := range dark {
			if box.Contains(geom.Point{X: x * size, Y: 40 - y*40}) {
				return 0
			}
		}
		return 1
	})
	for seed := range uint64(4) {
		o := options()
		o.WidthMM, o.Seed = size, seed
		if seed%2 == 1 {
			o.Measure, o.Goal = measured, 500
		}
		result, err := Line(t.Context(), picture, o)
		require.NoError(t, err)
		require.Zero(t, meetings(result.Points))
		var inside [4]float64
		for i := 1; i < len(result.Points); i++ {
			for k, box := range dark {
				if box.Contains(result.Points[i-1].Mix(result.Points[i], 0.5)) {
					inside[k] += result.Points[i-1].Distance(result.Points[i])
				}
			}
		}
		for k, box := range dark {
			share := inside[k] * o.LineWidthMM / (box.Width() * box.Height())
			require.Greater(t, share, 0.4, "box %d with seed %d has %.2f of its ink", k, seed, share)
		}
	}
}
