package simulator_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
	"wend/runtime/simulator"
)

func draw(t testing.TB, setup simulator.Setup, lines ...string) simulator.Drawn {
	t.Helper()
	d, err := simulator.Draw(context.Background(), strings.NewReader(strings.Join(lines, "\n")), setup)
	require.NoError(t, err)
	return d
}

// lively is a machine with a speed of 50 mm/s and an acceleration of 500 mm/s²
// on each axis, as in the textbooks' examples.
func lively() simulator.Setup {
	setup := simulator.Setup{}
	setup.Board.AccelerationMMS2 = [2]float64{500, 500}
	setup.Board.RateMMPerMin = [2]float64{3000, 3000}
	setup.Mechanics.WidthMM, setup.Mechanics.HeightMM = 300, 300
	setup.Mechanics.StartMM = geom.Point{X: 1, Y: 1}
	return setup
}

// T = L/v + v/a, or 2√(L/a) where the speed is not reached: Siciliano et al.,
// Robotics, 2009, 4.2; Craig, Introduction to Robotics, 3rd ed., ch. 7 (from
// memory). Limits hold per axis, so the diagonal is as quick as one side of it.
func TestMovesFromRestToRestTakeTheTimeOfATrapezoid(t *testing.T) {
	for _, c := range []struct {
		line    string
		seconds float64
	}{
		{"G1 X100 F99999", 100.0/50 + 50.0/500},
		{"G1 Y100 F3000", 2.1},
		{"G1 X100 Y100 F99999", 2.1},
		{"X100 Y100", 2.1}, // after a reset: as fast as can be
		{"G1 X5 F3000", 0.2},
		{"G1 X4 F3000", 2 * math.Sqrt(4.0/500)},
		{"G1 X4 F3000\nG4 P1.5\nG1 X0", 4*math.Sqrt(4.0/500) + 1.5},
		{"G1 X0.01 F3000", 2 * math.Sqrt(0.01/500)},
	} {
		require.InEpsilon(t, c.seconds, draw(t, lively(), c.line).Seconds, 0.002, c.line)
	}
}

// Siciliano et al., eq. 4.8: with T and the acceleration A given, the cruise
// begins after tc = T/2 - √((T²A - 4D)/A)/2; D = π, T = 1, A = 6π give
// tc = 0.2113249 s and a cruise at 3.98338 (data as recalled, recomputed).
func TestATrapezoidGivenByItsTimeTakesThatTime(t *testing.T) {
	setup := lively()
	setup.Board.StepsPerMM = [2]float64{10000, 10000}
	setup.Board.StepRateHz = 1e6
	setup.Board.AccelerationMMS2 = [2]float64{6 * math.Pi, 6 * math.Pi}
	require.InEpsilon(t, 1, draw(t, setup, fmt.Sprintf("G1 X3.1415927 F%.4f", 3.98338*60)).Seconds, 0.001)
}

// Four sides of 100 mm from rest to rest: 8.4 s. Without stops no square takes
// less than 4 L/v.
func TestASquareTakesFourTimesItsSideWithStops(t *testing.T) {
	square := "G1 X100 F3000\nY100\nX0\nY0"
	setup := lively()
	setup.Board.CornerMM = 1e-12
	require.InEpsilon(t, 8.4, draw(t, setup, square).Seconds, 0.001)
	setup.Board.CornerMM = 5
	rounded := draw(t, setup, square).Seconds
	require.Less(t, rounded, 8.4)
	require.Greater(t, rounded, 8.0)
}

// The arc that touches both legs and passes the corner at d has the radius
// d sin(θ/2)/(1 - sin(θ/2)); v = √(a r). For a = 500, d = 0.05: elementary
// geometry. The corner's bisector lies along y, whose acceleration counts.
func TestCornersAreTakenWithTheSpeedOfTheArcThatWouldRoundThem(t *testing.T) {
	for _, c := range []struct{ interior, speed float64 }{{90, 7.76887}, {135, 17.41915}, {60, 5}} {
		setup := lively()
		setup.Board.StepsPerMM = [2]float64{1000, 1000}
		setup.Board.AccelerationMMS2 = [2]float64{20000, 500}
		m := ready(t, setup)
		half := c.interior / 2 * math.Pi / 180
		x, y := 20*math.Sin(half), 20*math.Cos(half)
		say(m, fmt.Sprintf("G1 X%.5f Y%.5f F3000\nX%.5f Y0\n", x, y, 2*x))
		lowest := math.Inf(1)
		for i := 0; i < 200000; i++ {
			m.Advance(0.0001)
			look := m.Look()
			if look.BoardMM.X > x/2 && look.BoardMM.X < 3*x/2 {
				lowest = min(lowest, look.SpeedMMS)
			}
			if look.State == "Idle" {
				break
			}
		}
		require.InEpsilon(t, c.speed, lowest, 0.01, "%v degrees", c.interior)
	}
}

func TestAReversalStopsAndAStraightJoinDoesNot(t *testing.T) {
	require.InEpsilon(t, 2.1, draw(t, lively(), "G1 X30 F3000\nX60\nX100").Seconds, 0.001)
	require.InEpsilon(t, 4.2, draw(t, lively(), "G1 X100 F3000\nX0").Seconds, 0.001)
}

func TestWithTooShortAQueueTheBoardKeepsWithinWhatItCanStop(t *testing.T) {
	// Fifteen moves of 0.1 mm, the one under way not counted whole, are what
	// it may need to stop: v²/2a = 1.4 … 1.5 mm.
	lines := []string{"F6000"}
	for i := range 2000 {
		lines = append(lines, fmt.Sprintf("G1 X%.1f", float64(i+1)/10))
	}
	setup := lively()
	setup.Board.RateMMPerMin = [2]float64{6000, 6000}
	d := draw(t, setup, lines...)
	mean := 200 / d.Seconds
	require.Greater(t, mean, 0.97*math.Sqrt(2*500*1.4))
	require.Less(t, mean, 1.03*math.Sqrt(2*500*1.5))
}

func TestSteppingIsNoFasterThanTheBoardCan(t *testing.T) {
	setup := lively()
	setup.Board.StepRateHz = 1000 // 10 mm/s at 100 steps/mm
	require.InEpsilon(t, 100.0/10+10.0/500, draw(t, setup, "G1 X100 F3000").Seconds, 0.001)
}

func TestTimesDoNotDependOnHowTimeIsCut(t *testing.T) {
	program := "G1 X30 Y5 F3000\nX31 Y6\nX31.2 Y6.5\nX20 Y30\nX23 Y26\nX20 Y20\n"
	whole := ready(t, lively())
	say(whole, program)
	whole.Advance(30)
	cut := ready(t, lively())
	say(cut, program)
	for range 30000 {
		cut.Advance(0.00037)
	}
	a, b := whole.Look(), cut.Look()
	require.Equal(t, "Idle", a.State)
	require.Equal(t, a.BoardMM, b.BoardMM)
	require.Equal(t, a.StylusMM, b.StylusMM)
	require.InEpsilon(t, a.EndedS-a.BeganS, b.EndedS-b.BeganS, 0.001)
}

// A feed hold brakes on the path, v²/2a long, and a resume ends where the line
// would have ended anyway.
func TestAHoldBrakesOnThePathAndLosesNothing(t *testing.T) {
	m := ready(t, lively())
	say(m, "G1 X100 F3000\nY50\n")
	m.Advance(1)
	before := m.Look()
	require.InDelta(t, 50, before.SpeedMMS, 0.001)
	say(m, "!")
	m.Advance(0.05)
	require.Equal(t, "Hold:1", m.Look().State)
	m.Advance(0.06)
	held := m.Look()
	require.Equal(t, "Hold:0", held.State)
	require.InDelta(t, 50.0*50/(2*500), held.BoardMM.X-before.BoardMM.X, 0.02)
	m.Advance(10)
	require.Equal(t, held.StylusMM, m.Look().StylusMM)
	say(m, "~")
	m.Advance(10)
	require.Equal(t, geom.Point{X: 100, Y: 50}, m.Look().BoardMM)
	require.Equal(t, "Idle", m.Look().State)
}

func TestAHoldNearACornerGoesRoundIt(t *testing.T) {
	setup := lively()
	setup.Board.CornerMM = 10
	m := ready(t, setup)
	say(m, "G1 X20 F3000\nY20\n")
	for m.Look().BoardMM.X < 19.5 {
		m.Advance(0.001)
	}
	say(m, "!")
	m.Advance(0.2)
	look := m.Look()
	require.Equal(t, "Hold:0", look.State)
	require.Equal(t, 20.0, look.BoardMM.X)
	require.Greater(t, look.BoardMM.Y, 0.5)
}

func TestAStarvedQueueStopsAtTheEndOfItsLastMove(t *testing.T) {
	m := ready(t, lively())
	say(m, "G1 X10 F3000\n")
	m.Advance(5)
	look := m.Look()
	require.Equal(t, geom.Point{X: 10}, look.BoardMM)
	require.Equal(t, 1, look.Stops)
	say(m, "G1 X20\n")
	m.Advance(5)
	require.Equal(t, 2, m.Look().Stops)
	require.Equal(t, geom.Point{X: 20}, m.Look().BoardMM)
}
