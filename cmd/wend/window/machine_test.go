package window

import (
	"context"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"wend/cmd/wend/engine"
	"wend/cmd/wend/operate"
	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/machine"
	"wend/runtime/simulator"
)

// simulated is a simulated machine behind the window. Its time passes by the clock of
// the test.
type simulated struct {
	mu      sync.Mutex
	machine *simulator.Machine
	port    *simulator.Port
	profile *machine.Profile
}

func (s *simulated) Read(b []byte) (int, error) {
	s.mu.Lock()
	before := s.machine.Now()
	n, err := s.port.Read(b)
	passed := s.machine.Now() - before
	s.mu.Unlock()
	time.Sleep(time.Duration(passed * float64(time.Second)))
	return n, err
}

func (s *simulated) Write(b []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.port.Write(b)
}

// trace is what the stylus has drawn, in page mm.
func (s *simulated) trace() []geom.Point {
	s.mu.Lock()
	defer s.mu.Unlock()
	var line []geom.Point
	for _, p := range s.machine.Trace() {
		line = append(line, s.profile.ToPage(p))
	}
	return line
}

func (s *simulated) now() time.Time {
	s.mu.Lock()
	defer s.mu.Unlock()
	return time.Unix(0, 0).Add(time.Duration(s.machine.Now() * float64(time.Second)))
}

// connect opens its port; the stylus stands where the profile says.
func (s *simulated) connect(ctx context.Context, _ string, _ *operate.Conversation) (*operate.Connection, error) {
	port, err := s.machine.Open(10 * time.Millisecond)
	if err != nil {
		return nil, err
	}
	s.port = port
	at := link.Place{Steps: link.MotorsAt(s.profile, s.profile.Area.StartMM, machine.Gap{})}
	l, err := link.Connect(ctx, link.Setup{Wire: s, Now: s.now, Profile: s.profile, At: &at})
	if err != nil {
		return nil, err
	}
	return &operate.Connection{Machine: l, Name: "the simulated machine", Calibrated: true, Counts: true, Close: port.Close}, nil
}

// rig is a window with a simulated machine, in the time of the test, and a clock on
// the wall that the test can set.
type rig struct {
	*opened
	*simulated
	pipes *pipes
	set   atomic.Int64
}

// withMachine runs a test of a window with a machine.
func withMachine(t *testing.T, test func(t *testing.T, r *rig)) {
	synctest.Test(t, func(t *testing.T) {
		profile := machine.DeskToy()
		r := &rig{pipes: newPipes(), simulated: &simulated{profile: profile, machine: simulator.New(engine.Simulated(profile, profile.Area.StartMM, machine.Gap{}))}}
		r.opened = openWindowAt(t, Options{
			Folder: t.TempDir(), Port: "sim", Connect: r.connect,
			Now: func() time.Time { return time.Now().Add(time.Duration(r.set.Load())) },
		}, r.pipes, r.pipes.dial)
		test(t, r)
	})
}

// until waits for the machine to stand so.
func (v *view) until(state string) map[string]any {
	for {
		if m := v.next("machine"); m["state"] == state {
			return m
		}
	}
}

// question waits for a question and answers it.
func (v *view) question(word string) {
	for {
		if m := v.next("say"); m["kind"] == "question" {
			require.Equal(v.t, word, m["word"], m["text"])
			v.send(map[string]any{"type": "answer-person", "text": word})
			return
		}
	}
}

// said waits until something is said.
func (v *view) said(text string) string {
	for {
		if m := v.next("say"); strings.Contains(m["text"].(string), text) {
			return m["text"].(string)
		}
	}
}

// ends waits until something is said and the machine stands so, in either order: of
// the states only the last one counts.
func (v *view) ends(text, state string) map[string]any {
	var stands map[string]any
	for said := false; !said || stands == nil; {
		switch m := v.next("say", "machine"); {
		case m["type"] == "say":
			said = said || strings.Contains(m["text"].(string), text)
		case m["state"] == state:
			stands = m
		default:
			stands = nil
		}
	}
	return stands
}

// rows is a program of long rows, and its line from where the stylus stands.
const rows = "loop 4 {\n  ahead 60\n  turn 90\n  ahead 1\n  turn 90\n  ahead 60\n  turn -90\n  ahead 1\n  turn -90\n}\n"

func (r *rig) rows() []geom.Point {
	at := r.profile.Area.StartMM
	line := []geom.Point{at}
	for range 4 {
		for _, by := range []geom.Point{{X: 60}, {Y: 1}, {X: -60}, {Y: 1}} {
			at = at.Add(by)
			line = append(line, at)
		}
	}
	return line
}

func (v *view) asks(kind string, more ...any) {
	m := map[string]any{"type": kind, "path": "a.wend", "text": rows, "sheet": 0}
	for i := 0; i < len(more); i += 2 {
		m[more[i].(string)] = more[i+1]
	}
	v.send(m)
}

// draws connects the machine and lets it draw the rows, until it moves.
func (v *view) draws() {
	v.asks("connect")
	v.until("connected")
	v.asks("send")
	v.question("there")
	v.question("draw")
	start := machine.DeskToy().Area.StartMM.X
	for v.until("moving")["at"].([]any)[0].(float64) < start+2 {
	}
}

// holds waits until the stylus stands, which it does within 2.5 s, and gives what it
// has drawn.
func (r *rig) holds(t *testing.T) []geom.Point {
	t.Helper()
	began, moved, length := time.Now(), time.Now(), geom.Length(r.trace())
	for time.Since(moved) < 2*time.Second {
		time.Sleep(20 * time.Millisecond)
		if now := geom.Length(r.trace()); now > length {
			moved, length = time.Now(), now
		}
	}
	require.LessOrEqual(t, moved.Sub(began), 2500*time.Millisecond)
	require.Less(t, length, geom.Length(r.rows())-10, "it came to the end instead")
	return r.trace()
}

// whole holds what the stylus drew against the line: none of it is missing, and none
// drawn twice.
func (r *rig) whole(t *testing.T) {
	t.Helper()
	drawn, ideal := r.trace(), r.rows()
	require.InDelta(t, geom.Length(ideal), geom.Length(drawn), 0.5)
	off, _ := simulator.Deviation(ideal, drawn)
	require.Less(t, off, 0.1)
}

func TestAMachineHoldsWhenItsWindowGoesAndTheDrawingIsGoneOnWith(t *testing.T) {
	withMachine(t, func(t *testing.T, r *rig) {
		v, w := r.listening(t), r.listening(t)
		v.draws()
		// Another window is told, and can do nothing but hold and stop.
		w.asks("connect")
		require.Contains(t, w.next("failed")["text"], "Another window")
		w.send(map[string]any{"type": "abandon"})
		require.Contains(t, w.next("failed")["text"], "Another window")
		w.send(map[string]any{"type": "answer-person", "text": "draw"})
		v.conn.CloseNow() //nolint:errcheck // as a window does that is closed
		held := r.holds(t)
		require.Greater(t, geom.Length(held), 1.0)

		// One that takes over cannot go on, without the word that it did not type.
		w.asks("connect")
		w.said("has gone, and the machine holds")
		w.send(map[string]any{"type": "key", "key": "go on"})
		require.Contains(t, w.next("failed")["text"], "typed in another window")
		time.Sleep(3 * time.Second)
		require.Equal(t, geom.Length(held), geom.Length(r.trace()))
		w.send(map[string]any{"type": "key", "key": "stop"})
		stopped := w.until("stopped")
		require.Equal(t, "confirmed", stopped["certainty"])
		require.Equal(t, map[string]any{"name": "a.wend", "path": "a.wend"}, stopped["unfinished"])

		// It is gone on with, after the word; another program is not taken for it.
		w.asks("resume", "text", "ahead 30\n")
		w.ends("another", "connected")
		w.asks("resume")
		w.said("to go on with: a.wend, after")
		w.question("draw")
		require.Nil(t, w.ends("drawn: 1 sheet; the stylus stands at", "connected")["unfinished"])
		r.whole(t)
	})
}

func TestAMachineHoldsWhenItsWindowIsSilent(t *testing.T) {
	withMachine(t, func(t *testing.T, r *rig) {
		v := r.listening(t)
		v.draws()
		r.pipes.silent.Store(true)
		r.holds(t)
		r.pipes.silent.Store(false)
		w := r.listening(t)
		v.conn.CloseNow() //nolint:errcheck // it is beyond reach
		time.Sleep(time.Second)
		w.asks("connect")
		w.send(map[string]any{"type": "key", "key": "stop"})
		w.until("stopped")
		w.asks("resume")
		w.question("draw")
		w.said("drawn: 1 sheet")
		r.whole(t)
	})
}

func TestAMachineHoldsWhenTheClockJumpsAndGoesOnFromThere(t *testing.T) {
	for _, jump := range []time.Duration{time.Hour, -time.Hour} {
		withMachine(t, func(t *testing.T, r *rig) {
			v := r.listening(t)
			v.draws()
			r.set.Store(int64(jump))
			r.holds(t)
			v.until("held")
			v.send(map[string]any{"type": "key", "key": "go on"})
			v.said("drawn: 1 sheet")
			r.whole(t)
		})
	}
}

func TestStopKeepsWhatIsLeftAndAbandonDropsIt(t *testing.T) {
	withMachine(t, func(t *testing.T, r *rig) {
		v := r.listening(t)
		v.draws()
		// A doubled click is one stop: the position is kept.
		v.send(map[string]any{"type": "key", "key": "stop"})
		v.send(map[string]any{"type": "key", "key": "stop"})
		stopped := v.ends("`Go on with it` goes on; `Abandon the rest` drops what is left of it", "stopped")
		require.Equal(t, "confirmed", stopped["certainty"])
		require.NotNil(t, stopped["unfinished"])
		// Nothing drops it by the way.
		v.asks("send")
		v.said("a.wend was cut off after")
		v.said("type `resume` to go on with it, `abandon` to drop what is left of it")
		v.send(map[string]any{"type": "answer-person", "text": "resume"})
		v.question("draw")
		v.until("moving")

		v.send(map[string]any{"type": "key", "key": "hold"})
		v.until("held")
		r.holds(t)
		v.send(map[string]any{"type": "abandon"})
		require.NotContains(t, v.said("stopped at"), "goes on")
		stopped = v.ends("a.wend is dropped, after", "stopped")
		require.Equal(t, "confirmed", stopped["certainty"])
		require.Nil(t, stopped["unfinished"])
		// The machine draws another at once.
		v.asks("send", "path", "b.wend", "text", "turn 90\nahead 5\n")
		v.question("draw")
		v.ends("drawn: 1 sheet", "connected") // it is at nothing else then

		// One that is stopped can be abandoned later, too.
		v.asks("send", "path", "b.wend", "text", "turn 90\nahead 50\n")
		v.question("draw")
		v.until("moving")
		v.send(map[string]any{"type": "key", "key": "stop"})
		v.until("stopped")
		v.send(map[string]any{"type": "abandon"})
		require.Nil(t, v.ends("b.wend is dropped", "connected")["unfinished"])
		v.send(map[string]any{"type": "abandon"})
		v.said("nothing to drop")
	})
}

// Whoever presses Stop again while it still moves wants it at once, as with Ctrl-C at
// the terminal; a doubled click is no second press.
func TestStopPressedAgainWhileItMovesStopsAtOnce(t *testing.T) {
	withMachine(t, func(t *testing.T, r *rig) {
		v := r.listening(t)
		v.draws()
		v.send(map[string]any{"type": "key", "key": "stop"})
		synctest.Wait()
		r.set.Add(int64(doubled))
		v.send(map[string]any{"type": "key", "key": "stop"})
		require.Equal(t, "lost", v.ends("nobody knows where the stylus is now: look, and say where it stands", "stopped")["certainty"])
		at := geom.Length(r.trace())
		time.Sleep(5 * time.Second)
		require.Equal(t, at, geom.Length(r.trace()), "it stands")
		require.Less(t, at, geom.Length(r.rows())-10)
	})
}

func TestAHardStopLosesThePositionAndShowsWhereItMayStand(t *testing.T) {
	withMachine(t, func(t *testing.T, r *rig) {
		v := r.listening(t)
		v.draws()
		require.True(t, r.Interrupt())
		require.True(t, r.Interrupt()) // Ctrl-C twice at the terminal
		v.said("nobody knows where the stylus is now: look, and say where it stands")
		left := v.next("left")
		require.NotEmpty(t, left["drawn"])
		require.NotEmpty(t, left["possible"])
		require.Equal(t, "lost", v.until("stopped")["certainty"])
		require.False(t, r.Interrupt())
		before := geom.Length(r.trace())
		for _, kind := range []string{"resume", "send", "walk"} {
			v.asks(kind, "to", []float64{30, 20})
			for m := v.next("say", "machine"); m["state"] != "connected"; m = v.next("say", "machine") {
				if m["kind"] == "question" {
					v.send(map[string]any{"type": "answer-person", "text": "resume"})
				}
			}
		}
		require.Equal(t, before, geom.Length(r.trace()), "nothing moves while the position is lost")
		r.mu.Lock()
		at := r.profile.ToPage(r.machine.Look().StylusMM)
		r.mu.Unlock()
		v.send(map[string]any{"type": "stands", "at": []float64{at.X, at.Y}})
		v.until("connected")
		v.asks("resume")
		for {
			m := v.next("say")
			if m["kind"] == "question" && strings.Contains(m["text"].(string), "number of the one") {
				v.send(map[string]any{"type": "answer-person", "text": "1"})
			} else if m["kind"] == "question" {
				break
			}
		}
		v.send(map[string]any{"type": "answer-person", "text": "draw"})
		v.said("drawn: 1 sheet")
	})
}

func TestTheStylusWalksAndTheSheetIsWipedAfterAWord(t *testing.T) {
	withMachine(t, func(t *testing.T, r *rig) {
		v := r.listening(t)
		v.asks("connect")
		v.until("connected")
		v.send(map[string]any{"type": "stands", "at": []float64{0, 0}})
		require.Equal(t, "confirmed", v.until("connected")["certainty"])
		// What is no place is not taken for one.
		for _, place := range []any{nil, "77", []any{}, []any{77}, []any{nil, nil}, []any{50, 60, 70}, []any{true, 1}, []any{1e308, 1e308}} {
			v.send(map[string]any{"type": "stands", "at": place})
			require.Contains(t, v.next("failed", "machine")["text"], "two numbers of mm", "%v", place)
			v.send(map[string]any{"type": "walk", "to": place})
			require.Contains(t, v.next("failed", "machine")["text"], "two numbers of mm", "%v", place)
		}
		v.send(map[string]any{"type": "walk", "to": []float64{900, 20}})
		v.ends("not on the page", "connected")
		v.send(map[string]any{"type": "walk", "to": []float64{30, 20}})
		v.said("type `walk` to draw a line to (30.0, 20.0)")
		v.send(map[string]any{"type": "answer-person", "text": ""})
		v.until("connected")
		require.LessOrEqual(t, len(r.trace()), 1)
		v.send(map[string]any{"type": "walk", "to": []float64{30, 20}})
		v.question("walk")
		v.until("moving")
		require.Equal(t, []any{30.0, 20.0}, v.until("connected")["at"])
		require.Less(t, r.trace()[len(r.trace())-1].Distance(geom.Point{X: 30, Y: 20}), 0.1)

		v.send(map[string]any{"type": "wipe"})
		v.question("wiped")
		v.until("connected")
		// A second sheet is walked to, and the sheet wiped, for one word.
		v.asks("send", "text", "ahead 5\nerase\nbegin 60, 40\nahead 20\n", "sheet", 1)
		v.said("first a walk to (60.0, 40.0), then the sheet is wiped")
		v.question("draw")
		v.question("wiped")
		v.ends("drawn: 1 sheet; the stylus stands at (80.0, 40.0), confirmed", "connected")
		v.send(map[string]any{"type": "disconnect"})
		require.Equal(t, "sim", v.until("none")["port"])
	})
}

func TestNothingMovesWithoutTheWord(t *testing.T) {
	withMachine(t, func(t *testing.T, r *rig) {
		v := r.listening(t)
		v.asks("connect")
		v.until("connected")
		for _, early := range []map[string]any{{"type": "answer-person", "text": "draw"}, {"type": "key", "key": "go on"}, {"type": "resume", "path": "a.wend", "text": rows}} {
			v.send(early) // ahead of the question
		}
		v.ends("no drawing to go on with", "connected")
		v.asks("send")
		v.question("there")
		for m := v.next("say"); m["kind"] != "question"; m = v.next("say") {
		}
		v.send(map[string]any{"type": "answer-person", "text": ""})
		v.until("connected")
		require.LessOrEqual(t, len(r.trace()), 1)
		v.asks("send", "text", "ahead 500\n")
		v.ends("page", "connected")
		require.LessOrEqual(t, len(r.trace()), 1)
	})
}
