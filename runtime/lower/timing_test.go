package lower

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/runtime/machine"
)

func TestTheTimeDoesNotDependOnTheBlocksItIsWorkedOutIn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := machine.DeskToy()
		p.Board.QueueMoves = rapid.IntRange(1, 40).Draw(t, "queue")
		// Small steps make for long braking, and high speeds as well.
		offset := rapid.Int32Range(-3, 3)
		speed := rapid.Float32Range(0.1, 200)
		in := &machine.Instructions{}
		var raw []float32
		at := in.Start
		for range rapid.IntRange(1, 300).Draw(t, "moves") {
			by := machine.Steps{X: offset.Draw(t, "x"), Y: offset.Draw(t, "y")}
			if by == (machine.Steps{}) {
				by.X = 1000
			}
			at.X, at.Y = at.X+by.X, at.Y+by.Y
			raw = append(raw, speed.Draw(t, "speed"))
			in.Moves = append(in.Moves, machine.Move{To: at, Feed: uint32(rapid.IntRange(1, 12000).Draw(t, "feed"))})
			if rapid.IntRange(0, 9).Draw(t, "pause") == 0 {
				in.Pauses = append(in.Pauses, machine.Pause{Before: len(in.Moves)})
			}
		}
		seconds, bound := drawingTime(p, in, raw, limitsOf(p), len(in.Moves), nil)
		block := rapid.IntRange(1, len(in.Moves)).Draw(t, "block")
		inBlocks, boundInBlocks := drawingTime(p, in, raw, limitsOf(p), block, nil)
		require.Equal(t, seconds, inBlocks)
		require.Equal(t, bound, boundInBlocks)
	})
}
