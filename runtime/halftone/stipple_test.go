package halftone

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// even is a density of so many dots all over a square.
func evenly(dots, side int) *grid {
	density := newGrid(side, side)
	for i := range density.at {
		density.at[i] = float64(dots) / float64(side*side)
	}
	return density
}

// TestDotsOfConstantDensity: what a centroidal Voronoi tessellation of constant
// density tends to has the energy 5/(18 sqrt 3) = 0.1604 a dot over its squared
// area, that of regular hexagons (Gersho 1979; Du, Faber and Gunzburger 1999);
// one with the faults that no relaxation gets rid of has a few percent more.
func TestDotsOfConstantDensityLieNearlyLikeHexagons(t *testing.T) {
	const side, n = 60, 900
	density := evenly(n, side)
	dots, err := stipple(t.Context(), density, newChance(1, 102))
	require.NoError(t, err)
	require.Len(t, dots, n)
	// The energy is integrated on a finer raster than the dots were moved on, and
	// away from the edges, whose cells are no hexagons.
	const mesh = 16
	energy, area := make([]float64, len(dots)), make([]float64, len(dots))
	for y := range side * mesh {
		for x := range side * mesh {
			px, py := (float64(x)+0.5)/mesh, (float64(y)+0.5)/mesh
			best, nearest := 0, math.Inf(1)
			for k, d := range dots {
				if dy := d.y - py; dy*dy < nearest {
					if square := (d.x-px)*(d.x-px) + dy*dy; square < nearest {
						best, nearest = k, square
					}
				}
			}
			energy[best] += nearest / (mesh * mesh)
			area[best] += 1.0 / (mesh * mesh)
		}
	}
	sum, count, mean, squares := 0.0, 0.0, 0.0, 0.0
	for k, d := range dots {
		if min(d.x, d.y) < 4 || max(d.x, d.y) > side-4 {
			continue
		}
		sum += energy[k]
		mean += area[k]
		squares += area[k] * area[k]
		count++
	}
	mean /= count
	require.InEpsilon(t, 0.1604, sum/count/(mean*mean), 0.04)
	require.Less(t, math.Sqrt(squares/count-mean*mean)/mean, 0.15, "how unlike the areas are")
}

// Light tones get their dots, and each half of a picture its own.
func TestLightTonesGetTheirDots(t *testing.T) {
	const side = 72
	for _, n := range []int{4, 20, 90} {
		mass := evenly(n, side)
		for i := range mass.at {
			if i%side >= side/2 {
				mass.at[i] *= 3
			}
		}
		dots := seeded(mass, newChance(1, 102))
		require.Len(t, dots, 2*n)
		left := 0
		for _, d := range dots {
			if d.x < side/2 {
				left++
			}
		}
		require.InDelta(t, n/2, left, 3)
	}
}

func BenchmarkStipples20000(b *testing.B) {
	for b.Loop() {
		if _, err := stipple(b.Context(), evenly(20_000, 240), newChance(1, 102)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkStipples100000(b *testing.B) {
	for b.Loop() {
		if _, err := stipple(b.Context(), evenly(100_000, 540), newChance(1, 102)); err != nil {
			b.Fatal(err)
		}
	}
}
