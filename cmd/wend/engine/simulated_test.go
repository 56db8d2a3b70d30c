package engine_test

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/cmd/wend/engine"
	_ "wend/internal/repeatable"
	"wend/lang/source"
	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/lower"
	"wend/runtime/machine"
	"wend/runtime/plan"
	"wend/runtime/simulator"
)

// Whether slack is made up for.
const (
	plain       = false
	compensated = true
)

// simulated lowers a sheet and lets the simulated machine draw the text.
func simulated(t require.TestingT, p *machine.Profile, drawn *plan.Plan, sheet *plan.Sheet, compensate bool) (*lower.Result, simulator.Drawn) {
	ctx := context.Background()
	result, list, err := lower.Sheet(ctx, p, drawn, sheet, lower.Options{Compensate: compensate})
	require.NoError(t, err)
	require.False(t, list.Failed(), "%v", list)
	var text bytes.Buffer
	require.NoError(t, gcode.Write(ctx, &text, p, result.Instructions, gcode.Heading{}))
	made, err := simulator.Draw(ctx, &text, engine.Simulated(p, sheet.Points[0], result.Gap))
	require.NoError(t, err)
	for i, at := range made.Trace {
		made.Trace[i] = p.ToPage(at)
	}
	return result, made
}

// kept is what the stylus may be off by: the tolerance, and one step each way.
func kept(p *machine.Profile) float64 {
	return p.Drawing.ToleranceMM + geom.Point{X: p.X.ResolutionMM(), Y: p.Y.ResolutionMM()}.Length()
}

func readFile(_, name string) (*source.File, error) {
	text, err := os.ReadFile(name)
	return source.New(name, string(text)), err
}

// On every example: the time of the board model is within 2 % of the simulated
// machine's, whose motion is integrated in small time steps; never below the
// bound of a planner that sees the whole line; and the stylus is where the
// plan says.
func TestEveryExampleIsDrawnAsPlannedAndInTheTimeThatWasSaid(t *testing.T) {
	examples, err := filepath.Glob("../../../examples/*.wend")
	require.NoError(t, err)
	require.NotEmpty(t, examples)
	for _, name := range examples {
		t.Run(strings.TrimSuffix(filepath.Base(name), ".wend"), func(t *testing.T) {
			file, err := readFile("", name)
			require.NoError(t, err)
			p := machine.DeskToy()
			program, list := engine.Load(file, engine.Settings{Profile: p, Read: readFile})
			require.NotNil(t, program, "%v", list)
			plan, list := program.Draw(context.Background())
			require.False(t, list.Failed(), "%v", list)
			gap := machine.Gap{}
			for i, sheet := range plan.Sheets {
				var text bytes.Buffer
				known, list := program.Lower(context.Background(), plan, i, gap, &text)
				require.False(t, list.Failed(), "%v", list)
				gap = known.EndGap
				as, list := program.Simulate(context.Background(), plan, i, known, text.Bytes())
				require.Empty(t, list)
				_, without := simulated(t, p, plan, sheet, plain)
				before, mean := simulator.Deviation(sheet.Points, without.Trace)
				t.Logf("deviation %.3f mm (mean %.3f), without compensation %.3f mm (mean %.3f); %.2f s said, %.2f s drawn (%+.2f %%), bound %.2f s",
					as.LargestMM, as.MeanMM, before, mean, known.Seconds, as.Seconds, 100*(known.Seconds/as.Seconds-1), known.BoundSeconds)
				require.InEpsilon(t, as.Seconds, known.Seconds, 0.02)
				require.GreaterOrEqual(t, as.Seconds, known.BoundSeconds*0.999)
				require.LessOrEqual(t, as.LargestMM, kept(p))
				require.Greater(t, before, p.X.SlackMM/2)
				require.Zero(t, as.Contacts)
			}
		})
	}
}

// someProgram is a program of straight lines, reversals and arcs.
func someProgram(t *rapid.T) string {
	var text strings.Builder
	number := func(least, most float64, name string) float64 {
		return float64(int(rapid.Float64Range(least, most).Draw(t, name)*1000)) / 1000
	}
	fmt.Fprintf(&text, "begin %v, %v\n", number(50, 90, "x"), number(40, 60, "y"))
	for range rapid.IntRange(1, 25).Draw(t, "statements") {
		switch rapid.IntRange(0, 5).Draw(t, "kind") {
		case 0:
			fmt.Fprintf(&text, "reach %v, %v\n", number(0, 140, "x"), number(0, 100, "y"))
		case 1:
			fmt.Fprintf(&text, "turn %v\n", number(-180, 180, "degrees"))
		case 2:
			// There and back, often less far than the slack.
			fmt.Fprintf(&text, "ahead %v\nturn 180\nahead %v\n", number(0.01, 3, "there"), number(0.01, 3, "back"))
		case 3, 4:
			fmt.Fprintf(&text, "arc %v, %v\n", number(0.2, 8, "radius"), number(-360, 360, "degrees"))
		default:
			fmt.Fprintf(&text, "ahead %v\n", number(0.1, 8, "length"))
		}
	}
	return text.String()
}

func TestWithAnySlackTheStylusStaysOnTheLineOfAnyProgram(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := machine.DeskToy()
		p.X.SlackMM = rapid.Float64Range(0, 2).Draw(t, "x slack")
		p.Y.SlackMM = rapid.Float64Range(0, 2).Draw(t, "y slack")
		p.Frame.SquarenessDeg = rapid.SampledFrom([]float64{90, 90, 89, 91.3}).Draw(t, "squareness")
		program, list := engine.Load(source.New("any.wend", someProgram(t)), engine.Settings{Profile: p})
		require.NotNil(t, program, "%v", list)
		plan, list := program.Draw(context.Background())
		if list.Failed() {
			return // it leaves the page, or draws nothing
		}
		sheet := plan.Sheets[0]
		result, made := simulated(t, p, plan, sheet, compensated)
		largest, _ := simulator.Deviation(sheet.Points, made.Trace)
		require.LessOrEqual(t, largest, kept(p))
		require.Empty(t, made.Contacts)
		page := p.Page().Grow(kept(p))
		for _, at := range made.Trace {
			require.True(t, page.Contains(at), "the stylus left the page, to %v", at)
		}
		// The walls are the area's; the motors keep inside them too.
		area := p.AreaBox().Grow(p.X.ResolutionMM() / 2)
		for _, move := range result.Moves {
			require.True(t, area.Contains(p.AtSteps(move.To)), "the motors left the area, to %v", p.AtSteps(move.To))
		}
	})
}

// A line that turns back by more than the slack shows all of it, unless it is
// made up for.
func TestWithoutCompensationTheDeviationShowsTheSlack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := machine.DeskToy()
		slack := rapid.Float64Range(0.1, 2).Draw(t, "slack")
		p.X.SlackMM, p.Y.SlackMM = slack, slack
		far := rapid.Float64Range(5, 60).Draw(t, "far")
		sheet := &plan.Sheet{Points: []geom.Point{{X: 10, Y: 20}, {X: 10 + far, Y: 20}, {X: 10 + far, Y: 20 + far}, {X: 10, Y: 20 + far}, {X: 10, Y: 20}}, Place: make([]uint32, 4)}
		whole := &plan.Plan{Places: make([]plan.Place, 1), Sheets: []*plan.Sheet{sheet}}
		_, made := simulated(t, p, whole, sheet, plain)
		largest, _ := simulator.Deviation(sheet.Points, made.Trace)
		require.Greater(t, largest, 0.9*slack)
		require.Less(t, largest, 1.5*slack+kept(p))
		_, made = simulated(t, p, whole, sheet, compensated)
		largest, _ = simulator.Deviation(sheet.Points, made.Trace)
		require.LessOrEqual(t, largest, kept(p))
	})
}

// Circular deviation as of ISO 230-4:2005 (from memory): the width of the ring
// that holds the path. Slack B, not made up for, narrows a steady lap by B each
// way, and its radius goes from B/2 too little to 0.394 B too much: a ring of
// 0.894 B for r = 50, B = 1 (elementary geometry).
func TestACircleIsRoundOnceSlackIsMadeUpFor(t *testing.T) {
	p := machine.DeskToy()
	for _, slack := range []float64{0.4, 1} {
		p.X.SlackMM, p.Y.SlackMM = slack, slack
		program, list := engine.Load(source.New("circle.wend", "begin 115, 50\nturn 90\narc 45, 720\n"), engine.Settings{Profile: p})
		require.NotNil(t, program, "%v", list)
		drawn, list := program.Draw(context.Background())
		require.False(t, list.Failed(), "%v", list)
		var rings [2]float64
		for i, compensate := range []bool{plain, compensated} {
			_, made := simulated(t, p, drawn, drawn.Sheets[0], compensate)
			box := geom.Bounds(made.Trace[len(made.Trace)/2:])
			center := box.Min.Mix(box.Max, 0.5)
			low, high := 1e9, 0.0
			for _, at := range made.Trace[len(made.Trace)/2:] {
				low, high = min(low, at.Distance(center)), max(high, at.Distance(center))
			}
			rings[i] = high - low
			t.Logf("slack %.1f mm, compensated %v: ring %.3f mm, width %.3f, height %.3f", slack, compensate, rings[i], box.Width(), box.Height())
		}
		require.InDelta(t, 0.894*slack, rings[0], 0.05*slack+0.02)
		require.Less(t, rings[1], kept(p))
	}
}
