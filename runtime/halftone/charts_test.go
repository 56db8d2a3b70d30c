package halftone

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// The wedge is a chart of five steps, of 10, 30, 50, 70 and 90 % ink, each twice as
// high as it is wide. In line widths. The rims, which are left out, are as wide as
// the dots of a tour lie apart in the lightest step: the line runs through the middle
// of what each dot stands for, so what the outer half of that lacks lies farther in.
const wedgeSteps, wedgeSide, wedgeRim = 5, 36, 8

// wedgeInk is the mean ink of the line in each step, at its true width.
func wedgeInk(t *testing.T, style string, seed uint64) (inks [wedgeSteps]float64) {
	const columns, rows = wedgeSteps * wedgeSide, 2 * wedgeSide
	picture := pictureOf(t, 2*columns, 2*rows, func(x, _ float64) float64 {
		light := 1 - stepInk(int(x*wedgeSteps))
		return 1.055*math.Pow(light, 1/2.4) - 0.055 // IEC 61966-2-1, above its straight part
	})
	result, err := Line(t.Context(), picture, Options{WidthMM: columns, LineWidthMM: 1, Seed: seed, Style: style})
	require.NoError(t, err)
	ink := shrunk(covered(result.Points, columns, rows, 1), fine)
	for s := range inks {
		n := 0.0
		for y := wedgeRim; y < rows-wedgeRim; y++ {
			for x := s*wedgeSide + wedgeRim; x < (s+1)*wedgeSide-wedgeRim; x++ {
				inks[s] += ink.at[y*columns+x]
				n++
			}
		}
		inks[s] /= n
	}
	return inks
}

func stepInk(s int) float64 { return (2*float64(s) + 1) / (2 * wedgeSteps) }

// A grey wedge comes out linear in every style that shows tones, to 3 % of full
// scale from 10 to 90 %. A guide cannot be lighter than itself: the lightest step of
// a wave is that of its guide alone, and nothing is lighter. Of a tour it is the mean
// of three, for a few pieces of line more or less in the lightest step are left to
// chance.
func TestAGreyWedgeComesOutLinear(t *testing.T) {
	for _, style := range []string{"evolved", "tour", "coil", "furrows", "levels", "outlined"} {
		seeds := 1
		if style == "tour" {
			seeds = 3
		}
		var inks [wedgeSteps]float64
		for seed := range seeds {
			for s, ink := range wedgeInk(t, style, uint64(seed)+1) {
				inks[s] += ink / float64(seeds)
			}
		}
		t.Logf("%-9s %.3f", style, inks)
		for s, ink := range inks {
			want := stepInk(s)
			if s == 0 && (style == "coil" || style == "furrows") {
				want = guideShare / 2 // of a picture that is half ink
			}
			require.InDelta(t, want, ink, 0.03, "%s at %.1f", style, stepInk(s))
		}
	}
}

// Rings, checkers and blobs in every style that shows tones, 40 mm wide with all
// their ink, under the blur of 0.9 mm: the likeness (SSIM) and the mean error of
// grey that each is held to, a little worse than what was measured. A guide has no
// whites, which half of the checkers is.
func TestChartsKeepTheirForms(t *testing.T) {
	for _, held := range []struct {
		style, chart string
		ssim, off    float64
	}{
		{"evolved", "rings", 0.965, 0.02}, {"evolved", "checkers", 0.99, 0.02}, {"evolved", "blobs", 0.98, 0.015},
		{"tour", "rings", 0.95, 0.04}, {"tour", "checkers", 0.98, 0.035}, {"tour", "blobs", 0.97, 0.025},
		{"coil", "rings", 0.53, 0.06}, {"coil", "checkers", 0.64, 0.12}, {"coil", "blobs", 0.85, 0.06},
		{"furrows", "rings", 0.65, 0.05}, {"furrows", "checkers", 0.68, 0.12}, {"furrows", "blobs", 0.89, 0.06},
		{"levels", "rings", 0.77, 0.055}, {"levels", "checkers", 0.90, 0.065}, {"levels", "blobs", 0.90, 0.04},
		{"outlined", "rings", 0.82, 0.04}, {"outlined", "checkers", 0.87, 0.09}, {"outlined", "blobs", 0.87, 0.06},
	} {
		const widthMM, lineMM = 40, 0.5
		picture := pictureNamed(t, held.chart)
		result, err := Line(t.Context(), picture, Options{WidthMM: widthMM, LineWidthMM: lineMM, Contrast: 1, Seed: 1, Style: held.style})
		require.NoError(t, err)
		p := newPlate(picture, widthMM, lineMM, 1)
		ink := shrunk(covered(result.Points, p.columns, p.rows, p.cellMM), fine/2)
		ssim, off := score(ink, doubled(p.tones(p.natural())), farAway)
		t.Logf("%-9s %-8s %.3f/%.3f", held.style, held.chart, ssim, off)
		require.GreaterOrEqual(t, ssim, held.ssim, "%s of %s", held.style, held.chart)
		require.LessOrEqual(t, off, held.off, "%s of %s", held.style, held.chart)
	}
}
