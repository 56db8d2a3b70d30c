package bench_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/cmd/wend/bench"
	"wend/runtime/calibrate"
	"wend/runtime/geom"
	"wend/runtime/machine"
	"wend/runtime/simulator"
)

// A motor that loses all steps above a hidden speed: the ladder stops there,
// and the profile stays below it.
func TestPaceStaysBelowTheSpeedAtWhichStepsAreLost(t *testing.T) {
	for _, pullOut := range []float64{0, 37, 90} {
		p := guessed()
		p.X.SlackMM, p.Y.SlackMM = 0.4, 0.7
		h := hidden{stepsPerMM: [2]float64{100, 100}, slackMM: [2]float64{0.4, 0.7}, squarenessDeg: 90}
		setup := h.setup(p)
		setup.Mechanics.PullOutMMS = [2]float64{0, pullOut}
		setup.Mechanics.StartMM = geom.Point{X: 75, Y: 55}
		b, err := bench.On(setup)
		require.NoError(t, err)
		e := &eye{m: b.Simulated(), walls: geom.Point{X: 150, Y: 110}}
		s, err := calibrate.Begin(context.Background(), b, e, b, p)
		require.NoError(t, err)
		require.NoError(t, s.Run(context.Background(), calibrate.Pace))
		t.Log(s.Findings())
		found := s.Profile().Y.MaxSpeedMMS
		require.GreaterOrEqual(t, found, 20.0)
		if pullOut == 0 {
			require.Equal(t, [2]int64{}, b.Simulated().Look().LostSteps)
			require.InDelta(t, 210, found, 1e-9) // the step rate ends at 300
			continue
		}
		require.NotEqual(t, [2]int64{}, b.Simulated().Look().LostSteps)
		require.Less(t, found, pullOut)
		require.Greater(t, found, max(20, pullOut/1.25*0.65)-0.1)
		require.Empty(t, b.Simulated().Look().Contacts)
	}
}

func TestAMotorThatIsTooWeakAtItsSlowestIsSaidSo(t *testing.T) {
	p := guessed()
	h := hidden{stepsPerMM: [2]float64{100, 100}, squarenessDeg: 90}
	setup := h.setup(p)
	setup.Mechanics.PullOutMMS = [2]float64{0, 12}
	setup.Mechanics.StartMM = geom.Point{X: 75, Y: 55}
	b, err := bench.On(setup)
	require.NoError(t, err)
	e := &eye{m: b.Simulated(), walls: geom.Point{X: 150, Y: 110}}
	s, err := calibrate.Begin(context.Background(), b, e, b, p)
	require.NoError(t, err)
	var trouble *calibrate.Trouble
	require.ErrorAs(t, s.Run(context.Background(), calibrate.Pace), &trouble)
	require.Contains(t, trouble.Text, "steps are lost even at 20 mm/s")
	require.Equal(t, p, s.Profile()) // nothing of a part that failed is kept
}

func TestTheEraserIsAskedUntilTheSheetIsClean(t *testing.T) {
	p := guessed()
	p.Eraser.Kind, p.Eraser.Port, p.Eraser.Send, p.Eraser.Done, p.Eraser.DisturbsStylus = machine.EraserSerial, "sim", "ERASE", "DONE", false
	h := hidden{stepsPerMM: [2]float64{100, 100}, squarenessDeg: 90}
	setup := h.setup(p)
	setup.Eraser = simulator.EraserSetup{Rounds: 3, Seconds: 7}
	b, err := bench.On(setup)
	require.NoError(t, err)
	e := &eye{m: b.Simulated()}
	s, err := calibrate.Begin(context.Background(), b, e, b, p)
	require.NoError(t, err)
	require.NoError(t, s.Run(context.Background(), calibrate.Erasing))
	require.Equal(t, 3, s.Profile().Eraser.Rounds)
	require.Equal(t, 15.0, s.Profile().Eraser.TimeoutS)
	require.True(t, s.Profile().Eraser.DisturbsStylus)
}

func TestMotorsInEachOthersPlaceAndOnesThatStandStillAreSaidSo(t *testing.T) {
	p := guessed()
	h := hidden{stepsPerMM: [2]float64{100, 100}, slackMM: [2]float64{30, 0}, squarenessDeg: 90}
	b, err := bench.On(h.setup(p))
	require.NoError(t, err)
	e := &eye{m: b.Simulated()}
	s, err := calibrate.Begin(context.Background(), b, e, b, p)
	require.NoError(t, err)
	require.ErrorContains(t, s.Run(context.Background(), calibrate.Direction), "the x motor does not move the stylus")
}

// Nothing that a calibration asks for passes the gate beyond the box that was
// declared.
func TestTheGateGuardsTheBoxThatWasDeclared(t *testing.T) {
	p := guessed()
	b, err := bench.On(hidden{stepsPerMM: [2]float64{100, 100}, squarenessDeg: 90}.setup(p))
	require.NoError(t, err)
	ctx := context.Background()
	require.NoError(t, b.Adopt(ctx, p))
	at := geom.Point{X: 75, Y: 55}
	require.NoError(t, b.Declare(ctx, at, geom.Bounds([]geom.Point{at}).Grow(5)))
	require.NoError(t, b.Follow(ctx, []geom.Point{{X: 79, Y: 55}}, 10))
	require.Error(t, b.Follow(ctx, []geom.Point{{X: 81, Y: 55}}, 10))
	require.InDelta(t, 79.8, b.Simulated().Look().StylusMM.X, 0.01) // it stood at 75.8 in truth
}
