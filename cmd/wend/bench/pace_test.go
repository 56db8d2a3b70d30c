package bench_test

import (
	"context"
	"errors"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/diag"
	"wend/runtime/calibrate"
	"wend/runtime/geom"
	"wend/runtime/link"
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
		b := on(t, setup, p)
		e := &eye{m: b.m, walls: geom.Point{X: 150, Y: 110}}
		s := calibrate.Begin(b, e, b, p, nil)
		require.NoError(t, s.Run(context.Background(), calibrate.Pace))
		t.Log(s.Findings())
		found := s.Profile().Y.MaxSpeedMMS
		require.GreaterOrEqual(t, found, 20.0)
		if pullOut == 0 {
			require.Equal(t, [2]int64{}, b.m.Look().LostSteps)
			require.InDelta(t, 210, found, 1e-9) // the step rate ends at 300
			continue
		}
		require.NotEqual(t, [2]int64{}, b.m.Look().LostSteps)
		require.Less(t, found, pullOut)
		require.Greater(t, found, max(20, pullOut/1.25*0.65)-0.1)
		require.Empty(t, b.m.Look().Contacts)
	}
}

func TestAMotorThatIsTooWeakAtItsSlowestIsSaidSo(t *testing.T) {
	p := guessed()
	h := hidden{stepsPerMM: [2]float64{100, 100}, squarenessDeg: 90}
	setup := h.setup(p)
	setup.Mechanics.PullOutMMS = [2]float64{0, 12}
	setup.Mechanics.StartMM = geom.Point{X: 75, Y: 55}
	b := on(t, setup, p)
	e := &eye{m: b.m, walls: geom.Point{X: 150, Y: 110}}
	s := calibrate.Begin(b, e, b, p, nil)
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
	b := on(t, setup, p)
	e := &eye{m: b.m}
	s := calibrate.Begin(b, e, b, p, nil)
	require.NoError(t, s.Run(context.Background(), calibrate.Erasing))
	require.Equal(t, 3, s.Profile().Eraser.Rounds)
	require.Equal(t, 14.0, s.Profile().Eraser.TimeoutS)
	require.True(t, s.Profile().Eraser.DisturbsStylus)
}

func TestMotorsInEachOthersPlaceAndOnesThatStandStillAreSaidSo(t *testing.T) {
	p := guessed()
	h := hidden{stepsPerMM: [2]float64{100, 100}, slackMM: [2]float64{30, 0}, squarenessDeg: 90}
	b := on(t, h.setup(p), p)
	e := &eye{m: b.m}
	s := calibrate.Begin(b, e, b, p, nil)
	require.ErrorContains(t, s.Run(context.Background(), calibrate.Direction), "the x motor does not move the stylus")
}

// Nothing that a calibration asks for passes the gate beyond the box that was
// declared.
func TestTheGateGuardsTheBoxThatWasDeclared(t *testing.T) {
	p := guessed()
	b := on(t, hidden{stepsPerMM: [2]float64{100, 100}, squarenessDeg: 90}.setup(p), p)
	ctx := context.Background()
	at := geom.Point{X: 75, Y: 55}
	require.NoError(t, b.Declare(ctx, p, at, geom.Bounds([]geom.Point{at}).Grow(5)))
	require.NoError(t, b.Follow(ctx, []geom.Point{{X: 79, Y: 55}}, 10))
	// A way that leaves the box is refused as a whole.
	require.ErrorContains(t, b.Follow(ctx, []geom.Point{{X: 77, Y: 55}, {X: 81, Y: 55}}, 10), "not in the area, x 70 to 80")
	require.InDelta(t, 79.8, b.m.Look().StylusMM.X, 0.01) // it stood at 75.8 in truth
	require.NoError(t, b.Follow(ctx, []geom.Point{{X: 80, Y: 55}}, 10))
	require.InDelta(t, 80.8, b.m.Look().StylusMM.X, 0.01)
}

// A profile that the board is not set to moves nothing until somebody agreed.
func TestNothingMovesWhileTheBoardIsSetOtherwise(t *testing.T) {
	p := guessed()
	b := on(t, hidden{stepsPerMM: [2]float64{100, 100}, squarenessDeg: 90}.setup(p), p)
	refused := errors.New("nobody agreed")
	b.Settle = func(context.Context, *link.Link) error { return refused }
	ctx := context.Background()
	at := geom.Point{X: 75, Y: 55}
	other := *p
	other.X.LineMMPerMotorTurn, other.Board.StepsPerMM.X = 16, 200
	before := b.m.Look()
	require.ErrorIs(t, b.Declare(ctx, &other, at, other.AreaBox()), refused)
	var fault *diag.Fault
	require.ErrorAs(t, b.Follow(ctx, []geom.Point{{X: 79, Y: 55}}, 10), &fault)
	require.EqualValues(t, "board-settings-differ", fault.Code)
	require.Equal(t, before.StylusMM, b.m.Look().StylusMM)
}
