package window

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"sort"

	"wend/cmd/wend/engine"
	"wend/cmd/wend/operate"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/machine"
)

// connect opens the machine at a port, or takes over the one whose window has gone.
func (k *socket) connectMachine(_ context.Context, m *fromPage) {
	b := k.server.bench
	if b.takeOver(k) {
		return
	}
	b.do(k.server.running, k, m, false, func(ctx context.Context) error {
		b.mu.Lock()
		there := b.machine != nil
		b.mu.Unlock()
		if there {
			return errors.New("a machine is connected already")
		}
		if k.server.options.Connect == nil {
			return errors.New("there are no machines here")
		}
		opening, done := b.talk.Interruptible(ctx)
		defer done()
		connected, err := k.server.options.Connect(opening, m.Port)
		if err != nil {
			return err
		}
		b.mu.Lock()
		b.machine = connected
		b.mu.Unlock()
		return b.talk.Settle(ctx, connected)
	})
}

// takeOver gives a page the machine whose window has gone while it moved, to be
// stopped, and reports whether it has it.
func (b *bench) takeOver(k *socket) bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	if !b.busy || b.holder != nil {
		return b.busy && b.holder == k && !b.sworn
	}
	b.holder, b.sworn, b.heard = k, false, k.server.now()
	k.out.Text(sayMessage{Type: "say", Kind: "note", Text: "The window that began this drawing has gone, and the machine holds. It can be stopped from here; what is left of the drawing can be drawn anew."})
	b.tell()
	return true
}

// greet tells a page that has just come how the machine stands.
func (b *bench) greet(k *socket) {
	if b.takeOver(k) {
		return
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.state.State != "none" { // which a page takes it for
		k.out.latest("machine", seenBy(k, b.holder, b.state))
	}
}

func (k *socket) disconnect(_ context.Context, m *fromPage) {
	b := k.server.bench
	b.do(k.server.running, k, m, true, func(context.Context) error {
		err := b.machine.Close()
		b.mu.Lock()
		b.machine = nil
		b.mu.Unlock()
		return err
	})
}

// answerPerson takes what was typed where the machine asks.
func (k *socket) answerPerson(_ context.Context, m *fromPage) {
	b := k.server.bench
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.holder == k && b.sworn {
		b.person.answer(answer{text: m.Text})
		if b.state.State == "asking" {
			b.state.State = "armed"
			b.tell()
		}
	}
}

// key takes one of the keys of the machine. To hold and to stop, any page may; to go
// on, the one in which the word was typed.
func (k *socket) key(_ context.Context, m *fromPage) {
	b := k.server.bench
	b.mu.Lock()
	defer b.mu.Unlock()
	if !b.busy {
		return
	}
	switch m.Key {
	case "hold":
		b.person.press(operate.KeyHold)
	case "stop":
		b.person.press('s')
		b.person.answer(answer{err: operate.ErrLeft})
	case "go on":
		if b.holder != k || !b.sworn {
			k.failed(m, errors.New("the word for this drawing was typed in another window; stop it here, and draw what is left anew"))
			return
		}
		b.person.press(operate.KeyGoOn)
	case "leave":
		if b.holder == k {
			b.person.answer(answer{err: operate.ErrLeft})
		}
	}
}

// stands says where the stylus is: somebody looked.
func (k *socket) stands(_ context.Context, m *fromPage) {
	b := k.server.bench
	if m.At == nil {
		k.failed(m, errors.New("the place wants two numbers of mm"))
		return
	}
	b.do(k.server.running, k, m, true, func(ctx context.Context) error {
		return b.machine.Declare(ctx, geom.Point{X: m.At[0], Y: m.At[1]})
	})
}

// walk brings the stylus to a place of the page, after a word.
func (k *socket) walk(_ context.Context, m *fromPage) {
	b := k.server.bench
	var to [2]float64
	if err := json.Unmarshal(m.To, &to); err != nil {
		k.failed(m, errors.New("the place wants two numbers of mm"))
		return
	}
	b.do(k.server.running, k, m, true, func(ctx context.Context) error {
		page := geom.Point{X: to[0], Y: to[1]}
		if !k.server.options.Settings.Profile.Page().Contains(page) {
			return fmt.Errorf("%s is not on the page", operate.Place(page))
		}
		if err := b.talk.Confirm(ctx, b.machine); err != nil {
			return err
		}
		if err := b.talk.Arm(ctx, b.machine, "to walk to "+operate.Place(page)+", drawing a line on the way", "walk"); err != nil {
			return err
		}
		defer b.machine.Disarm()
		return b.walk(ctx, page)
	})
}

func (b *bench) walk(ctx context.Context, page geom.Point) error {
	to := link.Place{Steps: link.MotorsAt(b.server.options.Settings.Profile, page, machine.Gap{})}
	return b.talk.Watched(ctx, "walked", func(ctx context.Context, op link.Operator) error { return b.machine.Walk(ctx, to, op) })
}

func (k *socket) wipe(_ context.Context, m *fromPage) {
	b := k.server.bench
	b.do(k.server.running, k, m, true, func(ctx context.Context) error {
		b.talk.Cautions()
		return b.talk.Wipe(ctx, b.machine, false)
	})
}

// abandon stops the drawing on its line; what is left of it is not drawn.
func (k *socket) abandon(ctx context.Context, _ *fromPage) { k.key(ctx, &fromPage{Key: "stop"}) }

// send draws a sheet of a text, as `wend send` would.
func (k *socket) send(_ context.Context, m *fromPage) {
	b := k.server.bench
	b.do(k.server.running, k, m, true, func(ctx context.Context) error { return b.draw(ctx, m) })
}

// draw is one drawing: checked first, then agreed to, then drawn.
func (b *bench) draw(ctx context.Context, m *fromPage) error {
	if !b.machine.Calibrated {
		return &diag.Fault{Code: "machine-uncalibrated", Args: diag.Args{"name": b.server.options.Settings.Profile.Name}}
	}
	if err := b.talk.Confirm(ctx, b.machine); err != nil {
		return err
	}
	_, at, _ := b.machine.Where()
	settings := b.server.options.Settings
	settings.Start = &at
	program, list := engine.Load(source.New(m.Path, m.Text), settings)
	if program == nil {
		return list
	}
	drawn, list := program.Draw(ctx)
	if list.Failed() || drawn == nil {
		return list
	}
	sheets := engine.WithLine(drawn)
	if m.Sheet < 0 || m.Sheet >= len(sheets) {
		return errors.New("there is no line on such a sheet")
	}
	i := sheets[m.Sheet]
	known := program.Describe(drawn, i)
	times, list := program.Times(ctx, drawn, i, machine.Gap{})
	if list.Failed() {
		return list
	}
	begin := drawn.Sheets[i].Points[0]
	what := fmt.Sprintf("to draw: %s in %s", gcode.Length(known.LineMM), gcode.Duration(times.Seconds))
	elsewhere := i > 0 || drawn.Sheets[i].Begun
	if elsewhere {
		what += fmt.Sprintf("; first a walk to %s, then the sheet is wiped", operate.Place(begin))
	}
	if err := b.talk.Arm(ctx, b.machine, what, "draw"); err != nil {
		return err
	}
	defer b.machine.Disarm()
	if elsewhere {
		if err := b.walk(ctx, begin); err != nil {
			return err
		}
		for _, err := range []error{b.talk.Wipe(ctx, b.machine, true), b.talk.Confirm(ctx, b.machine), b.talk.Rearm(b.machine)} {
			if err != nil {
				return err
			}
		}
	}
	place, _, _ := b.machine.Where()
	var text bytes.Buffer
	if _, list := program.Lower(ctx, drawn, i, place.Gap, &text); list.Failed() {
		return list
	}
	b.mu.Lock()
	b.line = newDrawnLine(drawn.Sheets[i].Points, times.At)
	b.mu.Unlock()
	var outcome link.Outcome
	err := b.talk.Watched(ctx, "drawn", func(ctx context.Context, op link.Operator) (err error) {
		outcome, err = b.machine.Draw(ctx, link.Job{Name: m.Path, Text: text.String(), Sheet: i, Seconds: times.Seconds}, op)
		return err
	})
	switch {
	case outcome.Complete:
		b.talk.Note("drawn: %s", gcode.Length(outcome.DrawnMM))
	case err != nil && outcome.Certainty == link.Lost:
		b.talk.Note("stopped after %s; nobody knows where the stylus is now: look, and say where it stands", gcode.Length(outcome.DrawnMM))
	case err != nil:
		b.talk.Note("stopped after %s", gcode.Length(outcome.DrawnMM))
	}
	return err
}

// drawnLine finds how many pieces of a line are drawn.
type drawnLine struct {
	along []float64 // mm, at the end of each piece
	at    []float32 // seconds, by vertex
}

func newDrawnLine(points []geom.Point, at []float32) *drawnLine {
	l := &drawnLine{at: at}
	sum := 0.0
	for i := 1; i < len(points); i++ {
		sum += points[i].Distance(points[i-1])
		l.along = append(l.along, sum)
	}
	return l
}

// ahead is how much motion the machine has in hand at most, seconds.
const ahead = 1

// pieces are how many are drawn after some mm, and how many wait in the machine.
func (l *drawnLine) pieces(mm float64) (drawn, queued, of int) {
	if l == nil {
		return 0, 0, 0
	}
	drawn = sort.SearchFloat64s(l.along, mm+1e-6)
	drawn = min(drawn, len(l.along))
	until := l.at[drawn] + ahead
	for queued = 0; drawn+queued < len(l.along) && l.at[drawn+queued+1] <= until; queued++ {
	}
	return drawn, queued, len(l.along)
}
