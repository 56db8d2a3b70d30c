package plan

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestPiecesStandInTheOrderOfTheirLinesAndAlongThem(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// Few lines and places, so that many pieces agree in one or in all, and
		// names of lines that differ in high bits, in low ones, or in both.
		name := rapid.SampledFrom([]uint64{0, 1, 2, 255, 256, 1 << 35, 1<<35 + 1, 1 << 60, math.MaxUint64})
		place := rapid.SampledFrom([]float64{-200, -1, -1e-9, 0, 1e-9, 1, math.Nextafter(1, 2), 3, 200})
		pieces := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) piece {
			a, b := place.Draw(t, "a"), place.Draw(t, "b")
			return piece{line: name.Draw(t, "name"), from: min(a, b), to: max(a, b)}
		}), 10*few, 40*few).Draw(t, "pieces")
		want := slices.Clone(pieces)
		slices.SortFunc(want, func(p, q piece) int { return p.compare(&q) })
		sortPieces(pieces)
		require.Equal(t, want, pieces)
	})
}
