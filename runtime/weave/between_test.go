package weave

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "wend/internal/repeatable"
	"wend/runtime/geom"
)

// The lines themselves, one after the other, cost what is said of all at once.
func TestWhatIsSaidOfAllPairsHoldsForEach(t *testing.T) {
	room := new(Room)
	rapid.Check(t, func(t *rapid.T) {
		coordinate := rapid.Custom(func(t *rapid.T) geom.Point {
			return geom.Point{X: float64(rapid.IntRange(0, 6).Draw(t, "x")), Y: float64(rapid.IntRange(0, 6).Draw(t, "y"))}
		})
		strokes := rapid.SliceOfN(rapid.SliceOfN(coordinate, 2, 5), 1, 5).Draw(t, "strokes")
		var places []geom.Point
		for range rapid.IntRange(1, 4).Draw(t, "places") {
			stroke := rapid.SampledFrom(strokes).Draw(t, "stroke")
			places = append(places, rapid.SampledFrom(stroke).Draw(t, "place"))
		}
		all, err := Between(context.Background(), strokes, places, room)
		require.NoError(t, err)
		for i := range places {
			for j := range places {
				options := Options{Start: &places[i], End: &places[j]}
				one, err := Weave(context.Background(), strokes, options)
				require.NoError(t, err)
				options.Room = room
				again, err := Weave(context.Background(), strokes, options)
				require.NoError(t, err)
				require.Equal(t, one, again, "in memory that was used before")
				require.InDelta(t, one.RetraceMM, all.RetraceMM[i][j], 1e-6)
				require.InDelta(t, one.DrawnMM, all.DrawnMM, 1e-6)
				require.InDelta(t, one.LinkMM, all.LinkMM, 1e-6)
			}
		}
	})
}
