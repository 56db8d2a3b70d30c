package engine_test

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/cmd/wend/engine"
	"wend/lang/source"
	"wend/runtime/gate"
	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/machine"
	"wend/runtime/simulator"
)

// foreign are lines of instruction files made for machines of many kinds.
var foreign = []string{
	"G1 X20 Y20 F600", "G0 X40.5 Y7", "X60", "Y30.25", "g1x12y99", "G1 X150 Y110", "G1 X0 Y0", "G0 Y110", "X-1", "X151",
	"G2 X40 Y40 I10 J0", "G3 X30 Y50 R25", "G2 X30 Y50 R-40", "G3 I5 J5 X20", "G3 X20 Y20 I0 J8 K0", "F600", "G1 F1000", "G1",
	"G20", "G21", "G90", "G91", "G93", "G94", "G17", "G40 G49 G54 G80", "G64 P0.1", "G91.1", "G28", "G28 X0", "G53 G0 Z0", "G43 H1 Z5",
	"G92 X5 Y5", "G92 X0 Y0", "G92 Y1", "G92 E0", "G92.1", "G92.2", "G92.3", "G4 P0.5", "G4 P99999999", "M0", "M1", "M0 (MSG, look)",
	"M3 S1000", "M4 S30", "M5", "S0", "S200", "S30", "Z5", "G0 Z5", "G1 Z-1", "G1 X30 E1.5", "T1 M6", "M104 S200", "M117 hello", "M98 P3",
	"(a (b) c)", "; so", "/X33", "%", "", "N123456 X44 Y44", "G0.99999999999 X22", "G1 X1e1", "#1=2", "M2", "M30",
}

// One judgement: what is sound to whoever checks a file, the gate passes on
// without a word, from where the file begins to inside the area, and the machine
// draws the line within the tolerance of reading back.
func TestWhatIsSoundInAFileFromElsewhereIsDrawn(t *testing.T) {
	profiles := []*machine.Profile{machine.DeskToy(), skewed(88.6)}
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SampledFrom(profiles).Draw(t, "machine")
		text := "G1 F600\n" + strings.Join(rapid.SliceOfN(rapid.SampledFrom(foreign), 1, 12).Draw(t, "lines"), rapid.SampledFrom([]string{"\n", "\r", "\r\n"}).Draw(t, "end"))
		settings := engine.Settings{Profile: p, DrawTravel: true}
		program, list := engine.Trace(source.New("t.nc", text), settings)
		require.Equal(t, list.Failed(), program == nil)
		if program == nil {
			return
		}
		whole, list := program.Draw(context.Background())
		require.Empty(t, list)
		var lowered bytes.Buffer
		known, list := program.Lower(context.Background(), whole, 0, machine.Gap{}, &lowered)
		if list.Failed() {
			for _, d := range list {
				require.Equal(t, "motor-outside-area", string(d.Code), "%s: %v", text, d)
			}
			require.NotEqual(t, 90.0, p.Frame.SquarenessDeg, "%s: %v", text, list)
			return
		}
		start := link.MotorsAt(p, whole.Sheets[0].Points[0], known.Gap)
		survey, list := link.Look(p, gate.LimitsOf(p), "t.gcode", lowered.String(), start)
		require.Empty(t, list, text)
		require.True(t, p.AreaBox().Grow(1e-9).Contains(survey.Bounds.Min) && p.AreaBox().Grow(1e-9).Contains(survey.Bounds.Max))

		made, err := simulator.Draw(context.Background(), bytes.NewReader(lowered.Bytes()), engine.Simulated(p, whole.Sheets[0].Points[0], known.Gap))
		require.NoError(t, err)
		require.Empty(t, made.Contacts, text)
		trace := make([]geom.Point, len(made.Trace))
		for i, at := range made.Trace {
			trace[i] = p.ToPage(at)
		}
		off, _ := simulator.Deviation(whole.Sheets[0].Points, trace)
		require.Less(t, off, 2*p.ReadBackToleranceMM(true), text)
	})
}

// skewed is the desk toy with axes at an angle.
func skewed(degrees float64) *machine.Profile {
	p := machine.DeskToy()
	p.Frame.SquarenessDeg = degrees
	return p
}
