package link_test

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/machine"
	"wend/runtime/simulator"
)

// Run with -campaign 1000 for the whole campaign.
var campaignRuns = flag.Int("campaign", 160, "how many seeded runs with faults are made")

// fault is one thing that can go wrong, at some time of a run.
type fault struct {
	name string
	// corrupts tells that bytes to the board are changed: the one kind of
	// fault that can put a wrong number into a sound line.
	corrupts bool
	// mechanical tells that the board's count itself is no longer true, which
	// nobody but an operator who looks can know.
	mechanical bool
	// kills tells that the sending process is no more, or its cable: what the
	// motors do after that is measured.
	kills bool
	// early faults happen before the drawing begins.
	early bool
	apply func(b *bench, r *rand.Rand)
}

func faultKinds() []fault {
	noise := func(r *rand.Rand, harm int) simulator.Noise {
		n := simulator.Noise{Seed: r.Uint64()}
		p := math.Pow(10, -1.5-2.5*r.Float64()) // 3 % … 0.01 % of the bytes
		switch harm {
		case 0:
			n.Lose = p
		case 1:
			n.Double = p
		default:
			n.Garble = p
		}
		return n
	}
	return []fault{
		{name: "none", apply: func(*bench, *rand.Rand) {}},
		{name: "answers late", apply: func(b *bench, r *rand.Rand) { b.sim.DelayAnswers(r.Float64() * r.Float64() * 2) }},
		{name: "lines slow", apply: func(b *bench, r *rand.Rand) { b.sim.DelayLines(r.Float64() * 0.05) }},
		{name: "reset", apply: func(b *bench, _ *rand.Rand) { b.sim.PowerCycle() }},
		{name: "silent reset", apply: func(b *bench, _ *rand.Rand) { b.sim.PowerCycleQuietly() }},
		{name: "alarm", apply: func(b *bench, r *rand.Rand) { b.sim.Alarm(1 + r.IntN(9)) }},
		{name: "cable out", kills: true, apply: func(b *bench, _ *rand.Rand) { b.sim.Unplug() }},
		{name: "process killed", kills: true, apply: func(b *bench, _ *rand.Rand) { b.dead = true }},
		{name: "disk full", apply: func(b *bench, r *rand.Rand) { b.files.fullIn = r.IntN(3) }},
		{name: "board scale changed", early: true, apply: func(b *bench, r *rand.Rand) { b.sim.Set(100+r.IntN(2), 50+200*r.Float64()) }},
		{name: "board scale changed in motion", corrupts: true, apply: func(b *bench, r *rand.Rand) { b.sim.Set(100+r.IntN(2), 50+200*r.Float64()) }},
		{name: "steps lost", mechanical: true, apply: func(b *bench, r *rand.Rand) {
			b.sim.LoseSteps(simulator.Axis(r.IntN(2)), int64(r.IntN(100)-50))
		}},
		{name: "knob turned", mechanical: true, apply: func(b *bench, r *rand.Rand) { b.sim.TurnKnob(simulator.Axis(r.IntN(2)), 2*r.Float64()-1) }},
		{name: "bytes from the board lost", apply: func(b *bench, r *rand.Rand) { b.sim.DisturbToHost(noise(r, 0)) }},
		{name: "bytes from the board doubled", apply: func(b *bench, r *rand.Rand) { b.sim.DisturbToHost(noise(r, 1)) }},
		{name: "bytes from the board garbled", apply: func(b *bench, r *rand.Rand) { b.sim.DisturbToHost(noise(r, 2)) }},
		{name: "bytes to the board lost", corrupts: true, apply: func(b *bench, r *rand.Rand) { b.sim.DisturbToBoard(noise(r, 0)) }},
		{name: "bytes to the board doubled", corrupts: true, apply: func(b *bench, r *rand.Rand) { b.sim.DisturbToBoard(noise(r, 1)) }},
		{name: "bytes to the board garbled", corrupts: true, apply: func(b *bench, r *rand.Rand) { b.sim.DisturbToBoard(noise(r, 2)) }},
	}
}

// killed ends the sending side in the middle of whatever it does.
type killed struct{}

// wander is a random drawing, in machine mm: straight lines and short pieces
// of curves, up to the edges of the area.
func wander(r *rand.Rand, from geom.Point) string {
	var out strings.Builder
	out.WriteString("G21 G90 G94 G17\n")
	at := from
	to := func(p geom.Point, feed int) {
		at = geom.Point{X: min(150, max(0, p.X)), Y: min(110, max(0, p.Y))}
		fmt.Fprintf(&out, "G1 X%s Y%s F%d (line %d)\n", number(at.X), number(at.Y), feed, 1+r.IntN(99))
	}
	for range 3 + r.IntN(4) {
		feed := 600 + r.IntN(3000)
		switch r.IntN(3) {
		case 0:
			to(geom.Point{X: 150 * r.Float64(), Y: 110 * r.Float64()}, feed)
		case 1:
			to(geom.Point{X: float64(r.IntN(2)) * 150, Y: 110 * r.Float64()}, feed)
		default:
			turn := 0.1 * (r.Float64() - 0.5)
			heading := 2 * math.Pi * r.Float64()
			for range 20 + r.IntN(80) {
				heading += turn
				to(at.Add(geom.Point{X: math.Cos(heading), Y: math.Sin(heading)}.Times(0.3+0.7*r.Float64())), feed)
			}
		}
	}
	out.WriteString("M2\n")
	return out.String()
}

// ideal is the line that a text asks for.
func ideal(t testing.TB, text string, from geom.Point) []geom.Point {
	line := []geom.Point{from}
	_, list := gcode.Read("ideal", text, gcode.Settings{Start: from}, func(m *gcode.Motion) { line = append(line, m.To) })
	require.False(t, list.Failed())
	return line
}

// farthest is how far a line goes from another: the largest distance of its
// vertices, and of points between them, from the other.
func farthest(line, from []geom.Point) float64 {
	most := 0.0
	for i, p := range line {
		q := p
		if i+1 < len(line) {
			q = line[i+1]
		}
		pieces := max(1, int(p.Distance(q)/2))
		for k := range pieces {
			most = max(most, distanceTo(p.Mix(q, float64(k)/float64(pieces)), from))
		}
	}
	return most
}

func distanceTo(p geom.Point, line []geom.Point) float64 {
	least := math.Inf(1)
	for i, a := range line {
		least = min(least, geom.SegmentDistance(a, line[min(i+1, len(line)-1)], p))
	}
	return least
}

// result is what a run came to.
type result struct {
	outcome   link.Outcome
	err       error
	contacts  int
	offMM     float64 // how far the line went off the one asked for
	missingMM float64 // how far the line asked for is from the one drawn
	apartMM   float64 // of the stated place from the true one
	afterS    float64 // motion after the fault
	killed    bool
	mended    int
	faults    []string
}

// aStep is how far drawing in whole steps may be off, each axis by itself, cut
// pieces included, in mm.
const aStep = 0.0151

func run(t testing.TB, seed uint64, f fault) result {
	r := rand.New(rand.NewPCG(seed, 3))
	b := newBench(t, func(p *machine.Profile, s *simulator.Setup) {
		// Without slack the stylus shows what the motors did.
		p.X.SlackMM, p.Y.SlackMM = 0, 0
		s.Mechanics.SlackMM = [2]float64{}
		s.Mechanics.StartMM = geom.Point{X: 5 + float64(r.IntN(14000))/100, Y: 5 + float64(r.IntN(10000))/100}
	})
	var res result
	before := f.early && r.IntN(2) == 0
	if before {
		f.apply(b, r)
	}
	l, err := b.connect()
	if err != nil {
		res.err = err
		return res
	}
	require.NoError(t, l.Declare(context.Background(), b.stylus()))
	if err := l.Arm(); before {
		require.Error(t, err)
		_, res.outcome.At, res.outcome.Certainty = l.Where()
		res.apartMM, res.err = res.outcome.At.Distance(b.stylus()), err
		return res
	}
	if f.early {
		f.apply(b, r)
	}
	start := b.sim.Look().StylusMM
	text := wander(r, start)
	want := ideal(t, text, start)
	at := b.sim.Now() + 0.05 + 6*r.Float64()
	struck := math.Inf(1)
	if f.early {
		at = math.Inf(1)
	}
	b.sim.At(at, func(*simulator.Machine) {
		struck = b.sim.Now()
		f.apply(b, r)
	})
	op := &script{now: b.now, stays: true, limit: 1000}
	if r.IntN(3) == 0 {
		hold := b.sim.Now() + 5*r.Float64()
		op.at = append(op.at, timedWish{hold, link.Toggle}, timedWish{hold + 0.2 + r.Float64(), link.Toggle})
	}
	if r.IntN(4) == 0 {
		op.at = append(op.at, timedWish{b.sim.Now() + 6*r.Float64(), link.Stop})
		slices.SortFunc(op.at, func(a, b timedWish) int { return int(math.Copysign(1, a.seconds-b.seconds)) })
	}
	// Somebody who is asked goes on after a while.
	op.after = func(s *script) {
		s.at = append(s.at, timedWish{b.sim.Now() + 0.5, link.GoOn})
	}
	func() {
		defer func() {
			if cause := recover(); cause != nil {
				if _, ok := cause.(killed); !ok {
					panic(cause)
				}
				res.killed = true
			}
		}()
		res.outcome, res.err = l.Draw(context.Background(), link.Job{Name: "wander", Text: text}, op)
	}()
	for range 400 {
		if b.sim.Look().Moves == 0 || strings.HasPrefix(b.sim.Look().State, "Hold") {
			break
		}
		b.sim.Advance(0.05)
	}
	look := b.sim.Look()
	res.contacts = len(look.Contacts)
	res.mended = res.outcome.Mended
	for _, f := range op.mended {
		res.faults = append(res.faults, f.Error())
	}
	res.afterS = look.EndedS - struck
	trace := b.sim.Trace()
	res.offMM = farthest(trace, want)
	if res.outcome.Complete {
		res.missingMM = farthest(want, trace)
	}
	if res.outcome.Certainty != link.Lost {
		res.apartMM = res.outcome.At.Distance(b.profile.ToPage(look.StylusMM))
	}
	return res
}

// kindResult sums up the runs with one kind of fault.
type kindResult struct {
	runs, complete, stopped, lost, mended, contacts, silent int
	offMM, afterS, silentMM                                 float64
}

func TestEveryRunWithFaultsEndsTruly(t *testing.T) {
	kinds := faultKinds()
	sums := make([]kindResult, len(kinds))
	for i := range *campaignRuns {
		k := i % len(kinds)
		f := kinds[k]
		res := run(t, uint64(i), f)
		s := &sums[k]
		s.runs++
		s.mended += res.mended
		s.contacts += res.contacts
		s.offMM = max(s.offMM, res.offMM)
		if f.kills && res.killed || f.kills && res.outcome.Certainty == link.Lost {
			s.afterS = max(s.afterS, res.afterS)
		}
		where := fmt.Sprintf("run %d, %s: %+v", i, f.name, res)
		switch {
		case res.killed:
			s.lost++
		case res.outcome.Complete:
			s.complete++
			if wrong := max(res.offMM, res.missingMM, res.apartMM); !f.mechanical && wrong > aStep {
				s.silent++
				s.silentMM = max(s.silentMM, wrong)
				if !f.corrupts {
					t.Errorf("complete, and %.3f mm off: %s", wrong, where)
				}
			}
		case res.outcome.Certainty == link.Lost:
			s.lost++
			require.Error(t, res.err, where)
		default:
			s.stopped++
			require.Error(t, res.err, where)
			if !f.mechanical && res.apartMM > aStep {
				s.silent++
				if !f.corrupts {
					t.Errorf("the stated place is %.3f mm from the true one: %s", res.apartMM, where)
				}
			}
		}
		if !f.corrupts && !f.mechanical {
			if res.contacts > 0 {
				t.Errorf("a wall was met: %s", where)
			}
			if !errors.Is(res.err, link.ErrStopped) && res.mended == 0 {
				// Motors that are stopped without braking coast past a corner.
				if allowed := map[string]float64{"alarm": 1.2, "reset": 1.2, "silent reset": 1.2}[f.name]; res.offMM > max(aStep, allowed) {
					t.Errorf("the line went off: %s", where)
				}
			}
		}
		if f.kills && (res.killed || res.outcome.Certainty == link.Lost) {
			if res.afterS > 1.05 {
				t.Errorf("the motors turned for long: %s", where)
			}
		}
	}
	for k, f := range kinds {
		s := sums[k]
		if s.runs > 0 {
			t.Logf("%-30s %4d runs: %4d complete, %4d stopped, %4d lost, %4d mended, %3d contacts, %3d silent errors of at most %.2f mm, line at most %6.2f mm off, motion after it %.2f s",
				f.name, s.runs, s.complete, s.stopped, s.lost, s.mended, s.contacts, s.silent, s.silentMM, s.offMM, s.afterS)
		}
	}
}
