package lower

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/runtime/geom"
	"wend/runtime/machine"
	"wend/runtime/plan"
)

func TestFeedsAndTimeDoNotDependOnTheBlocksTheyAreWorkedOutIn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := machine.DeskToy()
		p.Board.QueueMoves = rapid.IntRange(1, 40).Draw(t, "queue")
		p.Board.Baud = rapid.SampledFrom([]int{9600, 115200, 1000000}).Draw(t, "baud")
		// Small steps make for long braking, and high speeds as well.
		offset := rapid.Int32Range(-3, 3)
		speed := rapid.Float32Range(0.1, 200)
		in := &machine.Instructions{}
		var limits []float32
		at := in.Start
		for range rapid.IntRange(1, 300).Draw(t, "moves") {
			by := machine.Steps{X: offset.Draw(t, "x"), Y: offset.Draw(t, "y")}
			if by == (machine.Steps{}) {
				by.X = 1000
			}
			at.X, at.Y = at.X+by.X, at.Y+by.Y
			limits = append(limits, speed.Draw(t, "speed"))
			in.Moves = append(in.Moves, machine.Move{To: at})
			if rapid.IntRange(0, 9).Draw(t, "pause") == 0 {
				in.Pauses = append(in.Pauses, machine.Pause{Before: len(in.Moves)})
			}
		}
		worked := func(block int, made <-chan stretch) (moves []machine.Move, report linkReport, seconds, bound float64) {
			for i := range in.Moves {
				setLimit(&in.Moves[i], limits[i])
			}
			known := *in
			if made != nil {
				known.Moves, known.Pauses = nil, nil
			}
			feeds := newFeeder(p, &known)
			seconds, bound = drawingTime(p, supply{&known, made}, limitsOf(p), feeds, block, nil)
			return slices.Clone(known.Moves), feeds.report, seconds, bound
		}
		moves, report, seconds, bound := worked(len(in.Moves), nil)
		// They come in stretches of any length.
		made := make(chan stretch, len(in.Moves)+1)
		for n := 0; n < len(in.Moves); {
			n = min(n+rapid.IntRange(1, 50).Draw(t, "stretch"), len(in.Moves))
			pauses := slices.DeleteFunc(slices.Clone(in.Pauses), func(pause machine.Pause) bool { return pause.Before > n })
			made <- stretch{moves: in.Moves[:n], pauses: pauses}
		}
		close(made)
		inBlocks, reportInBlocks, secondsInBlocks, boundInBlocks := worked(rapid.IntRange(1, len(in.Moves)).Draw(t, "block"), made)
		require.Equal(t, moves, inBlocks)
		require.Equal(t, report, reportInBlocks)
		require.Equal(t, seconds, secondsInBlocks)
		require.Equal(t, bound, boundInBlocks)
	})
}

// What goes wrong beside is raised where the moves are asked for, and so told as a
// fault of ours instead of ending the process.
func TestAFaultOfTheWalkIsRaisedWhereItsMovesAreAskedFor(t *testing.T) {
	made := make(chan stretch, 2)
	made <- stretch{moves: make([]machine.Move, 3)}
	made <- stretch{cause: "a fault"}
	close(made)
	in := supply{&machine.Instructions{}, made}
	require.Equal(t, 3, in.upTo(2))
	require.PanicsWithValue(t, "a fault", func() { in.upTo(4) })

	// A walk to a vertex that there is not.
	p := machine.DeskToy()
	sheet := &plan.Sheet{Points: []geom.Point{{X: 1, Y: 1}, {X: 9, Y: 5}, {X: 20, Y: 1}}, Place: make([]uint32, 1)}
	require.Panics(t, func() { _, _, _ = Sheet(t.Context(), p, &plan.Plan{}, sheet, Options{Compensate: true}) })
}
