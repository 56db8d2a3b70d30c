package simulator_test

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
	"wend/runtime/simulator"
)

func centered() simulator.Setup {
	setup := simulator.Setup{}
	setup.Mechanics.StartMM = geom.Point{X: 50, Y: 50}
	return setup
}

func TestAPowerCycleForgetsThePlace(t *testing.T) {
	m := ready(t, centered())
	ask(m, "G92 X9\nG1 X20 F1200\n", 0.5)
	m.PowerCycle()
	require.Empty(t, ask(m, "?", 0.3))
	require.Contains(t, ask(m, "", 0.3), "Bench board")
	require.Contains(t, ask(m, "?", 0), "<Idle|MPos:0.000,0.000,0.000|Bf:15,128|FS:0,0|WCO:0.000,")
	require.Greater(t, m.Look().StylusMM.X, 55.0)
	m.PowerCycleQuietly()
	require.Empty(t, ask(m, "", 5))
	require.Contains(t, ask(m, "?", 0), "<Idle|")
}

// Motors stopped without braking coast on, and the board does not know.
func TestAStopWithoutBrakingLosesThePosition(t *testing.T) {
	m := ready(t, centered())
	ask(m, "G1 X20 F2400\n", 0.5)
	require.Contains(t, ask(m, "\x18", 0), "ALARM:3")
	look := m.Look()
	require.InDelta(t, 40.0*40/(8*400), look.StylusMM.X-50-look.BoardMM.X, 0.02)
	m.Advance(5)
	require.Equal(t, look.StylusMM, m.Look().StylusMM)
}

func TestFaultsHappenAtTheirTime(t *testing.T) {
	m := ready(t, centered())
	start := m.Now()
	var heard []string
	m.At(start+2, func(m *simulator.Machine) { m.Alarm(1); heard = append(heard, "alarm") })
	m.At(start+1, func(m *simulator.Machine) { m.LoseSteps(simulator.X, -30); heard = append(heard, "slip") })
	m.At(start+1, func(m *simulator.Machine) { m.TurnKnob(simulator.Y, 2.5); heard = append(heard, "knob") })
	answer := ask(m, "G1 X60 F600\n", 3)
	require.Equal(t, "ok\r\nALARM:1\r\n", answer)
	require.Equal(t, []string{"slip", "knob", "alarm"}, heard)
	look := m.Look()
	require.InDelta(t, 2, look.EndedS-start, 0.001)
	require.InDelta(t, look.BoardMM.X-0.3, look.StylusMM.X-50-10.0*10/(8*400), 0.011)
	require.InDelta(t, 52.5, look.StylusMM.Y, 1e-9)
}

func TestAnotherScaleOfTheBoardDrawsAnotherSize(t *testing.T) {
	m := ready(t, centered())
	require.True(t, m.Set(100, 50))
	require.False(t, m.Set(99, 50))
	require.False(t, m.Set(100, 0))
	ask(m, "G1 X20 F3600\n", 3)
	require.InDelta(t, 60, m.Look().StylusMM.X, 1e-9)
	m.StoreStartUp(1, "G90")
	m.PowerCycle()
	require.Contains(t, ask(m, "", 1), ">G90:ok")
}

func TestBytesAreLostDoubledAndGarbled(t *testing.T) {
	for harm, want := range map[simulator.Harm]string{
		simulator.Lost:    "[GC:G0 *F1]",
		simulator.Doubled: "[GC:G0 *F122]",
	} {
		m := ready(t, centered())
		m.DisturbToBoard(simulator.Noise{At: map[int]simulator.Harm{2: harm}})
		require.True(t, fits("ok\r\n"+want+"\r\nok\r\n", ask(m, "F12\n$G\n", 0)))
		require.Equal(t, 1, m.Look().Harmed)
	}
	m := ready(t, centered())
	m.DisturbToHost(simulator.Noise{At: map[int]simulator.Harm{0: simulator.Garbled}})
	answer := ask(m, "\n", 0)
	require.Len(t, answer, 4)
	require.NotEqual(t, "ok\r\n", answer)
	require.Equal(t, "k\r\n", answer[1:])
	// The same seed does the same harm; a tenth of the bytes is a tenth.
	run := func(seed uint64) (string, int) {
		m := ready(t, centered())
		m.DisturbToHost(simulator.Noise{Seed: seed, Lose: 0.05, Double: 0.03, Garble: 0.02})
		return ask(m, strings.Repeat("\n", 5000), 0), m.Look().Harmed
	}
	first, harmed := run(7)
	again, _ := run(7)
	other, _ := run(8)
	require.Equal(t, first, again)
	require.NotEqual(t, first, other)
	require.InDelta(t, 2000, harmed, 150)
	m.DisturbToHost(simulator.Noise{})
	require.Equal(t, "ok\r\n", ask(m, "\n", 0))
}

func TestAnswersComeLate(t *testing.T) {
	m := ready(t, centered())
	m.DelayAnswers(0.01)
	say(m, "\n")
	m.Advance(0.0099)
	require.Empty(t, m.Transmit())
	m.Advance(0.0002)
	require.Equal(t, "ok\r\n", string(m.Transmit()))
	m.DelayAnswers(0)
	m.DelayLines(0.02)
	say(m, "\n\n")
	m.Advance(0.03)
	require.Equal(t, "ok\r\n", string(m.Transmit()))
	m.Advance(0.02)
	require.Equal(t, "ok\r\n", string(m.Transmit()))
}

func TestAPulledCableStopsTheDrawingWhereTheQueueEnds(t *testing.T) {
	m := ready(t, centered())
	port, err := m.Open(time.Second)
	require.NoError(t, err)
	require.Contains(t, hear(t, port, "simulated]\r\n"), "Bench board")
	_, err = io.WriteString(port, "G1 X10 F600\nX20\n")
	require.NoError(t, err)
	m.At(m.Now()+0.5, func(m *simulator.Machine) { m.Unplug() })
	for err == nil {
		_, err = port.Read(make([]byte, 10))
	}
	require.ErrorIs(t, err, simulator.ErrUnplugged)
	_, err = port.Write([]byte("x"))
	require.ErrorIs(t, err, simulator.ErrUnplugged)
	_, err = m.Open(time.Second)
	require.ErrorIs(t, err, simulator.ErrUnplugged)
	m.Advance(5)
	require.Equal(t, geom.Point{X: 70, Y: 50}, m.Look().StylusMM)
	m.Plug()
	port, err = m.Open(time.Second)
	require.NoError(t, err)
	require.Contains(t, hear(t, port, "simulated]\r\n"), "Bench board")
	require.NoError(t, port.Close())
	_, err = port.Read(make([]byte, 10))
	require.ErrorIs(t, err, os.ErrClosed)
}

// hear reads until some text has come.
func hear(t *testing.T, r io.Reader, until string) string {
	var all []byte
	for chunk := make([]byte, 7); !strings.Contains(string(all), until); {
		n, err := r.Read(chunk)
		require.NoError(t, err)
		require.NotZero(t, n, "silence after %q", all)
		all = append(all, chunk[:n]...)
	}
	return string(all)
}

func TestWhoeverReadsAPortLetsTimePass(t *testing.T) {
	setup := centered()
	setup.Board.Baud, setup.Board.KeepsRunning = 9600, true
	m := ready(t, setup)
	port, err := m.Open(50 * time.Millisecond)
	require.NoError(t, err)
	before := m.Now()
	n, err := port.Read(make([]byte, 10))
	require.NoError(t, err)
	require.Zero(t, n)
	require.InDelta(t, 0.05, m.Now()-before, 1e-9)
	before = m.Now()
	_, err = port.Write([]byte("\n"))
	require.NoError(t, err)
	require.Equal(t, "ok\r\n", hear(t, port, "\n"))
	require.InDelta(t, 5*10.0/9600, m.Now()-before, 1e-9)
	require.NoError(t, port.SetReadTimeout(0))
	before = m.Now()
	n, err = port.Read(make([]byte, 10))
	require.NoError(t, err)
	require.Zero(t, n)
	require.Equal(t, before, m.Now())
}

func TestTheEraserWipesInRoundsAndPushesTheStylus(t *testing.T) {
	setup := centered()
	setup.Eraser = simulator.EraserSetup{Send: "WIPE\n", Done: "CLEAN", Seconds: 3, Rounds: 2, DisturbMM: 1.5, Seed: 3}
	m := ready(t, setup)
	ask(m, "G1 X10 F3600\n", 2)
	e := m.Eraser()
	e.Receive([]byte("noiseWIPE\n"))
	m.Advance(2.9)
	require.Empty(t, e.Transmit())
	require.Len(t, m.Trace(), 2)
	e.Receive([]byte("WIPE\n")) // not heard: it turns
	m.Advance(0.2)
	require.Equal(t, "CLEAN\r\n", string(e.Transmit()))
	require.Len(t, m.Trace(), 1)
	away := m.Trace()[0].Sub(geom.Point{X: 60, Y: 50})
	require.NotZero(t, away.Length())
	require.LessOrEqual(t, max(away.X, -away.X, away.Y, -away.Y), 1.5)
	m.Advance(5)
	require.Empty(t, e.Transmit())
	ask(m, "G1 X0 F600\n", 0.1)
	e.Silence(true)
	e.Receive([]byte("WIPE\n"))
	m.Advance(5)
	require.Empty(t, e.Transmit())
	wipes, sheets := e.Wipes(), m.Sheets()
	require.Len(t, wipes, 2)
	require.False(t, wipes[0].Clean || wipes[0].InMotion)
	require.True(t, wipes[1].Clean && wipes[1].InMotion)
	require.Len(t, sheets, 2)
	require.False(t, sheets[0].Clean)
	require.Equal(t, []geom.Point{{X: 50, Y: 50}, {X: 60, Y: 50}}, sheets[0].Line)
}

func TestTheEraserHasAPortOfItsOwn(t *testing.T) {
	m := ready(t, centered())
	port, err := m.Eraser().Open(time.Minute)
	require.NoError(t, err)
	_, err = port.Write([]byte("ERASE\n"))
	require.NoError(t, err)
	before := m.Now()
	require.Equal(t, "DONE\r\n", hear(t, port, "\n"))
	require.InDelta(t, 4, m.Now()-before, 1e-9)
}

type bubbleClock struct{}

func (bubbleClock) Now() time.Time                         { return time.Now() }
func (bubbleClock) After(d time.Duration) <-chan time.Time { return time.After(d) }

// stream joins a pipe each way.
type stream struct {
	io.Reader
	io.Writer
}

func TestAServedMachineLivesByTheClock(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		ctx, cancel := context.WithCancel(t.Context())
		m := simulator.New(centered())
		toBoard, fromHost := io.Pipe()
		toHost, fromBoard := io.Pipe()
		eraserIn, eraserTell := io.Pipe()
		eraserHear, eraserOut := io.Pipe()
		done := make(chan error, 2)
		go func() { done <- m.Serve(ctx, stream{toBoard, fromBoard}, bubbleClock{}) }()
		go func() { done <- m.Eraser().Serve(ctx, stream{eraserIn, eraserOut}, bubbleClock{}) }()
		start := time.Now()
		require.Contains(t, hear(t, toHost, "simulated]\r\n"), "Bench board")
		require.InDelta(t, 0.5, time.Since(start).Seconds(), 0.03)
		_, err := io.WriteString(fromHost, "G1 X10 F600\nG4P0\n")
		require.NoError(t, err)
		start = time.Now()
		require.Equal(t, "ok\r\nok\r\n", hear(t, toHost, "ok\r\nok\r\n"))
		require.InDelta(t, 1+10.0/400, time.Since(start).Seconds(), 0.03)
		require.InDelta(t, 60, m.Look().StylusMM.X, 1e-9)
		start = time.Now()
		_, err = io.WriteString(eraserTell, "ERASE")
		require.NoError(t, err)
		require.Equal(t, "DONE\r\n", hear(t, eraserHear, "\n"))
		require.InDelta(t, 4, time.Since(start).Seconds(), 0.05)
		require.NoError(t, fromHost.Close())
		require.NoError(t, <-done)
		cancel()
		require.ErrorIs(t, <-done, context.Canceled)
		require.NoError(t, eraserTell.Close())
	})
}

func TestDrawLeavesOutPausesAndSaysWhatWasRefused(t *testing.T) {
	d := draw(t, centered(), "(a heading)", "G21 G90 G94 G17", "G92 X5 Y5 (where it stands)", "G1 X10 F600", "M0", "X5 ; back", "M2")
	require.Equal(t, []geom.Point{{X: 50, Y: 50}, {X: 55, Y: 50}, {X: 50, Y: 50}}, d.Trace)
	require.Equal(t, 4, d.Lines)
	require.InDelta(t, 2*(0.5+10.0/400), d.Seconds, 0.01)
	for _, lines := range [][]string{{"M0", "G1 X10 F600"}, {"G1 X10 F600", "M0"}, {"G1 X10 F600", "M0", "M0", "X5", "M2"}, {"M0", "M0", "M2"}} {
		draw(t, centered(), lines...)
	}
	_, err := simulator.Draw(t.Context(), strings.NewReader("G1 X1 F600\n\nG1 Z5\n"), centered())
	var refused *simulator.RefusedError
	require.ErrorAs(t, err, &refused)
	require.Equal(t, simulator.RefusedError{Line: 3, Text: "G1Z5", Answer: "error:20"}, *refused)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = simulator.Draw(ctx, bytes.NewReader(rosette(5000)), centered())
	require.ErrorIs(t, err, context.Canceled)
	_, err = simulator.Draw(t.Context(), io.MultiReader(strings.NewReader("X1\n"), failing{}), centered())
	require.ErrorIs(t, err, errBroken)
}

var errBroken = errors.New("broken")

type failing struct{}

func (failing) Read([]byte) (int, error) { return 0, errBroken }

// How full the queue is reports whether the wire is fast enough: short moves at
// 9600 baud starve it, at 115200 baud they do not.
func TestTheQueueTellsWhetherTheWireIsFastEnough(t *testing.T) {
	mostly := func(baud int) (low, high float64) {
		setup := simulator.Setup{}
		setup.Board.Baud = baud
		d, err := simulator.Draw(t.Context(), bytes.NewReader(rosette(3000)), setup)
		require.NoError(t, err)
		for n, seconds := range d.FillS {
			if n <= 5 {
				low += seconds
			} else if n > 10 {
				high += seconds
			}
		}
		return low, high
	}
	low, high := mostly(115200)
	require.Greater(t, high, 20*low)
	low, high = mostly(9600)
	require.Greater(t, low, 5*high)
}

// Wherever in its slack a knob stands, it is turned until the stylus is there,
// also where the axes are out of square.
func TestByHandTheStylusIsBroughtToAPlaceAndTheSheetIsWiped(t *testing.T) {
	setup := centered()
	setup.Mechanics.SlackMM = [2]float64{0.4, 1.1}
	setup.Mechanics.SquarenessDeg = 88
	m := ready(t, setup)
	for _, to := range []geom.Point{{X: 20, Y: 30}, {X: 20.01, Y: 30}, {X: 19, Y: 80}, {X: 19, Y: 79.5}} {
		m.BringByHand(to)
		require.InDelta(t, 0, to.Distance(m.Look().StylusMM), 1e-9, "%v", to)
	}
	require.Empty(t, m.Look().Contacts)
	drawn := m.Trace()
	m.WipeByHand()
	require.Equal(t, []geom.Point{m.Look().StylusMM}, m.Trace())
	require.Equal(t, []simulator.Sheet{{Line: drawn, Clean: true}}, m.Sheets())
	m.BringByHand(geom.Point{X: -3, Y: 50})
	require.InDelta(t, 0, m.Look().StylusMM.X, 1e-9)
	require.Len(t, m.Look().Contacts, 1)
}
