package link_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"wend/lang/diag"
	"wend/runtime/gate"
	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/machine"
	"wend/runtime/simulator"
)

func code(t testing.TB, err error) string {
	t.Helper()
	var fault *diag.Fault
	require.ErrorAs(t, err, &fault)
	return string(fault.Code)
}

func pt(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }

func TestANewSessionIsLostUntilSomebodySaysWhereTheStylusIs(t *testing.T) {
	ctx := context.Background()
	b := newBench(t, nil)
	l, err := b.connect()
	require.NoError(t, err)
	_, _, certainty := l.Where()
	require.Equal(t, link.Lost, certainty)
	require.Equal(t, link.Connected, l.Mode())
	require.Contains(t, l.WhyLost(), "nothing is remembered")
	require.Equal(t, "position-unconfirmed", code(t, l.Arm()))
	require.Equal(t, "position-lost", code(t, l.Confirm()))
	require.Equal(t, "position-outside", code(t, l.Declare(ctx, pt(900, 900))))
	require.NoError(t, l.Declare(ctx, b.stylus()))
	require.NoError(t, l.Arm())
	b.leave()

	// The next one remembers, but nobody has looked since.
	l, err = b.connect()
	require.NoError(t, err)
	_, at, certainty := l.Where()
	require.Equal(t, link.Assumed, certainty)
	require.InDelta(t, 0, at.Distance(b.stylus()), 0.0051)
	require.Equal(t, "position-unconfirmed", code(t, l.Arm()))
	require.NoError(t, l.Confirm())
	require.NoError(t, l.Arm())
	b.leave()

	// Another slack gives the steps another meaning.
	b.profile.X.SlackMM = 0.2
	l, err = b.connect()
	require.NoError(t, err)
	_, _, certainty = l.Where()
	require.Equal(t, link.Lost, certainty)
	require.Contains(t, l.WhyLost(), "profile has changed")
}

func TestOneProcessAtATimeHasAMachine(t *testing.T) {
	b := newBench(t, nil)
	b.ready()
	_, err := link.OpenMemory(b.files, "bench", b.profile)
	require.Equal(t, "machine-in-use", code(t, err))
	b.leave()
	m, err := link.OpenMemory(b.files, "bench", b.profile)
	require.NoError(t, err)
	m.Close()
}

func TestABoardThatIsSetOtherwiseIsNotArmed(t *testing.T) {
	ctx := context.Background()
	b := newBench(t, func(_ *machine.Profile, s *simulator.Setup) {
		s.Board.StepsPerMM = [2]float64{250, 100}
		s.Board.DirectionMask = 2
		s.Board.SoftLimits = true
		s.Board.CornerMM = 0.2
		s.Board.RateMMPerMin = [2]float64{3600, 1000}
		s.Board.AccelerationMMS2 = [2]float64{400, 20}
		s.Board.StartUp = [2]string{"", "G20"}
	})
	l, err := b.connect()
	require.NoError(t, err)
	require.NoError(t, l.Declare(ctx, pt(0, 0)))
	var names []string
	for _, m := range l.Mismatches() {
		names = append(names, m.Name+": "+m.Is+" / "+m.Should)
	}
	require.Equal(t, []string{
		"directions of the motors: 2 / 0", "corner deviation, mm: 0.2 / 0.05", "limits of its own: 1 / 0",
		"x steps per mm: 250 / 100", "y largest rate, mm/min: 1000 / 3600", "y acceleration, mm/s²: 20 / 400",
		"a line that it obeys after each reset: G20 / none",
	}, names)
	require.Equal(t, "board-settings-differ", code(t, l.Arm()))
	// Writing them is an act of its own, and they are read back.
	require.NoError(t, l.Settle(ctx, l.Mismatches()))
	require.Empty(t, l.Mismatches())
	require.NoError(t, l.Declare(ctx, pt(0, 0)))
	require.NoError(t, l.Arm())
}

func TestJogsStayOnThePageAndLostOnesAreShort(t *testing.T) {
	ctx := context.Background()
	b := newBench(t, func(_ *machine.Profile, s *simulator.Setup) { s.Mechanics.StartMM = pt(75, 55) })
	l, err := b.connect()
	require.NoError(t, err)
	op := &script{now: b.now}

	before := b.stylus()
	for range 8 {
		require.NoError(t, l.Jog(ctx, pt(0.5, 0), op))
	}
	require.InDelta(t, 4, b.stylus().X-before.X, 0.011)
	var refusal *gate.Refusal
	require.ErrorAs(t, l.Jog(ctx, pt(5, 0), op), &refusal)
	for range 52 {
		require.NoError(t, l.Jog(ctx, pt(0, 0.5), op))
	}
	require.ErrorAs(t, l.Jog(ctx, pt(0, 0.5), op), &refusal)
	l.AskedAgain()
	require.NoError(t, l.Jog(ctx, pt(0, -0.5), op))
	require.NoError(t, l.Jog(ctx, pt(0, -0.5), op))

	// After that the flanks are known: x ran last to larger places, y to smaller
	// ones.
	require.NoError(t, l.Declare(ctx, b.stylus()))
	at, _, _ := l.Where()
	require.Equal(t, machine.Gap{X: 0, Y: int32(b.profile.Y.SlackSteps())}, at.Gap)
	for _, by := range []geom.Point{pt(10, 0), pt(0, 20), pt(-30, -5), pt(0.4, 0), pt(-0.1, 0.1)} {
		before := b.stylus()
		require.NoError(t, l.Jog(ctx, by, op))
		require.InDelta(t, 0, b.stylus().Sub(before).Distance(by), 0.021, "%v", by)
		_, stated, _ := l.Where()
		require.InDelta(t, 0, b.stylus().Distance(stated), 0.011, "%v", by)
	}
	require.Equal(t, "position-outside", code(t, l.Jog(ctx, pt(200, 0), op)))
	require.Equal(t, link.Connected, l.Mode())
	require.Empty(t, b.sim.Look().Contacts)

	require.NoError(t, l.Arm())
	require.Equal(t, "machine-mode", code(t, l.Jog(ctx, pt(1, 0), op)))
	require.Equal(t, "machine-mode", code(t, l.Declare(ctx, pt(1, 1))))
}

func TestAWalkComesToItsPlaceAndStandsInTheSlackAsAskedFor(t *testing.T) {
	ctx := context.Background()
	b := newBench(t, func(_ *machine.Profile, s *simulator.Setup) { s.Mechanics.StartMM = pt(75, 55) })
	l := b.ready()
	for i, place := range []geom.Point{pt(20, 15), pt(120, 90), pt(0, 0), pt(140, 100), pt(139.9, 99.9), pt(139.9, 99.9), pt(0, 100), pt(70, 50), pt(70, 50)} {
		gap := []machine.Gap{{}, {X: 40}, {X: 40, Y: 40}, {Y: 13}, {X: 21, Y: 5}, {X: 20, Y: 39}}[i%6]
		to := link.Place{Steps: link.MotorsAt(b.profile, place, gap), Gap: gap}
		require.NoError(t, l.Walk(ctx, to, &script{now: b.now}))
		at, stated, _ := l.Where()
		require.Equal(t, to, at)
		require.InDelta(t, 0, stated.Distance(place), 0.008)
		require.InDelta(t, 0, b.stylus().Distance(place), 0.011)
		require.Equal(t, link.Armed, l.Mode())
	}
	require.Empty(t, b.sim.Look().Contacts)
}

func TestHoldResumeAndStopKeepThePosition(t *testing.T) {
	ctx := context.Background()
	b := newBench(t, nil)
	l := b.ready()
	from := l2mm(b, l)
	text := flower(b.profile, from)
	op := &script{now: b.now, stays: true}
	t0 := b.sim.Now()
	op.at = []timedWish{{t0 + 1, link.Toggle}, {t0 + 2, link.Toggle}, {t0 + 3, link.Pause}, {t0 + 4, link.GoOn}, {t0 + 5, link.Stop}}
	outcome, err := l.Draw(ctx, link.Job{Name: "flower", Text: text}, op)
	require.ErrorIs(t, err, link.ErrStopped)
	require.Len(t, op.holds, 2)
	require.Equal(t, link.Connected, outcome.Mode)
	require.Equal(t, link.Confirmed, outcome.Certainty)
	require.InDelta(t, 0, outcome.At.Distance(b.stylus()), 0.011)
	b.leave()

	// Another session goes on from there, after a look.
	l, err = b.connect()
	require.NoError(t, err)
	record := b.journal()
	require.True(t, record.Stopped)
	from2, err := l.GoOn(ctx, record, text, nil)
	require.NoError(t, err)
	require.Equal(t, outcome.Moves, from2.Drawn)
	require.NoError(t, l.Confirm())
	require.NoError(t, l.Arm())
	outcome, err = l.Draw(ctx, link.Job{Name: "flower", Text: text, From: from2}, &script{now: b.now})
	require.NoError(t, err)
	require.True(t, outcome.Complete)
	require.Nil(t, b.journal())
	require.Empty(t, b.sim.Look().Contacts)
}

// Moves shorter than the slack keep both axes off their flanks nearly all the
// time. Wherever the motors are stopped, what is remembered says where in its
// slack each axis stands: so the stylus is where it is said to be, goes on from
// there, and ends as if it had never been stopped.
func TestAStopInTheMiddleOfTheSlackIsRememberedToTheStep(t *testing.T) {
	ctx := context.Background()
	b := newBench(t, nil)
	var text strings.Builder
	text.WriteString("G21 G90\nG1 X30 Y30 F1200\n")
	for i := range 60 {
		sine, cosine := math.Sincos(float64(i) * 2.2)
		fmt.Fprintf(&text, "G1 X%.2f Y%.2f\n", 30+0.05*float64(i)+0.17*cosine, 30+0.03*float64(i)+0.15*sine)
	}
	text.WriteString("M2\n")
	job := link.Job{Name: "shaking", Text: text.String()}
	between := 0
	const stops = 10
	for round := range stops + 1 {
		l, err := b.connect()
		require.NoError(t, err)
		if r := b.journal(); r != nil {
			job.From, err = l.GoOn(ctx, r, job.Text, nil)
			require.NoError(t, err)
		} else {
			require.NoError(t, l.Declare(ctx, b.stylus()))
			require.NoError(t, l.Walk(ctx, link.Place{Steps: machine.Steps{X: 2500, Y: 2500}}, &script{now: b.now}))
		}
		at, _, _ := l.Where()
		require.NoError(t, l.Confirm())
		require.NoError(t, l.Arm())
		op := &script{now: b.now}
		if round < stops {
			op.at = []timedWish{{b.sim.Now() + 0.6 + 0.03*float64(round), link.Stop}}
		}
		outcome, err := l.Draw(ctx, job, op)
		if round < stops {
			require.ErrorIs(t, err, link.ErrStopped)
		} else {
			require.NoError(t, err)
		}
		require.InDelta(t, 0, outcome.At.Distance(b.stylus()), 0.011)
		if at.Gap.X > 0 && at.Gap.X < 40 && at.Gap.Y > 0 && at.Gap.Y < 40 {
			between++
		}
		b.leave()
	}
	require.Greater(t, between, 3)
}

// l2mm is where the motors stand, machine mm.
func l2mm(b *bench, l *link.Link) geom.Point {
	at, _, _ := l.Where()
	return b.profile.AtSteps(at.Steps)
}

func (b *bench) journal() *link.Record {
	m := link.Remember(b.files, "bench", b.profile)
	r, err := m.Journal()
	require.NoError(b.t, err)
	return r
}

func TestTwiceCtrlCLosesThePosition(t *testing.T) {
	b := newBench(t, nil)
	l := b.ready()
	op := &script{now: b.now}
	op.at = []timedWish{{b.sim.Now() + 1, link.Stop}, {b.sim.Now() + 1.05, link.StopHard}}
	outcome, err := l.Draw(context.Background(), link.Job{Text: flower(b.profile, l2mm(b, l))}, op)
	require.ErrorIs(t, err, link.ErrStopped)
	require.Equal(t, link.Lost, outcome.Certainty)
	require.Equal(t, link.Connected, outcome.Mode)
	// Nudges by hand go on from there.
	require.NoError(t, l.Jog(context.Background(), pt(0.2, 0), op))
}

func TestAPauseWaitsForTheOperator(t *testing.T) {
	b := newBench(t, nil)
	l := b.ready()
	text := "G21 G90\nG1 X20 Y20 F3000\nM0 (MSG,change the sheet)\nG1 X30 Y20\nM2\n"
	op := &script{now: b.now, stays: true}
	var stood geom.Point
	op.after = func(s *script) {
		stood = b.stylus()
		s.at = append(s.at, timedWish{b.sim.Now() + 7, link.GoOn})
	}
	before := b.sim.Now()
	outcome, err := l.Draw(context.Background(), link.Job{Text: text}, op)
	require.NoError(t, err)
	require.True(t, outcome.Complete)
	require.Equal(t, []string{"change the sheet"}, op.holds)
	require.InDelta(t, 0, stood.Distance(pt(14.8, 14.8)), 0.5)
	require.Greater(t, b.sim.Now()-before, 7.0)
	b.leave()

	l = b.ready()
	_, err = l.Draw(context.Background(), link.Job{Text: text}, &script{now: b.now})
	require.ErrorContains(t, err, "there is none")
	_, _, certainty := l.Where()
	require.Equal(t, link.Confirmed, certainty)
}

func TestWhatTheGateRefusesStopsBeforeAnythingMoves(t *testing.T) {
	b := newBench(t, nil)
	l := b.ready()
	_, err := l.Draw(context.Background(), link.Job{Name: "far.gcode", Text: "G21\nG1 X20 F600\nG1 X500\nM2\n"}, &script{now: b.now})
	var list diag.List
	require.ErrorAs(t, err, &list)
	require.Equal(t, diag.Code("gate-refused"), list[0].Code)
	require.Equal(t, "G1 X500", list[0].Span.Text())
	require.Less(t, b.sim.Look().BeganS, 0.0)
	require.Equal(t, link.Connected, l.Mode())
}

func TestArmingWearsOff(t *testing.T) {
	b := newBench(t, nil)
	l := b.ready()
	b.sim.Advance(299)
	require.Equal(t, link.Armed, l.Mode())
	b.sim.Advance(2)
	require.Equal(t, link.Connected, l.Mode())
	_, err := l.Draw(context.Background(), link.Job{Text: "M2\n"}, &script{now: b.now})
	require.Equal(t, "machine-mode", code(t, err))
}

// The process is killed while drawing. A board that keeps running still counts:
// the line goes on without a seam. One that is reset when the port is opened
// cannot say where it is: somebody must look.
func TestAKilledDrawingGoesOn(t *testing.T) {
	ctx := context.Background()
	for _, keeps := range []bool{true, false} {
		for _, at := range []float64{1.9, 3.3, 5.6, 7.723, 10.1} {
			b := newBench(t, func(p *machine.Profile, s *simulator.Setup) {
				s.Board.KeepsRunning = keeps
				p.X.SlackMM, p.Y.SlackMM = 0, 0
				s.Mechanics.SlackMM = [2]float64{}
				s.Mechanics.StartMM = pt(12, 9)
			})
			l := b.ready()
			start := b.sim.Look().StylusMM
			text := flower(b.profile, start)
			b.sim.At(b.sim.Now()+at, func(*simulator.Machine) { b.dead = true })
			require.Panics(t, func() { l.Draw(ctx, link.Job{Name: "flower", Text: text}, &script{now: b.now}) }) //nolint:errcheck // killed
			b.dead = false
			b.leave()

			record := b.journal()
			require.NotNil(t, record)
			require.False(t, record.Stopped)
			if wait := record.DrainedBy.Sub(b.now()); wait > 0 {
				require.Less(t, wait, 8*time.Second)
				b.sim.Advance(wait.Seconds())
			}
			require.Zero(t, b.sim.Look().Moves, "it has drained by the time that was written")
			l, err := b.connect()
			require.NoError(t, err)
			_, _, certainty := l.Where()
			require.Equal(t, link.Lost, certainty)
			from, err := l.GoOn(ctx, record, text, nil)
			if keeps {
				require.NoError(t, err)
				_, at, certainty := l.Where()
				require.Equal(t, link.Assumed, certainty)
				require.InDelta(t, 0, at.Distance(b.stylus()), 0.011)
			} else {
				require.Equal(t, "resume-uncertain", code(t, err))
				// What an eye sees is a little off.
				require.NoError(t, l.Declare(ctx, b.stylus().Add(pt(0.15, -0.1))))
				from, err = l.GoOn(ctx, record, text, nil)
				require.NoError(t, err)
			}
			require.NoError(t, l.Confirm())
			require.NoError(t, l.Arm())
			outcome, err := l.Draw(ctx, link.Job{Name: "flower", Text: text, From: from}, &script{now: b.now})
			require.NoError(t, err)
			require.True(t, outcome.Complete, "%v %v %+v %+v %+v", keeps, at, outcome, from, record)
			seam := 0.0151
			if !keeps {
				seam = 0.2 // how far the eye was off
			}
			trace, want := b.sim.Trace(), ideal(t, text, start)
			require.Less(t, farthest(want, trace), seam)
			require.Less(t, farthest(trace, want), seam)
			_, err = l.GoOn(ctx, record, text+" ", nil)
			require.Equal(t, "resume-differs", code(t, err))
		}
	}
}

// What a board said of its place when its port was opened is no place of the drawing
// any more once the motors were turned: nobody is led to a line where it is not.
func TestAWalkAfterConnectingIsNotTakenForThePlaceWhereALineWasLeft(t *testing.T) {
	ctx := context.Background()
	b := newBench(t, func(p *machine.Profile, s *simulator.Setup) {
		s.Board.KeepsRunning = true
		p.X.SlackMM, p.Y.SlackMM = 0, 0
		s.Mechanics.SlackMM = [2]float64{}
		s.Mechanics.StartMM = pt(12, 9)
	})
	l := b.ready()
	start := b.sim.Look().StylusMM
	text := flower(b.profile, start)
	b.sim.At(b.sim.Now()+3.3, func(*simulator.Machine) { b.dead = true })
	require.Panics(t, func() { l.Draw(ctx, link.Job{Name: "flower", Text: text}, &script{now: b.now}) }) //nolint:errcheck // killed
	b.dead = false
	b.leave()
	record := b.journal()
	b.sim.Advance(max(0, record.DrainedBy.Sub(b.now()).Seconds()))
	l, err := b.connect()
	require.NoError(t, err)
	left := b.stylus()
	require.NoError(t, l.Declare(ctx, left))
	away := left.Add(pt(20, 15))
	require.NoError(t, l.Walk(ctx, link.Place{Steps: link.MotorsAt(b.profile, away, machine.Gap{})}, &script{now: b.now}))
	_, err = l.GoOn(ctx, record, text, nil)
	require.Equal(t, "resume-uncertain", code(t, err))
	_, at, _ := l.Where()
	require.InDelta(t, 0, at.Distance(b.stylus()), 0.02)
	// Walked back, it stands on the line, by what somebody saw.
	require.NoError(t, l.Walk(ctx, link.Place{Steps: link.MotorsAt(b.profile, left, machine.Gap{})}, &script{now: b.now}))
	from, err := l.GoOn(ctx, record, text, nil)
	require.NoError(t, err)
	require.NoError(t, l.Confirm())
	require.NoError(t, l.Arm())
	out, err := l.Draw(ctx, link.Job{Name: "flower", Text: text, From: from}, &script{now: b.now})
	require.NoError(t, err)
	require.True(t, out.Complete)
}

func TestABoardThatSaysNothingIsReported(t *testing.T) {
	b := newBench(t, func(_ *machine.Profile, s *simulator.Setup) { s.Board.Quiet = true; s.Board.BootS = 1e6 })
	_, err := b.connect()
	require.Equal(t, "board-silent", code(t, err))
}

func TestABoardWithoutAGreetingIsReset(t *testing.T) {
	b := newBench(t, func(_ *machine.Profile, s *simulator.Setup) { s.Board.KeepsRunning = true })
	b.sim.Advance(2)
	l := b.ready()
	require.True(t, l.KeptRunning())
	outcome, err := l.Draw(context.Background(), link.Job{Text: "G21\nG1 X20 Y20 F1000\nM2\n"}, &script{now: b.now})
	require.NoError(t, err)
	require.True(t, outcome.Complete)
}

// Between two motions nobody listens to the board. One that was switched off
// and on meanwhile has lost its place: that is found before anything moves.
func TestABoardThatWasResetAtRestIsFoundOutBeforeItMoves(t *testing.T) {
	for name, reset := range map[string]func(*simulator.Machine){
		"with a greeting": (*simulator.Machine).PowerCycle,
		"without one":     (*simulator.Machine).PowerCycleQuietly,
	} {
		for _, delay := range []float64{0, 0.1, 0.4} {
			t.Run(fmt.Sprint(name, ", answers late by ", delay), func(t *testing.T) {
				ctx := context.Background()
				b := newBench(t, nil)
				l := b.ready()
				b.sim.DelayAnswers(delay)
				if delay > 0 {
					require.NoError(t, l.Walk(ctx, link.Place{Steps: machine.Steps{X: 4000, Y: 3000}}, &script{now: b.now}))
				}
				at, _, _ := l.Where()
				text := flower(b.profile, b.profile.AtSteps(at.Steps))
				reset(b.sim)
				b.sim.Advance(5)
				before := b.sim.Look().StylusMM
				_, err := l.Draw(ctx, link.Job{Name: "flower", Text: text}, &script{now: b.now})
				require.Error(t, err)
				require.Equal(t, before, b.sim.Look().StylusMM)
				_, _, certainty := l.Where()
				require.Equal(t, link.Connected, l.Mode())
				require.Equal(t, "board-restarted", code(t, err))
				require.Equal(t, link.Assumed, certainty)
				require.NoError(t, l.Confirm())
				if delay > 0 {
					require.NoError(t, l.Walk(ctx, at, &script{now: b.now}))
				}
				require.NoError(t, l.Arm())
				out, err := l.Draw(ctx, link.Job{Name: "flower", Text: text}, &script{now: b.now})
				require.NoError(t, err)
				require.True(t, out.Complete)
				require.InDelta(t, 95, b.stylus().X, 0.5)
			})
		}
	}
}

func TestAHoldThatNobodyEndsStopsTheDrawing(t *testing.T) {
	b := newBench(t, nil)
	l := b.ready()
	at, _, _ := l.Where()
	op := &script{now: b.now, at: []timedWish{{3, link.Pause}}}
	out, err := l.Draw(context.Background(), link.Job{Name: "flower", Text: flower(b.profile, b.profile.AtSteps(at.Steps))}, op)
	require.ErrorIs(t, err, link.ErrStopped)
	require.Equal(t, link.Confirmed, out.Certainty)
}

// After a stop without braking a board stands in an alarm, and takes nothing but
// what unlocks it. The next session does that, and the stylus can be nudged.
func TestABoardInAnAlarmIsUnlockedByTheNextSession(t *testing.T) {
	ctx := context.Background()
	b := newBench(t, nil)
	l := b.ready()
	at, _, _ := l.Where()
	op := &script{now: b.now, at: []timedWish{{3, link.StopHard}}}
	_, err := l.Draw(ctx, link.Job{Name: "flower", Text: flower(b.profile, b.profile.AtSteps(at.Steps))}, op)
	require.ErrorIs(t, err, link.ErrStopped)
	b.port.Close()
	b.files.release()
	b.sim.Alarm(1)
	l, err = b.connect()
	require.NoError(t, err)
	_, _, certainty := l.Where()
	require.Equal(t, link.Lost, certainty)
	before := b.stylus()
	require.NoError(t, l.Jog(ctx, pt(0.5, 0), &script{now: b.now}))
	require.InDelta(t, before.X+0.5, b.stylus().X, 0.41) // but for the slack
	require.NoError(t, l.Declare(ctx, b.stylus()))
	b.leave()

	// One that is remembered where it stood before the alarm is not any more.
	b.sim.Alarm(1)
	l, err = b.connect()
	require.NoError(t, err)
	_, _, certainty = l.Where()
	require.NotEqual(t, link.Confirmed, certainty)
}

// While somebody thinks about a pause nobody hears the board. One that was reset
// meanwhile has lost its place: it is sent nothing, however late its answers.
func TestABoardThatIsResetWhileItWaitsMovesNoFarther(t *testing.T) {
	for _, quietly := range []bool{false, true} {
		for k, delay := range []float64{0, 0.05, 0.1, 0.3, 0.6, 0, 0.05, 0.1, 0.3, 0.6} {
			thinks := []float64{0, 60}[k/5]
			b := newBench(t, nil)
			l := b.ready()
			b.sim.DelayAnswers(delay)
			at, _, _ := l.Where()
			mm := b.profile.AtSteps(at.Steps)
			text := fmt.Sprintf("G21 G90 G94\nG1 X%g Y%g F3600\nX140 Y100\nM0\nX139\nM2\n", mm.X, mm.Y)
			var stood geom.Point
			op := &script{now: b.now, stays: true, limit: 600}
			op.after = func(s *script) {
				if quietly {
					b.sim.PowerCycleQuietly()
				} else {
					b.sim.PowerCycle()
				}
				stood = b.sim.Look().StylusMM
				b.sim.Advance(thinks)
				s.at = []timedWish{{0, link.GoOn}}
			}
			out, err := l.Draw(context.Background(), link.Job{Name: "pause", Text: text}, op)
			require.Error(t, err)
			require.NotEmpty(t, op.holds)
			require.Equal(t, link.Lost, out.Certainty)
			require.Equal(t, stood, b.sim.Look().StylusMM, "quietly: %v, answers late by %g s, after %g s", quietly, delay, thinks)
		}
	}
}

// A board that stands where it counts from shows by its offset alone that it was
// not reset; on a wire with noise that is waited for.
func TestAResetAtTheBoardsOwnZeroIsSeenThroughNoise(t *testing.T) {
	wrong := 0
	for seed := range uint64(60) {
		b := newBench(t, nil)
		l := b.ready()
		l.Disarm()
		b.sim.DisturbToHost(simulator.Noise{Garble: 0.002, Seed: seed})
		b.sim.PowerCycle()
		b.sim.Advance(4)
		before := b.stylus()
		err := l.Jog(context.Background(), pt(1, 1), &script{now: b.now, limit: 600})
		moved := b.stylus().Sub(before)
		if err == nil {
			require.LessOrEqual(t, moved.Length(), 1.5, "seed %d", seed)
		} else if moved.Length() > 1.5 {
			wrong++
		}
	}
	require.Zero(t, wrong)
}

// An alarm that is heard at rest is one: nobody knows the position any more.
func TestAnAlarmAtRestLosesThePosition(t *testing.T) {
	b := newBench(t, nil)
	l := b.ready()
	b.sim.Alarm(1)
	b.sim.Advance(0.5)
	before := b.sim.Look().StylusMM
	at, _, _ := l.Where()
	_, err := l.Draw(context.Background(), link.Job{Name: "flower", Text: flower(b.profile, b.profile.AtSteps(at.Steps))}, &script{now: b.now})
	require.Error(t, err)
	_, _, certainty := l.Where()
	require.Equal(t, link.Lost, certainty)
	require.Equal(t, before, b.sim.Look().StylusMM)
	require.Empty(t, l.Mismatches())
}

// A stop during a nudge leaves a position that is lost, and nudges go on.
func TestANudgeThatIsStoppedIsFollowedByOthers(t *testing.T) {
	ctx := context.Background()
	b := newBench(t, nil)
	l, err := b.connect()
	require.NoError(t, err)
	err = l.Jog(ctx, pt(0.5, 0), &script{now: b.now, at: []timedWish{{0, link.Stop}}})
	require.ErrorIs(t, err, link.ErrStopped)
	_, _, certainty := l.Where()
	require.Equal(t, link.Lost, certainty)
	require.NoError(t, l.Jog(ctx, pt(0.5, 0), &script{now: b.now}))
	b.leave()
}

// What is moved by hand after a stop without braking leaves the drawing there to
// go on with.
func TestAJogAfterAHardStopKeepsTheDrawingToGoOnWith(t *testing.T) {
	ctx := context.Background()
	b := newBench(t, nil)
	l := b.ready()
	at, _, _ := l.Where()
	text := flower(b.profile, b.profile.AtSteps(at.Steps))
	_, err := l.Draw(ctx, link.Job{Name: "flower", Text: text}, &script{now: b.now, at: []timedWish{{4, link.StopHard}}})
	require.ErrorIs(t, err, link.ErrStopped)
	b.leave()
	l, err = b.connect()
	require.NoError(t, err)
	require.NoError(t, l.Jog(ctx, pt(0.2, 0), &script{now: b.now}))
	require.NoError(t, l.Jog(ctx, pt(-0.2, 0), &script{now: b.now}))
	record := b.journal()
	require.NotNil(t, record)
	require.NoError(t, l.Declare(ctx, b.stylus()))
	from, err := l.GoOn(ctx, record, text, nil)
	require.NoError(t, err)
	require.NoError(t, l.Confirm())
	require.NoError(t, l.Arm())
	out, err := l.Draw(ctx, link.Job{Name: "flower", Text: text, From: from}, &script{now: b.now})
	require.NoError(t, err)
	require.True(t, out.Complete)
	require.Nil(t, b.journal())
}

// A cable that comes out while somebody thinks about a pause is found when the
// drawing is to go on.
func TestACableThatIsOutWhenADrawingGoesOnLosesThePosition(t *testing.T) {
	b := newBench(t, nil)
	l := b.ready()
	at, _, _ := l.Where()
	mm := b.profile.AtSteps(at.Steps)
	text := fmt.Sprintf("G21 G90 G94\nG1 X%g Y%g F3600\nX40 Y40\nM0\nX60\nM2\n", mm.X, mm.Y)
	op := &script{now: b.now, stays: true, limit: 600}
	op.after = func(s *script) {
		b.sim.Unplug()
		s.at = []timedWish{{0, link.GoOn}}
	}
	out, err := l.Draw(context.Background(), link.Job{Name: "pause", Text: text}, op)
	require.Error(t, err)
	require.Equal(t, link.Lost, out.Certainty)
	require.Equal(t, link.Connected, out.Mode)
}
