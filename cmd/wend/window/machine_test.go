package window

import (
	"context"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"wend/cmd/wend/engine"
	"wend/cmd/wend/operate"
	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/machine"
	"wend/runtime/simulator"
)

// simulated is a simulated machine behind the window. While the test lets it, its
// time passes by the clock on the wall.
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

func (s *simulated) trace() []geom.Point {
	s.mu.Lock()
	defer s.mu.Unlock()
	var line []geom.Point
	for _, p := range s.machine.Trace() {
		line = append(line, s.profile.ToPage(p))
	}
	return line
}

// withMachine is a window with a simulated machine and a clock on the wall that the
// test can set.
func withMachine(t *testing.T) (*opened, *simulated, *atomic.Int64) {
	profile := machine.DeskToy()
	s := &simulated{profile: profile, machine: simulator.New(engine.Simulated(profile, profile.Area.StartMM, machine.Gap{}))}
	var set atomic.Int64
	o := openWindowIn(t, Options{
		Folder: t.TempDir(), Now: func() time.Time { return time.Now().Add(time.Duration(set.Load())) },
		Connect: func(ctx context.Context, _ string) (*operate.Connection, error) {
			port, err := s.machine.Open(10 * time.Millisecond)
			if err != nil {
				return nil, err
			}
			s.port = port
			at := link.Place{Steps: link.MotorsAt(profile, profile.Area.StartMM, machine.Gap{})}
			now := func() time.Time {
				s.mu.Lock()
				defer s.mu.Unlock()
				return time.Unix(0, 0).Add(time.Duration(s.machine.Now() * float64(time.Second)))
			}
			l, err := link.Connect(ctx, link.Setup{Wire: s, Now: now, Profile: profile, At: &at})
			if err != nil {
				return nil, err
			}
			return &operate.Connection{Machine: l, Name: "the simulated machine", Calibrated: true, Counts: true, Close: port.Close}, nil
		},
	})
	return o, s, &set
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

const long = "loop 20 {\n  ahead 60\n  turn 90\n  ahead 1\n  turn 90\n  ahead 60\n  turn -90\n  ahead 1\n  turn -90\n}\n"

func (v *view) draws() {
	v.send(map[string]any{"type": "connect", "port": "sim"})
	v.until("connected")
	v.send(map[string]any{"type": "send", "path": "a.wend", "text": long, "sheet": 0})
	v.question("there")
	v.question("draw")
	start := machine.DeskToy().Area.StartMM.X
	for v.until("moving")["at"].([]any)[0].(float64) < start+2 {
	}
}

// stands waits until the machine does not move, and gives what it has drawn.
func (s *simulated) stands(t *testing.T, within time.Duration) []geom.Point {
	began := time.Now()
	last := s.trace()
	for {
		time.Sleep(200 * time.Millisecond)
		now := s.trace()
		if geom.Length(now) == geom.Length(last) {
			require.Less(t, time.Since(began), within+time.Second) // a second for a busy computer
			return now
		}
		last = now
	}
}

func TestAMachineIsArmedByAWordAndHoldsWhenItsWindowGoes(t *testing.T) {
	o, s, _ := withMachine(t)
	v, w := o.view(), o.view()
	v.draws()
	// Another window is told, and can do nothing but hold and stop.
	w.send(map[string]any{"type": "connect", "port": "sim"})
	require.Contains(t, w.next("failed")["text"], "Another window")
	v.conn.CloseNow() //nolint:errcheck // as a window does that is closed
	held := s.stands(t, 2500*time.Millisecond)
	require.Greater(t, geom.Length(held), 1.0)

	// One that takes over cannot go on, without the word that it did not type.
	w.send(map[string]any{"type": "connect", "port": "sim"})
	require.Contains(t, w.next("say")["text"], "has gone")
	w.send(map[string]any{"type": "key", "key": "go on"})
	time.Sleep(300 * time.Millisecond)
	require.Equal(t, geom.Length(held), geom.Length(s.trace()))
	w.send(map[string]any{"type": "key", "key": "stop"})
	require.Equal(t, "confirmed", w.until("stopped")["certainty"])
	// What was drawn is the beginning of the line, none of it lost or doubled.
	drawn := s.trace()
	require.InDelta(t, geom.Length(held), geom.Length(drawn), 0.2)
	first := s.profile.Area.StartMM
	ideal := []geom.Point{first, {X: first.X + 60, Y: first.Y}}
	if drawn[len(drawn)-1].X < first.X+59 && drawn[len(drawn)-1].Y < first.Y+0.5 {
		ideal[1].X = drawn[len(drawn)-1].X
		off, _ := simulator.Deviation(ideal, drawn)
		require.Less(t, off, 0.3)
	}
}

func TestAMachineHoldsWhenTheClockJumps(t *testing.T) {
	o, s, set := withMachine(t)
	v := o.view()
	v.draws()
	set.Store(int64(time.Hour))
	v.until("held")
	held := s.stands(t, 2500*time.Millisecond)
	v.send(map[string]any{"type": "key", "key": "go on"})
	v.until("moving")
	v.send(map[string]any{"type": "key", "key": "hold"})
	v.until("held")
	require.Greater(t, geom.Length(s.trace()), geom.Length(held))
	require.True(t, o.Interrupt()) // Ctrl-C at the terminal
	v.until("stopped")
}

func TestNothingMovesWithoutTheWord(t *testing.T) {
	o, s, _ := withMachine(t)
	v := o.view()
	v.send(map[string]any{"type": "connect", "port": "sim"})
	v.until("connected")
	v.send(map[string]any{"type": "answer-person", "text": "draw"}) // ahead of the question
	v.send(map[string]any{"type": "send", "path": "a.wend", "text": long, "sheet": 0})
	v.question("there")
	for m := v.next("say"); m["kind"] != "question"; m = v.next("say") {
	}
	v.send(map[string]any{"type": "answer-person", "text": ""})
	v.until("connected")
	require.LessOrEqual(t, len(s.trace()), 1)
	v.send(map[string]any{"type": "send", "path": "a.wend", "text": "ahead 500\n", "sheet": 0})
	for m := v.next("say"); !strings.Contains(m["text"].(string), "page"); m = v.next("say") {
		require.Equal(t, "Not done.", m["text"], "of the time before")
	}
	v.until("connected")
	require.LessOrEqual(t, len(s.trace()), 1)
}
