package machine_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/runtime/geom"
	"wend/runtime/machine"
)

// Steps per mm = 200 m ÷ (measured mm a turn), m microsteps; a motor of 1.8°
// makes 200 full steps a turn (common practice, no source).
func TestStepsPerMillimetreFollowFromOneTurn(t *testing.T) {
	for _, c := range []struct {
		microsteps  int
		line        float64
		stepsPerMM  float64
		resolution  float64
		fastestAt30 float64 // kHz
	}{
		{1, 32, 6.25, 0.16, 4800},
		{16, 32, 100, 0.01, 300},
		{8, 40, 40, 0.025, 750},
	} {
		a := machine.Axis{StepsPerTurn: 200, Microsteps: c.microsteps, LineMMPerMotorTurn: c.line, LineUncertaintyMM: 0.5}
		require.InDelta(t, c.stepsPerMM, a.StepsPerMM(), 1e-12)
		require.InDelta(t, c.resolution, a.ResolutionMM(), 1e-15)
		require.InDelta(t, c.fastestAt30, a.LargestSpeedMMS(30000), 1e-9)
	}
}

// The relative error of the scale is the measuring error over the length:
// ±0.5 mm on 32 mm is 1.6 %, on ten turns 0.16 % (elementary).
func TestALongerMeasuredLineMakesTheScaleSurer(t *testing.T) {
	one := machine.Axis{StepsPerTurn: 200, Microsteps: 16, LineMMPerMotorTurn: 32, LineUncertaintyMM: 0.5}
	require.InDelta(t, 0.0156, one.ScaleUncertainty(), 0.0001)
	byKnob := machine.Axis{StepsPerTurn: 200, Microsteps: 16, LineMMPerKnobTurn: 64, GearRatio: 2, LineUncertaintyMM: 0.5}
	require.Equal(t, one.StepsPerMM(), byKnob.StepsPerMM())
	require.InDelta(t, one.ScaleUncertainty()/2, byKnob.ScaleUncertainty(), 1e-12)
}

// 115200 baud is 11,520 bytes a second at ten bits a byte.
func TestALinkCarriesATenthOfItsBaud(t *testing.T) {
	require.Equal(t, 11520.0, machine.DeskToy().LinkBytesPerSecond())
}

func TestTheToleranceIsOneBudget(t *testing.T) {
	p := machine.DeskToy()
	// 0.003 mm for chords; on each axis half a step by rounding and half a step
	// that it waits before it reverses: √2 × 0.01 mm.
	require.InDelta(t, 0.003, p.FlattenToleranceMM(), 1e-12)
	require.InDelta(t, 0.01*math.Sqrt2, p.StepsMM(true), 1e-12)
	require.InDelta(t, 0.005*math.Sqrt2, p.StepsMM(false), 1e-12)
	require.InDelta(t, 0.02, p.ReachedMM(), 1e-12)
	require.LessOrEqual(t, p.FlattenToleranceMM()+p.SimplifyToleranceMM()+p.StepsMM(true), p.Drawing.ToleranceMM+1e-12)
	require.InDelta(t, p.Drawing.ToleranceMM, p.FlattenToleranceMM()+p.ReadBackToleranceMM(true), 1e-8)
	// Where nothing wavers, one axis may be off by what is left beside the rounding
	// of the other.
	half := geom.Point{X: 0.005, Y: 0.005}
	band := p.TakeUpBandMM(half)
	require.InDelta(t, 0.0152, band.X, 0.0001)
	require.InDelta(t, 0.02, p.FlattenToleranceMM()+p.SimplifyToleranceMM()+geom.Point{X: band.X, Y: half.Y}.Length(), 1e-8)
	// Where the other wavers, less is left.
	whole := geom.Point{X: 0.01, Y: 0.01}
	band = p.TakeUpBandMM(whole)
	require.InDelta(t, 0.02, p.FlattenToleranceMM()+p.SimplifyToleranceMM()+geom.Point{X: whole.X, Y: band.Y}.Length(), 1e-8)

	p.Drawing.ToleranceMM = 0.001
	require.Zero(t, p.SimplifyToleranceMM())
}

// Steps of 0.076 mm cannot keep 0.1 mm: half a step by rounding and half a step
// of waiting on both axes, 0.076 × √2, beside 0.015 mm for chords.
func TestCoarseStepsReachWhatTheyCan(t *testing.T) {
	p := machine.DeskToy()
	p.Drawing.ToleranceMM = 0.1
	for _, a := range []*machine.Axis{&p.X, &p.Y} {
		a.Microsteps, a.LineMMPerMotorTurn, a.SlackMM = 1, 15.2, 0.38
	}
	p.Board.StepsPerMM = geom.Point{X: 1 / 0.076, Y: 1 / 0.076}
	require.InDelta(t, 0.015+0.076*math.Sqrt2, p.ReachedMM(), 1e-9)
	require.Zero(t, p.SimplifyToleranceMM())
	require.InDelta(t, 0.076*math.Sqrt2, p.ReadBackToleranceMM(true), 1e-8)
	// Slack of less than half a step is not made up for, but nothing waits.
	p.X.SlackMM = 0.03
	require.InDelta(t, 0.015+math.Hypot(0.038+0.03, 0.076), p.ReachedMM(), 1e-9)
	// A frame that is out of square adds what both axes do along its longer
	// diagonal (law of cosines).
	p.X.SlackMM, p.Frame.SquarenessDeg = 0.38, 60
	require.InDelta(t, 0.076*math.Sqrt(3), p.StepsMM(true), 1e-9)
}

func TestPageAndMachineCoordinatesAreAMarginApart(t *testing.T) {
	p := machine.DeskToy()
	require.Equal(t, geom.Point{X: 5, Y: 5}, p.ToMachine(geom.Point{}))
	require.Equal(t, geom.Box{Max: geom.Point{X: 140, Y: 100}}, p.Page())
	require.Equal(t, geom.Point{X: 1, Y: 2}, p.ToPage(p.ToMachine(geom.Point{X: 1, Y: 2})))
}

func TestDecimalsAreEnoughToFindTheStepAgain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := machine.DeskToy()
		scale := rapid.Float64Range(1, 4000).Draw(t, "steps per mm")
		p.Board.StepsPerMM = geom.Point{X: scale, Y: scale}
		steps := rapid.Int32Range(0, 1<<20).Draw(t, "steps")
		unit := math.Pow(10, float64(p.CoordinateDecimals()))
		written := math.Round(float64(steps)/scale*unit) / unit
		require.Equal(t, steps, p.NearestStep(geom.Point{X: written}).X)
	})
}
