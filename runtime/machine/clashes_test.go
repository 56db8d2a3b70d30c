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
