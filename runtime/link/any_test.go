package link_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "wend/internal/repeatable"
	"wend/runtime/geom"
	"wend/runtime/link"
)

// Files of lines that cross, go back over themselves, turn about on the spot and
// move by less than a step: each is drawn whole, without a fault that had to be
// mended, and the motors pass through every place in turn.
func TestAnyFileIsDrawnWholeAndNothingSeemsWrong(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := newBench(t, nil)
		l := b.ready()
		speed := rapid.SampledFrom([]float64{60, 600, 3600, 9000}).Draw(t, "feed")
		// Few different places make lines meet again.
		grid := rapid.SampledFrom([]float64{0.003, 0.01, 0.05, 1, 17}).Draw(t, "grid")
		var text strings.Builder
		fmt.Fprintf(&text, "G21 G90 G94\nG1 X40 Y40 F3600\nF%g\n", speed)
		at := geom.Point{X: 40, Y: 40}
		way := []geom.Point{at}
		for range rapid.IntRange(1, 60).Draw(t, "moves") {
			to := geom.Point{
				X: 40 + grid*float64(rapid.IntRange(-2, 2).Draw(t, "x")),
				Y: 40 + grid*float64(rapid.IntRange(-2, 2).Draw(t, "y")),
			}
			switch rapid.IntRange(0, 9).Draw(t, "kind") {
			case 0:
				fmt.Fprintf(&text, "G4 P0.05\n")
				continue
			case 1:
				fmt.Fprintf(&text, "G91 X%.4f Y%.4f\nG90\n", to.X-at.X, to.Y-at.Y)
			default:
				fmt.Fprintf(&text, "X%.4f Y%.4f\n", to.X, to.Y)
			}
			at = to
			way = append(way, to)
		}
		fmt.Fprintf(&text, "M2\n")
		began := len(b.sim.Trace())
		op := &script{now: b.now, limit: 3000}
		out, err := l.Draw(context.Background(), link.Job{Name: "any", Text: text.String()}, op)
		require.NoError(t, err, text.String())
		require.True(t, out.Complete)
		require.Zero(t, out.Mended, "%v", op.mended)
		require.Equal(t, link.Armed, out.Mode)
		require.Equal(t, link.Confirmed, out.Certainty)
		// Half a step to each side, and what the slack hides.
		trace := b.sim.Trace()[max(0, began-1):]
		slack := math.Max(b.profile.X.SlackMM, b.profile.Y.SlackMM)
		for _, p := range way {
			nearest := math.Inf(1)
			for i := 1; i < len(trace); i++ {
				nearest = min(nearest, geom.SegmentDistance(trace[i-1], trace[i], p))
			}
			require.LessOrEqual(t, nearest, slack+0.0072)
		}
		require.Empty(t, b.sim.Look().Contacts)
		b.leave()
	})
}
