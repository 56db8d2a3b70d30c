package halftone

import (
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
)

// laid is what share of paper a style covers where a share is asked for all over.
func laid(t *testing.T, s *style, share float64) float64 {
	const side, rim = 72, 8 // a smaller square has too many corners, or too few lines
	tones := newGrid(side, side)
	for i := range tones.at {
		tones.at[i] = share
	}
	a := &artist{plate: &plate{columns: side, rows: side, cellMM: 1}, apart: closest}
	line, err := s.draw(t.Context(), a, tones)
	require.NoError(t, err)
	points := make([]geom.Point, len(line))
	for i, p := range line {
		points[i] = geom.Point{X: p.x, Y: p.y}
	}
	ink := shrunk(covered(points, side, side, 1), fine)
	sum, n := 0.0, 0
	for y := rim; y < side-rim; y++ {
		for x := rim; x < side-rim; x++ {
			sum += ink.at[y*side+x]
			n++
		}
	}
	return sum / float64(n)
}

// A step wedge at the true width of the line comes out as it went in, to 3 % of
// full scale.
func TestAStepWedgeComesOutAsItWentIn(t *testing.T) {
	for _, name := range []string{"tour", "furrows", "coil", "levels"} {
		for _, share := range []float64{0.1, 0.25, 0.4, 0.55, 0.7, 0.85} {
			if (name == "furrows" || name == "coil") && share < 1/closest {
				continue // no lighter than the guide alone
			}
			require.InDelta(t, share, laid(t, styleNamed(name), share), 0.03, "%s at %.2f", name, share)
		}
	}
}
