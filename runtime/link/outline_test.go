package link_test

import (
	"context"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/machine"
	"wend/runtime/simulator"
)

// Whoever stops at once, at any time after the board has refused a line, is shown
// where the stylus may stand: there it stands.
func TestAfterAHardStopTheStylusIsWhereItIsSaidToBe(t *testing.T) {
	var beside, back, off int
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 41))
		slack := 0.4 * float64(seed%2)
		b := newBench(t, func(p *machine.Profile, s *simulator.Setup) {
			p.X.SlackMM, p.Y.SlackMM = slack, slack
			s.Mechanics.SlackMM = [2]float64{slack, slack}
			s.Mechanics.StartMM = geom.Point{X: 60 + 30*r.Float64(), Y: 40 + 30*r.Float64()}
		})
		text := jagged(r, b.sim.Look().StylusMM)
		op := &script{now: b.now, limit: 2000, stays: true}
		op.after = func(s *script) { s.at = append([]timedWish{{b.sim.Now() + 0.1, link.GoOn}}, s.at...) }
		wire := &faultyWire{sim: b.sim, r: r, refuse: map[int]bool{r.IntN(30) * r.IntN(2): true}}
		waits := 0.15 * r.Float64()
		if seed%4 == 0 {
			waits *= 8
		}
		wire.heard = func() {
			if len(op.at) == 0 {
				op.at = []timedWish{{b.sim.Now() + waits, link.StopHard}}
			}
		}
		port, err := b.sim.Open(10_000_000)
		require.NoError(t, err)
		b.port, wire.Port = port, port
		memory, err := link.OpenMemory(b.files, "bench", b.profile)
		require.NoError(t, err)
		l, err := link.Connect(context.Background(), link.Setup{Wire: mortal{wire, b}, Now: b.now, Profile: b.profile, Memory: memory})
		require.NoError(t, err)
		require.NoError(t, l.Declare(context.Background(), b.stylus()))
		require.NoError(t, l.Confirm())
		require.NoError(t, l.Arm())
		b.sim.DelayAnswers(0.3 * r.Float64())
		outcome, err := l.Draw(context.Background(), link.Job{Name: "jagged", Text: text}, op)
		require.ErrorIs(t, err, link.ErrStopped, "seed %d", seed)
		require.Equal(t, link.Lost, outcome.Certainty)
		b.sim.Advance(1)
		stretch, err := link.StretchOf(b.profile, outcome.Left, text)
		require.NoError(t, err)
		require.Equal(t, outcome.Left.Beside(), stretch.Within != nil)
		at, reach := b.stylus(), slack+0.03 // within its slack an axis may rest anywhere
		if distanceTo(at, stretch.Possible) > reach {
			off++
		}
		if stretch.Within == nil {
			require.LessOrEqual(t, distanceTo(at, stretch.Possible), reach, "seed %d", seed)
			continue
		}
		beside++
		if len(outcome.Left.Back) > 0 {
			back++
		}
		require.True(t, inside(at, stretch.Within) || distanceTo(at, stretch.Within) <= reach, "seed %d: %v", seed, at)
	}
	// It is tried: beside the line, and on the way back.
	require.Positive(t, off)
	require.Positive(t, back)
	require.Greater(t, beside, back)
}

// inside reports whether a place is within a convex outline.
func inside(p geom.Point, outline []geom.Point) bool {
	for i := 1; i < len(outline); i++ {
		if outline[i].Sub(outline[i-1]).Cross(p.Sub(outline[i-1])) < 0 {
			return false
		}
	}
	return true
}
