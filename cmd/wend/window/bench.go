package window

import (
	"context"
	"errors"
	"sync"
	"time"

	"wend/cmd/wend/operate"
	"wend/cmd/wend/sending"
	"wend/internal/expression"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/link"
)

// A window that has not answered for so long, or a clock that jumps by as much,
// makes the machine hold.
const (
	silence  = 2 * time.Second
	pingTime = 250 * time.Millisecond
)

// bench is the machine of a window, and the conversation about it. One page holds
// it at a time. What moves is done by one goroutine, in order.
type bench struct {
	server *Server
	person *person
	talk   operate.Conversation

	mu      sync.Mutex
	holder  *socket // nil: its window has gone, or none has connected
	heard   time.Time
	busy    bool
	machine *operate.Connection
	sending sending.Sending // to the machine
	state   machineMessage
	line    *drawnLine // that is being drawn
	over    sync.WaitGroup
	// sworn says that the window that holds the machine is the one in which the
	// word was typed. Another one that takes over may stop, not go on.
	sworn bool
	// stopping is when a stop was asked for last of what is under way; abandoned
	// says that what is left of it is to be dropped.
	stopping  time.Time
	abandoned bool
}

func newBench(s *Server) *bench {
	b := &bench{server: s}
	b.state = b.none()
	b.person = newPerson(b)
	b.talk = operate.Conversation{Person: b.person, Labelled: true, Remedy: "if it stands elsewhere, say where: move its mark on the sheet"}
	return b
}

// none is the state of no machine.
func (b *bench) none() machineMessage {
	return machineMessage{Type: "machine", State: "none", Certainty: "lost", Port: b.server.options.Port}
}

// showLeft has the page that holds the machine show how far a drawing came.
func (b *bench) showLeft(m leftMessage) {
	m.Type = "left"
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.holder != nil {
		b.holder.out.latest("left", m)
	}
}

func (b *bench) say(m sayMessage) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.holder != nil {
		b.holder.out.Text(m)
	}
}

var wordInQuestion = expression.Of("(?i)type `([^`]+)`")

// asked puts a question to the page, and reports whether one is there.
func (b *bench) asked(question string) bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.holder == nil {
		return false
	}
	m := sayMessage{Type: "say", Text: question, Kind: "question"}
	if found := wordInQuestion.FindAllStringSubmatch(question, -1); len(found) == 1 {
		m.Word = &found[0][1]
	}
	b.state.State = "asking"
	b.tell()
	b.holder.out.Text(m)
	return true
}

// tell sends how the machine stands to every page. The lock is held.
func (b *bench) tell() {
	state, holder := b.state, b.holder
	b.server.each(func(k *socket) { k.out.latest("machine", seenBy(k, holder, state)) })
}

func seenBy(k, holder *socket, state machineMessage) machineMessage {
	state.HeldByOther = state.State != "none" && holder != nil && holder != k
	return state
}

// stand reads off where the machine stands. The lock is held, and nothing moves.
func (b *bench) stand(state string) {
	b.state.State = state
	if b.machine == nil {
		b.state = b.none()
	} else {
		_, at, certainty := b.machine.Where()
		b.state.Name, b.state.Certainty, b.state.At = b.machine.Name, certainty.String(), placeOf(at, certainty)
	}
	b.tell()
}

func placeOf(at geom.Point, certainty link.Certainty) *[2]float64 {
	if certainty == link.Lost {
		return nil
	}
	return &[2]float64{at.X, at.Y}
}

// shown takes a report of a motion.
func (b *bench) shown(status *operate.Status) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if status == nil {
		return
	}
	b.state.State = "moving"
	if status.Mode == link.Held {
		b.state.State = "held"
	}
	b.state.Certainty, b.state.At, b.state.Seconds = status.Certainty.String(), placeOf(status.At, status.Certainty), status.SecondsTo
	b.state.Drawn, b.state.Queued, b.state.Of = b.line.pieces(status.DrawnMM)
	b.tell()
}

var errOther = errors.New("another window holds the machine")

// do has one thing done that may move the machine, unless another is under way.
func (b *bench) do(ctx context.Context, k *socket, m *fromPage, needs bool, work func(context.Context) error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	switch {
	case b.holder != nil && b.holder != k:
		k.failed(m, errOther)
		return
	case b.busy:
		k.failed(m, errors.New("the machine is at something else; it can be held and stopped meanwhile"))
		return
	case needs && b.machine == nil:
		k.failed(m, errors.New("no machine is connected"))
		return
	}
	b.holder, b.busy, b.sworn, b.heard = k, true, true, b.server.now()
	b.stopping, b.abandoned = time.Time{}, false
	b.person.calm()
	b.over.Go(func() {
		err := work(ctx)
		b.report(err)
		var fault *diag.Fault
		if b.machine != nil && errors.As(err, &fault) && fault.Code == "link-gone" {
			b.release() //nolint:errcheck // it is there no more
		}
		var unfinished *unfinishedMessage
		if b.machine != nil {
			unfinished = b.unfinished()
		}
		b.mu.Lock()
		defer b.mu.Unlock()
		b.busy, b.line, b.state.Unfinished = false, nil, unfinished
		b.state.Drawn, b.state.Queued, b.state.Of, b.state.Seconds = 0, 0, 0, 0
		if b.holder == nil && b.machine != nil {
			b.machine.Close() //nolint:errcheck // nothing moves any more, and nobody is there
			b.machine = nil
		}
		if errors.Is(err, link.ErrStopped) {
			b.stand("stopped")
		} else {
			b.stand("connected")
		}
	})
}

// report says what came of something.
func (b *bench) report(err error) {
	var list diag.List
	var fault *diag.Fault
	switch {
	case err == nil:
	case errors.As(err, &list):
		b.person.Diagnose(list)
	case errors.As(err, &fault):
		b.person.Diagnose(diag.List{fault.At(source.Span{})})
	default:
		b.person.Say(sentence(err))
	}
}

// watch makes the machine hold where its window does not answer any more, or the
// clock jumps. It ends with the context.
func (b *bench) watch(ctx context.Context) {
	tick := time.NewTicker(pingTime / 2)
	defer tick.Stop()
	last := b.server.now()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		now := b.server.now()
		b.mu.Lock()
		// A computer that slept has a wall clock that jumped.
		away := b.holder == nil || now.Sub(b.heard) > silence || now.Sub(last).Abs() > silence
		if b.busy && away {
			b.person.press(operate.KeyHold)
			b.person.answer(left)
		}
		b.mu.Unlock()
		last = now
	}
}

// answered notes that a window is there.
func (b *bench) answered(k *socket) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.holder == k {
		b.heard = b.server.now()
	}
}

// gone lets the machine of a window that has gone hold; what is asked is left.
func (b *bench) gone(k *socket) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.holder != k {
		return
	}
	b.holder, b.sworn = nil, false
	if b.busy {
		b.person.press(operate.KeyHold)
		b.person.answer(left)
		return
	}
	if b.machine != nil {
		b.machine.Close() //nolint:errcheck // nothing moves
		b.machine = nil
	}
	b.stand("none")
}

// doubled is within which a second press of the stop is one with the first: a
// doubled click.
const doubled = time.Second

// stop asks what is under way to stop, and when that is asked for again while it
// still moves, to do so at once. The lock is held.
func (b *bench) stop() {
	now := b.server.now()
	if b.stopping.IsZero() || now.Sub(b.stopping).Abs() >= doubled {
		b.stopping = now
		b.person.stop()
	}
}

// Interrupt asks a machine that moves to stop, as Ctrl-C at a terminal does, and
// reports whether there was one.
func (s *Server) Interrupt() bool {
	b := s.bench
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.busy {
		b.person.stop()
	}
	return b.busy
}

// close stops what moves, and closes the port.
func (b *bench) close() {
	b.server.Interrupt()
	b.over.Wait()
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.machine != nil {
		b.machine.Close() //nolint:errcheck // nothing moves any more
		b.machine = nil
	}
}
