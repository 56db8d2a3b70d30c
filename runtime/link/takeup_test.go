package link_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/machine"
	"wend/runtime/simulator"
)

// After somebody said where the stylus is, the knobs may stand anywhere in their
// slack: once it is taken up, the stated place is within half of it, at an edge
// as well, and the position is to be looked at again.
func TestSlackThatIsNotKnownIsTakenUp(t *testing.T) {
	for _, page := range []geom.Point{{X: 20, Y: 15}, {X: 139.9, Y: 99.9}, {X: 0, Y: 0}} {
		for _, part := range []float64{0, 0.3, 1} {
			b := newBench(t, func(p *machine.Profile, s *simulator.Setup) {
				s.Mechanics.StartMM = p.ToMachine(page)
				s.Mechanics.GapMM = [2]float64{part * s.Mechanics.SlackMM[0], part * s.Mechanics.SlackMM[1]}
			})
			l, err := b.connect()
			require.NoError(t, err)
			require.NoError(t, l.Declare(context.Background(), page))
			slack, unknown := l.SlackUnknown()
			require.True(t, unknown)
			require.InDelta(t, 0.4, slack.X, 0.011)
			require.NoError(t, l.TakeUp(context.Background(), &script{now: b.now, limit: 100}))
			_, unknown = l.SlackUnknown()
			require.False(t, unknown)
			_, at, certainty := l.Where()
			require.Equal(t, link.Assumed, certainty)
			off := b.stylus().Sub(at)
			require.LessOrEqual(t, max(off.X, -off.X, off.Y, -off.Y), slack.X/2+0.021, "%v, %v", page, part)
			require.Empty(t, b.sim.Look().Contacts)
			b.leave()
		}
	}
}

// A board that stayed on still holds the count of its last report; one that was
// switched off, or reset by opening its port, does not.
func TestABoardThatStayedOnStillCounts(t *testing.T) {
	for _, try := range []struct {
		keeps bool
		then  func(b *bench)
		want  bool
	}{
		{true, func(*bench) {}, true},
		{true, func(b *bench) { b.sim.PowerCycle() }, false},
		{false, func(*bench) {}, false},
	} {
		b := newBench(t, func(_ *machine.Profile, s *simulator.Setup) { s.Board.KeepsRunning = try.keeps })
		l := b.ready()
		_, err := l.Draw(context.Background(), link.Job{Name: "flower", Text: flower(b.profile, b.sim.Look().StylusMM)}, &script{now: b.now, limit: 1000})
		require.NoError(t, err)
		b.leave()
		try.then(b)
		b.sim.Advance(3)
		l, err = b.connect()
		require.NoError(t, err)
		_, _, certainty := l.Where()
		require.Equal(t, link.Assumed, certainty)
		require.Equal(t, try.want, l.Counts())
	}
}
