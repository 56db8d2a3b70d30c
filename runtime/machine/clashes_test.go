package machine_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/diag"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

// A chord with a gap of δ to a circle of radius r is 2 √(2 r δ - δ²) long; at
// v = √(a r) it lasts as long on every circle (elementary geometry).
func TestCurvesTakeAsManyLinesWhateverTheirSize(t *testing.T) {
	p := machine.DeskToy()
	gap := p.FlattenToleranceMM() + p.SimplifyToleranceMM()
	for _, r := range []float64{1, 5, 9} { // beyond 9 mm the speed of 60 mm/s is reached
		chord := 2 * math.Sqrt(2*r*gap-gap*gap)
		require.InEpsilon(t, math.Sqrt(400*r)/chord, p.CurveLinesPerSecond(), 0.01)
	}
	require.Equal(t, 4.5, p.X.RunUpMM()) // 60² ÷ (2 × 400)
}

func TestFiguresThatClashAreSaidAndOthersAreNot(t *testing.T) {
	const lineBytes = 27
	require.Empty(t, machine.DeskToy().Clashes(lineBytes))
	for code, spoil := range map[diag.Code]func(*machine.Profile){
		"machine-link-slow":       func(p *machine.Profile) { p.Board.Baud = 9600 },
		"machine-speed-unreached": func(p *machine.Profile) { p.Y.MaxSpeedMMS = 250 },
		"machine-scale-unsure":    func(p *machine.Profile) { p.X.LineUncertaintyMM = 0.5 },
		"machine-board-rounds":    func(p *machine.Profile) { p.Board.StepsPerMM = geom.Point{X: 100.02, Y: 100} },
		"machine-page-leans":      func(p *machine.Profile) { p.Frame.SquarenessDeg = 86 },
		"machine-slack-lost":      func(p *machine.Profile) { p.Y.SlackMM = 0.004 },
	} {
		p := machine.DeskToy()
		spoil(p)
		list := p.Clashes(lineBytes)
		require.Len(t, list, 1, code)
		require.Equal(t, code, list[0].Code)
		require.False(t, list.Failed())
	}
}

// A corner of the reachable page is where the axes come to the edge of the area:
// the stylus is at x (1, 0) + y (cos θ, sin θ) (elementary geometry), and the
// motors may be half the slack and a step off that.
func TestThePageThatIsReachableEndsWhereTheMotorsWouldLeaveTheArea(t *testing.T) {
	for _, degrees := range []float64{81, 86, 87, 88, 89.9, 90, 90.1, 93, 98} {
		p := machine.DeskToy()
		p.Frame.SquarenessDeg = degrees
		box, page := p.Reachable(), p.Page()
		require.True(t, page.Contains(box.Min) && page.Contains(box.Max))
		sin, cos := math.Sincos(degrees * math.Pi / 180)
		room := math.Inf(1) // of the motors inside the area
		for _, corner := range []geom.Point{box.Min, box.Max, {X: box.Min.X, Y: box.Max.Y}, {X: box.Max.X, Y: box.Min.Y}} {
			at := p.ToMachine(corner)
			y := at.Y / sin
			x := at.X - y*cos
			for _, r := range []float64{x, p.Area.WidthMM - x, y, p.Area.HeightMM - y} {
				room = min(room, r-p.X.SlackMM/2-p.X.ResolutionMM())
			}
		}
		require.GreaterOrEqual(t, room, -1e-9, "%g", degrees)
		if box != page {
			require.InDelta(t, 0, room, 1e-9, "%g: nothing is given away", degrees)
		} else {
			require.Empty(t, p.Leaning())
		}
	}
	// At 86 degrees the top of the page is 105 cot 86° mm to the side.
	p := machine.DeskToy()
	p.Frame.SquarenessDeg = 86
	require.InDelta(t, 105/math.Tan(86*math.Pi/180)+0.2+0.01-5, p.Reachable().Min.X, 1e-9)
	p.Area.MarginMM = 8
	require.Empty(t, p.Leaning())
}
