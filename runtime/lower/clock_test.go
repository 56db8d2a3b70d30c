package lower_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "wend/internal/repeatable"
	"wend/runtime/geom"
	"wend/runtime/lower"
	"wend/runtime/machine"
	"wend/runtime/plan"
)

// Where the board stands still, the time is that of the line up to there alone.
func TestTheTimeAtAVertexIsThatOfTheLineUpToThere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := machine.DeskToy()
		p.X.SlackMM, p.Y.SlackMM = 0, 0
		coordinate := rapid.Float64Range(5, 100)
		points := []geom.Point{{X: 20, Y: 20}}
		for range rapid.IntRange(2, 60).Draw(t, "pieces") {
			next := geom.Point{X: coordinate.Draw(t, "x"), Y: coordinate.Draw(t, "y")}
			if next != points[len(points)-1] {
				points = append(points, next)
			}
		}
		if len(points) < 3 {
			return
		}
		middle := rapid.IntRange(1, len(points)-2).Draw(t, "pause")
		whole := timed(t, p, &plan.Sheet{Points: points, Place: make([]uint32, len(points)-1), Pauses: []plan.Pause{{Vertex: middle}}})
		half := timed(t, p, &plan.Sheet{Points: points[:middle+1], Place: make([]uint32, middle)})
		require.Len(t, whole.At, len(points))
		require.InDelta(t, whole.Seconds, whole.At[len(points)-1], 1e-4*whole.Seconds)
		require.InDelta(t, half.Seconds, whole.At[middle], 1e-3*half.Seconds+1e-3)
		for i := 1; i < len(points); i++ {
			require.GreaterOrEqual(t, whole.At[i], whole.At[i-1])
		}
	})
}

func timed(t *rapid.T, p *machine.Profile, sheet *plan.Sheet) *lower.Result {
	result, _, err := lower.Sheet(context.Background(), p, &plan.Plan{Sheets: []*plan.Sheet{sheet}, Places: make([]plan.Place, 1)}, sheet, lower.Options{Compensate: true, Times: true})
	require.NoError(t, err)
	return result
}
