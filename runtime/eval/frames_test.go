package eval

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/runtime/geom"
)

func TestHeadingsAreNormalizedAsGeometryDoes(t *testing.T) {
	for _, h := range []float64{0, math.Copysign(0, -1), 360, -360, 720, -1e-17, 359.99999999999994, 1e17, -1e-300} {
		require.Equal(t, math.Float64bits(geom.NormalizeHeading(h)), math.Float64bits(normalized(h)), h)
	}
	rapid.Check(t, func(t *rapid.T) {
		h := rapid.Float64Range(-2000, 2000).Draw(t, "heading")
		if math.Float64bits(geom.NormalizeHeading(h)) != math.Float64bits(normalized(h)) {
			t.Fatal(h)
		}
	})
}
