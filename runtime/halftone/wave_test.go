package halftone

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
)

// Where a coil turns and where rows end there are neither notches nor knots: on an
// even tone the picture is as dark in its corners and along its edges as anywhere,
// looked at from where the waves themselves are not told apart.
func TestWavesAreAsDarkInCornersAndAtEdgesAsElsewhere(t *testing.T) {
	const columns, rows, apart = 90, 60, 4
	paper := newGrid(columns, rows)
	for i := range paper.at {
		paper.at[i] = 1
	}
	paper = paper.blurred(apart, blank)
	for _, name := range []string{"coil", "furrows"} {
		for _, share := range []float64{0.45, 0.65, 0.85} {
			tones := newGrid(columns, rows)
			for i := range tones.at {
				tones.at[i] = share
			}
			a := &artist{plate: &plate{columns: columns, rows: rows, cellMM: 1}, apart: apart}
			line, err := styleNamed(name).draw(t.Context(), a, tones)
			require.NoError(t, err)
			points := a.scaled(line)
			require.Zero(t, meetings(points), "%s at %.2f", name, share)
			seen := shrunk(covered(points, columns, rows, 1), fine).blurred(apart, blank)
			off := 0.0
			var at geom.Point
			for i, ink := range seen.at {
				if d := math.Abs(ink/paper.at[i] - share); d > off {
					off, at = d, geom.Point{X: float64(i % columns), Y: float64(i / columns)}
				}
			}
			t.Logf("%-8s %.2f is off by %.3f at %v", name, share, off, at)
			require.LessOrEqual(t, off, 0.07, "%s at %.2f, %v", name, share, at)
		}
	}
}
