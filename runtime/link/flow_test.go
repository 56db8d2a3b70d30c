package link_test

import (
	"bytes"
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/lower"
	"wend/runtime/machine"
	"wend/runtime/plan"
	"wend/runtime/simulator"
)

// rosette is a line of tight curves at the full tolerance, with two long
// straight ways, as instructions for a machine.
func rosette(t testing.TB, p *machine.Profile) (text string, seconds float64) {
	t.Helper()
	line := []geom.Point{{X: 20, Y: 20}, {X: 100, Y: 20}}
	// A chord of a circle of this radius stays within the tolerance.
	const radius = 12.0
	chord := 2 * math.Sqrt(2*radius*p.FlattenToleranceMM())
	n := int(math.Ceil(2 * math.Pi * radius / chord))
	for turn := range 6 {
		center := geom.Point{X: 70 + 20*math.Cos(float64(turn)), Y: 55 + 20*math.Sin(float64(turn))}
		for k := range n {
			a := 2 * math.Pi * float64(k) / float64(n)
			line = append(line, center.Add(geom.Point{X: math.Cos(a), Y: math.Sin(a)}.Times(radius)))
		}
	}
	line = append(line, geom.Point{X: 20, Y: 80})
	sheet := &plan.Sheet{Points: line, Place: make([]uint32, len(line)-1)}
	whole := &plan.Plan{Sheets: []*plan.Sheet{sheet}, Places: []plan.Place{{}}}
	lowered, list, err := lower.Sheet(context.Background(), p, whole, sheet, lower.Options{Compensate: true})
	require.NoError(t, err)
	require.False(t, list.Failed())
	var out bytes.Buffer
	require.NoError(t, gcode.Write(context.Background(), &out, p, lowered.Instructions, gcode.Heading{}))
	return out.String(), lowered.Seconds
}

func TestTheQueueOfTheBoardDoesNotRunDry(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*machine.Profile, *simulator.Setup)
		late   float64
		// starves tells that the motors must stand for want of moves.
		starves bool
	}{
		{name: "desk toy, 115200 baud", change: func(*machine.Profile, *simulator.Setup) {}},
		{name: "9600 baud", change: func(p *machine.Profile, s *simulator.Setup) { p.Board.Baud, s.Board.Baud = 9600, 9600 }},
		{name: "0.012 mm tolerance", change: func(p *machine.Profile, _ *simulator.Setup) { p.Drawing.ToleranceMM = 0.012 }},
		{name: "0.005 mm tolerance, 400 steps a mm", change: func(p *machine.Profile, s *simulator.Setup) {
			p.Drawing.ToleranceMM = 0.005
			p.X.LineMMPerMotorTurn, p.Y.LineMMPerMotorTurn = 8, 8
			p.Board.StepsPerMM = geom.Point{X: 400, Y: 400}
			s.Board.StepsPerMM, s.Mechanics.StepsPerMM = [2]float64{400, 400}, [2]float64{400, 400}
		}},
		{name: "answers 10 ms late", change: func(*machine.Profile, *simulator.Setup) {}, late: 0.01},
		{name: "answers 500 ms late", change: func(*machine.Profile, *simulator.Setup) {}, late: 0.5, starves: true},
	} {
		t.Run(c.name, func(t *testing.T) {
			start := geom.Point{X: 20, Y: 20}
			b := newBench(t, func(p *machine.Profile, s *simulator.Setup) {
				c.change(p, s)
				s.Mechanics.StartMM = p.ToMachine(start)
			})
			text, planned := rosette(t, b.profile)
			l := b.ready()
			b.sim.DelayAnswers(c.late)
			outcome, err := l.Draw(context.Background(), link.Job{Text: text}, &script{now: b.now})
			require.NoError(t, err)
			require.True(t, outcome.Complete)
			look := b.sim.Look()
			require.Zero(t, look.Overflow)
			require.Zero(t, outcome.Mended)
			took := look.EndedS - look.BeganS
			total := 0.0
			for _, s := range look.FillS {
				total += s
			}
			t.Logf("%d moves in %.2f s (planned %.2f s), stood %d times for want of moves, at most %.2f s ahead; share of the time by moves queued: %s",
				outcome.Moves, took, planned, look.Stops-1, outcome.MostFlightS, shares(look.FillS, total))
			if c.starves {
				require.Greater(t, took, 1.2*planned)
				require.Greater(t, look.Stops, 1)
				require.Positive(t, outcome.Starved)
				return
			}
			require.Equal(t, 1, look.Stops)
			require.Zero(t, outcome.Starved)
			require.Less(t, took, 1.08*planned)
		})
	}
}

func shares(fill []float64, total float64) string {
	var out bytes.Buffer
	for n, s := range fill {
		if s > 0 {
			out.WriteString(" " + number(float64(n)) + ":" + number(100*s/total) + "%")
		}
	}
	return out.String()
}

// How long a hold takes from the key to motors that stand, and how far they
// run meanwhile: braking from full speed takes v²/2a = 4.5 mm and v/a = 0.15 s.
func TestAHoldStopsWithinBrakingAndTheTurnOfALoop(t *testing.T) {
	mostS, mostMM := 0.0, 0.0
	for k := range 40 {
		b := newBench(t, func(p *machine.Profile, s *simulator.Setup) {
			p.X.SlackMM, p.Y.SlackMM = 0, 0
			s.Mechanics.SlackMM = [2]float64{}
		})
		l := b.ready()
		asked := b.sim.Now() + 1 + float64(k)*0.0137
		var at geom.Point
		b.sim.At(asked, func(*simulator.Machine) { at = b.sim.Look().StylusMM })
		op := &script{now: b.now, stays: true, at: []timedWish{{asked, link.Pause}, {asked + 2, link.Stop}}}
		_, err := l.Draw(context.Background(), link.Job{Text: "G21\nG1 X140 F3600\nY100\nX10\nM2\n"}, op)
		require.ErrorIs(t, err, link.ErrStopped)
		look := b.sim.Look()
		mostS = max(mostS, look.EndedS-asked)
		mostMM = max(mostMM, look.StylusMM.Distance(at))
	}
	t.Logf("from the key to a stand: at most %.3f s and %.2f mm", mostS, mostMM)
	require.Less(t, mostS, 0.15+0.02)
	require.Less(t, mostMM, 4.5+1.0)
}
