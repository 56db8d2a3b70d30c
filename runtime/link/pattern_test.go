package link_test

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/lang/diag"
	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/machine"
)

// Whatever a calibration declares and asks for, the motors stay in the box that
// is guarded, and each way is gone as a whole or not at all.
func TestNoPatternLeavesTheBoxThatIsGuarded(t *testing.T) {
	followed, refused := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		ctx := context.Background()
		b := newBench(t, nil)
		l, err := b.connect()
		require.NoError(t, err)
		wild := rapid.OneOf(
			rapid.Float64Range(-20, 170),
			rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e300, -0.0049, 150.0049}),
		)
		// near gives a place in a box, or one somewhat beyond, or any.
		near := func(box geom.Box, name string) geom.Point {
			if rapid.IntRange(0, 19).Draw(t, name+" is wild") == 19 {
				return geom.Point{X: wild.Draw(t, name+" x"), Y: wild.Draw(t, name+" y")}
			}
			inside := rapid.Float64Range(0, 1)
			share := rapid.OneOf(inside, inside, inside, rapid.SampledFrom([]float64{0, 1, 0, 1, 1.001, -0.02}))
			u, v := share.Draw(t, name+" u"), share.Draw(t, name+" v")
			return geom.Point{X: box.Min.X + u*box.Width(), Y: box.Min.Y + v*box.Height()}
		}
		adopted := false
		var guard geom.Box
		var shift geom.Point
		sheet := geom.Box{Max: geom.Point{X: 150, Y: 110}}
		for range rapid.IntRange(2, 12).Draw(t, "orders") {
			if !adopted || rapid.IntRange(0, 3).Draw(t, "adopt") == 0 {
				box := geom.Box{Min: near(sheet, "lower left")}
				box.Max = box.Min.Add(geom.Point{X: rapid.Float64Range(-1, 60).Draw(t, "width"), Y: rapid.Float64Range(-1, 60).Draw(t, "height")})
				at := near(box, "at")
				if l.Adopt(ctx, b.profile, at, box) != nil {
					refused++
					continue
				}
				adopted, guard = true, box
				require.True(t, box.Grow(0.006).Contains(at), "%v is not in %v", at, box)
				// From the board's own coordinates to those that were declared.
				stands, _, _ := l.Where()
				shift = b.profile.AtSteps(stands.Steps).Sub(b.sim.Look().BoardMM)
				continue
			}
			before := b.sim.Look().BoardMM
			path := make([]geom.Point, rapid.IntRange(0, 4).Draw(t, "places"))
			for i := range path {
				path[i] = near(guard, "to")
			}
			speed := rapid.SampledFrom([]float64{5, 20, 40, 60, 1e9, math.Inf(1), 0, math.NaN()}).Draw(t, "speed")
			err := l.Follow(ctx, path, speed, &script{})
			at := b.sim.Look().BoardMM.Add(shift)
			switch {
			case err != nil:
				refused++
				require.Equal(t, before, b.sim.Look().BoardMM, "%v by %v", err, path)
			case len(path) > 0:
				followed++
				require.InDelta(t, path[len(path)-1].X, at.X, 0.0101)
				require.InDelta(t, path[len(path)-1].Y, at.Y, 0.0101)
			}
			require.True(t, guard.Grow(0.0001).Contains(at), "%v is not in %v", at, guard)
		}
		b.leave()
	})
	t.Logf("%d ways followed, %d orders refused", followed, refused)
	require.NotZero(t, followed)
	require.NotZero(t, refused)
}

// A position that was counted by a profile nobody kept is lost to whoever comes
// with the old one; by the one that was adopted it is remembered, once that one
// is calibrated.
func TestThePositionBelongsToTheProfileThatWasAdopted(t *testing.T) {
	ctx := context.Background()
	for _, calibrated := range []bool{true, false} {
		b := newBench(t, nil)
		l := b.ready()
		l.Disarm()
		found := *b.profile
		found.X.SlackMM, found.Calibrated = 0.7, calibrated
		require.NoError(t, l.Adopt(ctx, &found, geom.Point{X: 40, Y: 30}, found.AreaBox()))
		require.NoError(t, l.Follow(ctx, []geom.Point{{X: 60, Y: 30}}, 20, &script{}))
		b.leave()

		l, err := b.connect()
		require.NoError(t, err)
		_, _, certainty := l.Where()
		require.Equal(t, link.Lost, certainty)
		require.Contains(t, l.WhyLost(), "the profile has changed")
		b.leave()

		b.profile = &found
		l, err = b.connect()
		require.NoError(t, err)
		at, _, certainty := l.Where()
		if !calibrated {
			require.Equal(t, link.Lost, certainty)
			continue
		}
		require.Equal(t, link.Assumed, certainty)
		require.InDelta(t, 60, found.AtSteps(at.Steps).X, 0.005)
	}
}

// What was passed by the gate and then not sent has not moved the motors: the
// next way begins where they stand.
func TestAWayThatWasNotSentIsForgotten(t *testing.T) {
	ctx := context.Background()
	for name, spoil := range map[string]func(*bench){
		"reset at rest": func(b *bench) { b.sim.PowerCycle(); b.sim.Advance(3) },
		"disk full":     func(b *bench) { b.files.fullIn = 0 },
	} {
		t.Run(name, func(t *testing.T) {
			b := newBench(t, nil)
			l := b.ready()
			l.Disarm()
			require.NoError(t, l.Adopt(ctx, b.profile, geom.Point{X: 5, Y: 5}, b.profile.AreaBox()))
			spoil(b)
			require.Error(t, l.Follow(ctx, []geom.Point{{X: 100, Y: 70}}, 20, &script{}))
			b.files.fullIn = -1
			require.NoError(t, l.Follow(ctx, []geom.Point{{X: 25, Y: 15}}, 20, &script{}))
			require.InDelta(t, 20, b.sim.Look().BoardMM.X, 0.011)
			require.InDelta(t, 10, b.sim.Look().BoardMM.Y, 0.011)
		})
	}
}

func TestAPatternWaitsForTheBoardToBeSet(t *testing.T) {
	ctx := context.Background()
	b := newBench(t, nil)
	l := b.ready()
	require.ErrorContains(t, l.Follow(ctx, []geom.Point{{X: 30, Y: 30}}, 20, &script{}), "armed")
	l.Disarm()
	faster := *b.profile
	faster.X.MaxSpeedMMS = 80
	at := b.profile.AtSteps(link.MotorsAt(b.profile, geom.Point{}, machine.Gap{}))
	require.NoError(t, l.Adopt(ctx, &faster, at, faster.AreaBox()))
	var fault *diag.Fault
	require.ErrorAs(t, l.Follow(ctx, []geom.Point{{X: 30, Y: 30}}, 80, &script{}), &fault)
	require.EqualValues(t, "board-settings-differ", fault.Code)
	require.Len(t, l.Mismatches(), 1)
	require.NoError(t, l.Settle(ctx, l.Mismatches()))
	require.NoError(t, l.Follow(ctx, []geom.Point{{X: 30, Y: 30}}, 80, &script{}))
}
