package window

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"slices"
	"sort"

	"wend/cmd/wend/operate"
	"wend/cmd/wend/sending"
	"wend/lang/diag"
	"wend/runtime/geom"
)

// connect opens the machine at a port, or takes over the one whose window has gone.
func (k *socket) connectMachine(_ context.Context, m *fromPage) {
	b := k.server.bench
	if b.takeOver(k) {
		return
	}
	b.do(k.server.running, k, m, false, func(ctx context.Context) error { return b.connect(ctx, m) })
}

func (b *bench) connect(ctx context.Context, m *fromPage) error {
	options := &b.server.options
	b.mu.Lock()
	there := b.machine != nil
	b.mu.Unlock()
	switch {
	case there:
		return errors.New("a machine is connected already")
	case options.Connect == nil:
		return errors.New("there are no machines here")
	}
	port := m.Port
	if port == "" {
		port = options.Port
	}
	opening, done := b.talk.Interruptible(ctx)
	connected, err := options.Connect(opening, port, &b.talk)
	stopped := context.Cause(opening)
	done()
	if err != nil {
		return errors.Join(err, stopped)
	}
	b.mu.Lock()
	b.machine = connected
	b.mu.Unlock()
	b.sending = sending.Sending{Talk: &b.talk, Machine: connected, Profile: options.Settings.Profile, Now: options.Now}
	if err := b.talk.Settle(ctx, connected); err != nil {
		return err
	}
	return b.tellCutOff(ctx, m)
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
	k.out.Text(sayMessage{Type: "say", Kind: "note", Text: "The window that began this drawing has gone, and the machine holds. It can be stopped from here; what is left of the drawing can be gone on with then, or abandoned."})
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
	k.out.latest("machine", seenBy(k, b.holder, b.state))
}

func (k *socket) disconnect(_ context.Context, m *fromPage) {
	b := k.server.bench
	b.do(k.server.running, k, m, true, func(context.Context) error { return b.release() })
}

// release closes the port. Nothing moves.
func (b *bench) release() error {
	err := b.machine.Close()
	b.mu.Lock()
	defer b.mu.Unlock()
	b.machine = nil
	return err
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
		b.stop()
	case "go on":
		if b.holder != k || !b.sworn {
			k.failed(m, errors.New("the word for this drawing was typed in another window; stop it here, and go on with it then"))
			return
		}
		b.person.press(operate.KeyGoOn)
	case "leave":
		if b.holder == k {
			b.person.answer(left)
		}
	}
}

// abandon stops the drawing on its line, if it is under way, and drops what is left
// of it: the machine can draw another at once.
func (k *socket) abandon(_ context.Context, m *fromPage) {
	b := k.server.bench
	b.mu.Lock()
	if b.busy {
		defer b.mu.Unlock()
		if b.holder != k {
			k.failed(m, errOther)
			return
		}
		b.abandoned = true
		b.stop()
		return
	}
	b.mu.Unlock()
	b.do(k.server.running, k, m, true, func(context.Context) error { return b.drop() })
}

func (b *bench) drop() error {
	b.begin(&fromPage{})
	if err := b.sending.Abandon(); err != nil {
		return err
	}
	b.showLeft(leftMessage{})
	return nil
}

// stands says where the stylus is: somebody looked.
func (k *socket) stands(_ context.Context, m *fromPage) {
	b := k.server.bench
	at, err := placeIn(m.At)
	if err != nil {
		k.failed(m, err)
		return
	}
	b.do(k.server.running, k, m, true, func(ctx context.Context) error {
		return b.machine.Declare(ctx, at)
	})
}

// walk brings the stylus to a place of the page, after a word.
func (k *socket) walk(_ context.Context, m *fromPage) {
	b := k.server.bench
	to, err := placeIn(m.To)
	if err != nil {
		k.failed(m, err)
		return
	}
	b.do(k.server.running, k, m, true, func(ctx context.Context) error {
		return sending.Walk(ctx, &b.talk, b.machine, b.server.options.Settings.Profile, to)
	})
}

// placeIn reads a place: two numbers of page mm, no fewer and no more. An array of Go
// would take what is missing for 0, and the stylus to be there.
func placeIn(text json.RawMessage) (geom.Point, error) {
	const farthest = 1e6 // mm, beyond any machine
	var numbers []*float64
	if json.Unmarshal(text, &numbers) != nil || len(numbers) != 2 || slices.ContainsFunc(numbers, func(n *float64) bool { return n == nil || math.Abs(*n) > farthest }) {
		return geom.Point{}, errors.New("the place wants two numbers of mm")
	}
	return geom.Point{X: *numbers[0], Y: *numbers[1]}, nil
}

func (k *socket) wipe(_ context.Context, m *fromPage) {
	b := k.server.bench
	b.do(k.server.running, k, m, true, func(ctx context.Context) error {
		b.talk.Cautions()
		return b.talk.Wipe(ctx, b.machine, false)
	})
}

// send draws a sheet of a text, as `wend send` would.
func (k *socket) send(_ context.Context, m *fromPage) {
	b := k.server.bench
	b.do(k.server.running, k, m, true, func(ctx context.Context) error {
		if !b.machine.Calibrated {
			return &diag.Fault{Code: "machine-uncalibrated", Args: diag.Args{"name": b.sending.Profile.Name}}
		}
		b.begin(m)
		goOn, err := b.sending.Settle(ctx)
		switch {
		case err != nil:
			return err
		case goOn:
			return b.goOn(ctx, m)
		}
		b.begin(m)
		return b.draw(ctx)
	})
}

// resume goes on with the drawing that was cut off, which the page shows.
func (k *socket) resume(_ context.Context, m *fromPage) {
	b := k.server.bench
	b.do(k.server.running, k, m, true, func(ctx context.Context) error { return b.goOn(ctx, m) })
}

func (b *bench) goOn(ctx context.Context, m *fromPage) error {
	b.begin(m)
	if err := b.sending.Recall(); err != nil {
		return err
	}
	return b.draw(ctx)
}

// draw draws what was taken, and drops what is left of it if that is wanted.
func (b *bench) draw(ctx context.Context) error {
	defer b.machine.Disarm()
	err := b.sending.Draw(ctx, true)
	b.mu.Lock()
	abandoned := b.abandoned
	b.mu.Unlock()
	switch {
	case err == nil:
		return b.sending.Marked
	case abandoned:
		return errors.Join(err, b.drop())
	}
	return err
}

// tellCutOff says that a drawing was cut off on the machine that was just connected,
// and shows how far it came if the page has it.
func (b *bench) tellCutOff(ctx context.Context, m *fromPage) error {
	b.begin(m)
	u, err := b.sending.Unfinished()
	if err != nil || u == nil {
		return err
	}
	b.talk.Say("%s", u)
	if !u.Resumable {
		return nil
	}
	if err := b.sending.Recall(); err != nil {
		return err
	}
	return b.sending.ShowLeft(ctx)
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
