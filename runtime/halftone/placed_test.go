package halftone

import (
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
)

// Without what placed does about it, rounding makes the first of these lines
// meet itself four times, and the second six times.
func TestRoundingMakesNoLineMeetItself(t *testing.T) {
	for name, ink := range map[string]float64{"coffee": 0.1, "chelsea": 0.2} {
		p := newPlate(pictureNamed(t, name), 120, 0.5, 1)
		tones := p.tones(ink)
		line, err := walk(t.Context(), tones, p.flow, float64(len(tones.at))*ink*startShare, true, newChance(1, 100))
		require.NoError(t, err)
		line, err = untangle(t.Context(), line, tones, p.flow)
		require.NoError(t, err)
		var points []geom.Point
		for _, q := range placed(line, p.columns, p.rows) {
			points = append(points, geom.Point{X: float64(q.x), Y: float64(q.y)})
		}
		require.Zero(t, meetings(points), name)
	}
}
