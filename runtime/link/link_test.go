package link_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/link"
)

func TestADrawingIsSentWholeAndEndsWhereItShould(t *testing.T) {
	b := newBench(t, nil)
	l := b.ready()
	at, _, _ := l.Where()
	text := flower(b.profile, b.profile.AtSteps(at.Steps))
	op := &script{now: b.now}
	outcome, err := l.Draw(context.Background(), link.Job{Name: "flower", Text: text}, op)
	require.NoError(t, err)
	require.True(t, outcome.Complete)
	require.Equal(t, link.Armed, outcome.Mode)
	require.Zero(t, outcome.Mended)
	look := b.sim.Look()
	require.Empty(t, look.Contacts)
	require.Zero(t, look.Overflow)
	require.Equal(t, 1, look.Stops, "it never stood for want of moves")
	require.InDelta(t, 100-b.profile.Area.MarginMM, b.stylus().X, 0.5)
	t.Logf("%v %v s fill %v, most in flight %.3f s, %d shown", outcome, look.EndedS-look.BeganS, look.FillS, outcome.MostFlightS, len(op.shown))
}
