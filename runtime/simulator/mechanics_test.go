package simulator_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
	"wend/runtime/simulator"
)

// fine is a machine of 1000 steps/mm with room for a circle of radius 50 about
// (70, 60).
func fine(slack float64) simulator.Setup {
	setup := simulator.Setup{}
	setup.Board.StepsPerMM = [2]float64{1000, 1000}
	setup.Board.StepRateHz = 1e6
	setup.Mechanics = simulator.Mechanics{
		StepsPerMM: [2]float64{1000, 1000}, SlackMM: [2]float64{slack, slack},
		WidthMM: 150, HeightMM: 120, StartMM: geom.Point{X: 20, Y: 60}, GapMM: [2]float64{slack, 0},
	}
	return setup
}

// The signature of slack B on a circle of radius r in a steady lap: width and
// height 2r - B, a flat of √(2rB - B²) at each of the four reversals, and a
// distance from the commanded centre between -B/2 and +0.39389 mm off the
// radius for r = 50, B = 1 (elementary geometry of the play operator). ISO
// 230-4 calls the extremes of the radial deviation Fmax and Fmin.
func TestACircleShowsTheSignatureOfSlack(t *testing.T) {
	const r, slack = 50.0, 1.0
	setup := fine(slack)
	// Steps must be fine, since a circle is flat within a step of its top for
	// twice √(2r · step/2).
	setup.Board.StepsPerMM = [2]float64{1e5, 1e5}
	setup.Board.StepRateHz = 1e9
	setup.Mechanics.StepsPerMM = setup.Board.StepsPerMM
	m := ready(t, setup)
	goRound := func() {
		const chords = 6283
		for i := 1; i <= chords; i++ {
			angle := math.Pi + 2*math.Pi*float64(i)/chords
			say(m, fmt.Sprintf("G1 X%.5f Y%.5f F3600\n", r+r*math.Cos(angle), r*math.Sin(angle)))
			m.Await(10)
			require.Equal(t, "ok\r\n", string(m.Transmit()))
		}
		m.Advance(3)
	}
	goRound()
	require.Empty(t, m.Look().Contacts)
	around := m.Trace()
	goRound()
	lap := m.Trace()[len(around)-1:]
	box := geom.Bounds(lap)
	require.InDelta(t, 2*r-slack, box.Width(), 0.001)
	require.InDelta(t, 2*r-slack, box.Height(), 0.001)
	// The string stands half the slack ahead of where the stylus began.
	center := geom.Point{X: 20 - slack/2 + r, Y: 60 + slack/2}
	most, least := math.Inf(-1), math.Inf(1)
	for i := 1; i < len(lap); i++ {
		for part := range 100 {
			off := lap[i-1].Mix(lap[i], float64(part)/100).Distance(center) - r
			most, least = max(most, off), min(least, off)
		}
	}
	require.InDelta(t, 0.39389, most, 0.0005)
	require.InDelta(t, -0.5, least, 0.0005)
	flat := math.Sqrt(2*r*slack - slack*slack)
	require.InDelta(t, 9.94987, flat, 0.00001)
	for name, level := range map[string]float64{"top": box.Max.Y, "bottom": box.Min.Y} {
		longest := 0.0
		for i := 1; i < len(lap); i++ {
			if math.Abs(lap[i].Y-level) < 1e-9 && math.Abs(lap[i-1].Y-level) < 1e-9 {
				longest = max(longest, math.Abs(lap[i].X-lap[i-1].X))
			}
		}
		require.InDelta(t, flat, longest, 0.06, name)
	}
}

// Without slack the same circle is round.
func TestACircleWithoutSlackIsRound(t *testing.T) {
	var lines []string
	for i := 1; i <= 1440; i++ {
		sin, cos := math.Sincos(float64(i) * math.Pi / 720)
		lines = append(lines, fmt.Sprintf("G1X%.4fY%.4fF3600", 50-50*cos, -50*sin))
	}
	d := draw(t, fine(0), lines...)
	for _, p := range d.Trace {
		require.InDelta(t, 50, p.Distance(geom.Point{X: 70, Y: 60}), 0.0005+0.001)
	}
}

// The reversal value at a position: the mean of its approaches from below less
// that of those from above (the quantity ISO 230-2 names so).
func TestTheReversalValueIsTheSlack(t *testing.T) {
	setup := simulator.Setup{}
	setup.Mechanics.SlackMM = [2]float64{0.4, 0.25}
	setup.Mechanics.StartMM = geom.Point{X: 50, Y: 50}
	m := ready(t, setup)
	approach := func(line string) geom.Point {
		say(m, line)
		m.Advance(5)
		return m.Look().StylusMM
	}
	for _, place := range []int{5, 10, 15, 20, 25} {
		up := approach(fmt.Sprintf("G1 X%d Y%d F3000\n", place, place))
		approach(fmt.Sprintf("G1 X%d Y%d\n", place+3, place+3))
		down := approach(fmt.Sprintf("G1 X%d Y%d\n", place, place))
		approach("G1 X0 Y0\n")
		require.InDelta(t, 0.4, math.Abs(up.X-down.X), 1e-9)
		require.InDelta(t, 0.25, math.Abs(up.Y-down.Y), 1e-9)
	}
}

// A 1.8° motor has 200 full steps a turn (common practice, no source): at 32 mm
// a turn, 6.25 steps/mm and places 0.16 mm apart, rounding ±0.08.
func TestStepsPerMillimetreSayHowFarThingsMove(t *testing.T) {
	setup := simulator.Setup{}
	setup.Board.StepsPerMM = [2]float64{6.25, 6.25}
	setup.Mechanics.StepsPerMM = [2]float64{6.25, 6.25}
	m := ready(t, setup)
	for _, c := range []struct{ asked, went float64 }{{32, 32}, {0.16, 0.16}, {0.079, 0}, {0.081, 0.16}, {10, 10.08}} {
		say(m, fmt.Sprintf("G1 X%g F3000\n", c.asked))
		m.Advance(5)
		require.InDelta(t, c.went, m.Look().StylusMM.X, 1e-9)
	}
	// A board set to 1 % too many steps draws 1 % too long.
	setup.Board.StepsPerMM = [2]float64{101, 100}
	setup.Mechanics.StepsPerMM = [2]float64{100, 100}
	d := draw(t, setup, "G1 X100 Y100 F3000")
	require.InDelta(t, 101, d.Trace[len(d.Trace)-1].X, 1e-9)
	require.InDelta(t, 100, d.Trace[len(d.Trace)-1].Y, 1e-9)
}

func TestReversedMotorsAndMasksTurnTheOtherWay(t *testing.T) {
	for _, c := range []struct {
		reversed bool
		mask     int
		x        float64
	}{{false, 0, 60}, {true, 0, 40}, {false, 1, 40}, {true, 1, 60}, {true, 2, 40}} {
		setup := simulator.Setup{}
		setup.Mechanics.Reversed[simulator.X] = c.reversed
		setup.Mechanics.StartMM = geom.Point{X: 50, Y: 50}
		setup.Board.DirectionMask = c.mask
		m := ready(t, setup)
		say(m, "G1 X10 F3000\n")
		m.Advance(3)
		require.InDelta(t, c.x, m.Look().StylusMM.X, 1e-9)
	}
}

func TestCrookedAxesLean(t *testing.T) {
	setup := simulator.Setup{}
	setup.Mechanics.SquarenessDeg = 88
	setup.Mechanics.StartMM = geom.Point{X: 20, Y: 10}
	d := draw(t, setup, "G1 Y50 F3000")
	end := d.Trace[len(d.Trace)-1]
	require.InDelta(t, 20+50*math.Cos(88*math.Pi/180), end.X, 1e-9)
	require.InDelta(t, 10+50*math.Sin(88*math.Pi/180), end.Y, 1e-9)
	require.Len(t, d.Trace, 2)
}

func TestWallsHoldTheStylusAndAreRecorded(t *testing.T) {
	setup := simulator.Setup{}
	setup.Mechanics.StartMM = geom.Point{X: 100, Y: 50}
	m := ready(t, setup)
	say(m, "G1 X60 Y10 F3000\n")
	m.Advance(5)
	look := m.Look()
	require.Equal(t, geom.Point{X: 150, Y: 60}, look.StylusMM)
	require.Len(t, look.Contacts, 1)
	require.Equal(t, simulator.X, look.Contacts[0].Axis)
	require.True(t, look.Contacts[0].Beyond)
	require.InDelta(t, 10, look.Contacts[0].OverrunMM, 1e-6)
	// The string slipped: on the way back the stylus comes up short.
	say(m, "G1 X0 Y0\n")
	m.Advance(5)
	look = m.Look()
	require.InDelta(t, 90, look.StylusMM.X, 1e-9)
	require.Len(t, look.Contacts, 1)
	say(m, "G1 Y-60\nY0\nY-70\n")
	m.Advance(20)
	require.Len(t, m.Look().Contacts, 3)
	require.False(t, m.Look().Contacts[1].Beyond)
}

func TestStandingAtAWallIsNoContact(t *testing.T) {
	m := ready(t, simulator.Setup{})
	say(m, "G1 X20 Y20 F3000\nX0 Y0\nX20\nX0 Y0\n")
	m.Advance(20)
	require.Empty(t, m.Look().Contacts)
	require.Equal(t, geom.Point{}, m.Look().StylusMM)
}

func TestAMotorTooWeakForASpeedLosesSteps(t *testing.T) {
	setup := lively()
	setup.Mechanics.PullOutMMS = [2]float64{30, 0}
	d := draw(t, setup, "G1 X50 F1500")
	require.InDelta(t, 51, d.Trace[len(d.Trace)-1].X, 1e-9)
	d = draw(t, setup, "G1 X50 F2400")
	require.Less(t, d.Trace[len(d.Trace)-1].X, 10.0)
}

// Points left out of the trace leave the line where it was.
func TestTheTraceOfAStraightLineIsItsEnds(t *testing.T) {
	setup := simulator.Setup{}
	setup.Mechanics.StartMM = geom.Point{X: 8, Y: 8}
	d := draw(t, setup, "G92 X8 Y8", "G1 X50 Y20 F3000", "X92 Y32", "X20 Y100", "G1 X100.5")
	require.Equal(t, []geom.Point{{X: 8, Y: 8}, {X: 92, Y: 32}, {X: 20, Y: 100}, {X: 100.5, Y: 100}}, d.Trace)
}

func TestSlackShowsAtTheVeryPlaceOfAReversal(t *testing.T) {
	setup := simulator.Setup{}
	setup.Mechanics.SlackMM = [2]float64{0.4, 0}
	d := draw(t, setup, "G1 X10 Y10 F3000", "X0 Y20")
	require.Len(t, d.Trace, 4)
	require.InDelta(t, 10, d.Trace[2].X, 0.011)
	require.InDelta(t, 10.4, d.Trace[2].Y, 0.011)
	require.InDelta(t, 0.4, d.Trace[3].X, 1e-9)
}
