package gcode_test

import (
	"bytes"
	"context"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "wend/internal/repeatable"
	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/lower"
	"wend/runtime/machine"
	"wend/runtime/plan"
	"wend/runtime/simulator"
)

// drawn lets the simulated machine, whose motion and mechanics are its own,
// draw a file.
func drawn(t require.TestingT, p *machine.Profile, result *lower.Result, text string, secondsPerLine float64) simulator.Drawn {
	d, err := simulator.Draw(context.Background(), strings.NewReader(text), simulator.Setup{
		Board: simulator.Board{
			StepsPerMM:       [2]float64{p.Board.StepsPerMM.X, p.Board.StepsPerMM.Y},
			RateMMPerMin:     [2]float64{p.X.MaxSpeedMMS * 60, p.Y.MaxSpeedMMS * 60},
			AccelerationMMS2: [2]float64{p.X.MaxAccelerationMMS2, p.Y.MaxAccelerationMMS2},
			CornerMM:         p.Drawing.CornerDeviationMM, QueueMoves: p.Board.QueueMoves,
			LineS: secondsPerLine,
		},
		Mechanics: simulator.Mechanics{
			StepsPerMM:    [2]float64{p.Board.StepsPerMM.X, p.Board.StepsPerMM.Y},
			SlackMM:       [2]float64{p.X.SlackMM, p.Y.SlackMM},
			SquarenessDeg: p.Frame.SquarenessDeg,
			WidthMM:       p.Area.WidthMM, HeightMM: p.Area.HeightMM,
			StartMM: p.ToMachine(result.Stylus),
			GapMM:   [2]float64{float64(result.Gap.X) / p.StepsPerMM().X, float64(result.Gap.Y) / p.StepsPerMM().Y},
		},
	})
	require.NoError(t, err)
	return d
}

// A link that brings a line only so often must not let the queue run dry: then
// the board would stop between moves.
func TestASlowLinkNeverLetsTheQueueRunDry(t *testing.T) {
	p := machine.DeskToy()
	p.Board.Baud = 9600
	perLine := lower.LineBytes(p) / p.LinkBytesPerSecond()
	whole, sheet := sheetOf(append([]geom.Point{{}, {X: 90, Y: 50}}, circle(pt(70, 50), 20, 400)[1:]...)...)
	result, diagnostics, err := lower.Sheet(context.Background(), p, whole, sheet, lower.Options{})
	require.NoError(t, err)
	require.Len(t, diagnostics, 1) // that it is slow
	var text bytes.Buffer
	require.NoError(t, gcode.Write(context.Background(), &text, p, result.Instructions, gcode.Heading{}))
	slow := drawn(t, p, result, text.String(), perLine)
	free := drawn(t, p, result, text.String(), 0)
	t.Logf("planned %.2f s, drawn %.2f s, with a free link %.2f s; seconds by fill of the queue %.2f; stops %d", result.Seconds, slow.Seconds, free.Seconds, slow.FillS, slow.Stops)
	require.LessOrEqual(t, slow.Stops, 2)
	require.InEpsilon(t, slow.Seconds, result.Seconds, 0.02)
}

func TestNoMixOfLongAndShortMovesStarvesTheBoard(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := machine.DeskToy()
		p.Board.Baud = rapid.SampledFrom([]int{4800, 9600, 38400}).Draw(t, "baud")
		at := pt(70, 50)
		points := []geom.Point{at}
		heading := 0.0
		for range rapid.IntRange(1, 12).Draw(t, "runs") {
			length := rapid.SampledFrom([]float64{0.1, 0.3, 1, 5, 20}).Draw(t, "length")
			turn := rapid.Float64Range(0.1, 0.5).Draw(t, "turn")
			for range rapid.IntRange(1, 40).Draw(t, "count") {
				heading += turn
				s, c := math.Sincos(heading)
				next := at.Add(pt(c, s).Times(length))
				if !p.Page().Contains(next) {
					heading += 2.5
					continue
				}
				at = next
				points = append(points, at)
			}
		}
		if len(points) < 3 {
			return
		}
		sheet := &plan.Sheet{Points: points, Place: make([]uint32, len(points)-1)}
		whole := &plan.Plan{Places: make([]plan.Place, 1), Sheets: []*plan.Sheet{sheet}}
		result, _, err := lower.Sheet(context.Background(), p, whole, sheet, lower.Options{})
		require.NoError(t, err)
		var text bytes.Buffer
		require.NoError(t, gcode.Write(context.Background(), &text, p, result.Instructions, gcode.Heading{}))
		d := drawn(t, p, result, text.String(), lower.LineBytes(p)/p.LinkBytesPerSecond())
		require.LessOrEqual(t, d.Stops, 1) // at the end
		require.LessOrEqual(t, d.Seconds, 1.02*result.Seconds+0.01)
	})
}

// apart is the largest distance of points of one line from another.
func apart(p *machine.Profile, trace, line []geom.Point) float64 {
	most := 0.0
	for _, at := range trace {
		at = p.ToPage(at)
		nearest := math.Inf(1)
		for i := 1; i < len(line); i++ {
			a, u := line[i-1], line[i].Sub(line[i-1])
			along := max(0, min(1, at.Sub(a).Dot(u)/u.Dot(u)))
			nearest = min(nearest, at.Distance(a.Add(u.Times(along))))
		}
		most = max(most, nearest)
	}
	return most
}

func TestTheTimeOfTheBoardModelIsThatOfTheSimulatedMachine(t *testing.T) {
	star := []geom.Point{}
	for i := range 40 {
		sine, cosine := math.Sincos(float64(i) * 2.7)
		star = append(star, pt(70+40*cosine, 50+40*sine))
	}
	fine := circle(pt(70, 50), 30, 3000)
	for name, points := range map[string][]geom.Point{
		"line":            {pt(0, 0), pt(100, 0)},
		"star":            star,
		"circle":          circle(pt(70, 50), 40, 300),
		"small circle":    circle(pt(70, 50), 1, 60),
		"fine circle":     fine,
		"square":          {pt(10, 10), pt(60, 10), pt(60, 60), pt(10, 60), pt(10, 10)},
		"short reversals": {pt(10, 10), pt(10.5, 10), pt(10.1, 10), pt(10.6, 10), pt(10.2, 10.3), pt(30, 10)},
	} {
		for _, compensate := range []bool{false, true} {
			p := machine.DeskToy()
			whole, sheet := sheetOf(points...)
			result, text := written(t, p, whole, sheet, lower.Options{Compensate: compensate})
			d := drawn(t, p, result, text, 0)
			require.Empty(t, d.Contacts)
			t.Logf("%-16s compensated %-5v planned %7.3f s, simulated %7.3f s (%+.2f %%), bound %7.3f s", name, compensate, result.Seconds, d.Seconds, 100*(result.Seconds/d.Seconds-1), result.BoundSeconds)
			require.InEpsilon(t, d.Seconds, result.Seconds, 0.02, name)
			require.GreaterOrEqual(t, d.Seconds, result.BoundSeconds-0.002)
		}
	}
}

func TestTheSimulatedStylusStaysOnTheLineOnceSlackIsMadeUpFor(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := machine.DeskToy()
		p.X.SlackMM = rapid.Float64Range(0, 2).Draw(t, "x slack")
		p.Y.SlackMM = rapid.Float64Range(0, 2).Draw(t, "y slack")
		p.Frame.SquarenessDeg = rapid.SampledFrom([]float64{90, 89, 91}).Draw(t, "squareness")
		points := wander(t, p.Page())
		sheet := &plan.Sheet{Points: points, Place: make([]uint32, len(points)-1)}
		whole := &plan.Plan{Places: make([]plan.Place, 1), Sheets: []*plan.Sheet{sheet}}
		if len(points) < 2 {
			return
		}
		result, text := written(t, p, whole, sheet, lower.Options{Compensate: true})
		d := drawn(t, p, result, text, 0)
		require.Empty(t, d.Contacts)
		require.LessOrEqual(t, apart(p, d.Trace, points), p.Drawing.ToleranceMM+p.X.ResolutionMM()*math.Sqrt2)
		if len(result.Moves) > 0 {
			end := p.ToPage(d.Trace[len(d.Trace)-1])
			require.LessOrEqual(t, end.Distance(points[len(points)-1]), 0.03)
		}
	})
}

// Slack B leaves a flat of √(2 r B - B²) where a circle of radius r reverses
// an axis, and the circle smaller by B along each axis (elementary geometry).
func TestSlackShowsOnACircleUntilItIsMadeUpFor(t *testing.T) {
	p := machine.DeskToy()
	p.X.SlackMM, p.Y.SlackMM = 1, 1
	line := circle(pt(70, 50), 40, 2000)
	whole, sheet := sheetOf(append(append([]geom.Point{}, line...), line[1:]...)...) // a lap to take up, a lap to measure
	for _, compensate := range []bool{false, true} {
		result, text := written(t, p, whole, sheet, lower.Options{Compensate: compensate})
		d := drawn(t, p, result, text, 0)
		deviation := apart(p, d.Trace, line)
		second := geom.Bounds(d.Trace[len(d.Trace)/2:])
		t.Logf("compensated %v: deviation %.3f mm, width %.3f, height %.3f", compensate, deviation, second.Width(), second.Height())
		if compensate {
			require.Less(t, deviation, 0.035)
			require.InDelta(t, 80, second.Width(), 0.03)
			continue
		}
		require.Greater(t, deviation, 0.4)
		require.InDelta(t, 79, second.Width(), 0.03)
		require.InDelta(t, 79, second.Height(), 0.03)
	}
}
