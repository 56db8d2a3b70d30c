package link

import (
	"context"
	"io"
	"time"

	"wend/runtime/gate"
	"wend/runtime/machine"
)

// Setup is what a link is made of.
type Setup struct {
	// Wire is the open port of the board. Its Read waits some milliseconds for
	// bytes and then gives none, without an error.
	Wire    io.ReadWriter
	Now     func() time.Time
	Profile *machine.Profile
	// Limits are what the gate guards; nil means the whole area.
	Limits *gate.Limits
	// Memory keeps the position; nil for a machine that is new each time. Then
	// At says where such a one stands, if that is known.
	Memory *Memory
	At     *Place
}

// Link is a machine at the other end of a wire.
type Link struct {
	board    *board
	position *position
	flow     *flow
	now      func() time.Time

	mode    Mode
	armedAt time.Time
	armedBy Certainty // how well the position must be known for what is drawn
	counts  bool      // the board counted on since the position was written down
	turned  bool      // the motors have turned since the port was opened
	drawing *drawing  // under way, or nil
}

// Connect waits for the board's greeting, reads its settings and states modes
// and position. The link is connected, with what Memory remembers as the
// position. Errors are *diag.Fault or the context's.
func Connect(ctx context.Context, s Setup) (*Link, error) {
	limits := gate.LimitsOf(s.Profile)
	if s.Limits != nil {
		limits = *s.Limits
	}
	g, err := gate.New(limits)
	if err != nil {
		return nil, err
	}
	l := &Link{now: s.Now, position: newPosition(s.Profile, g, s.Memory, s.At)}
	l.board = newBoard(s.Wire, s.Now, s.Profile, l)
	l.flow = newFlow(s.Profile, l.board, l.position)
	if err := l.board.greet(ctx); err != nil {
		return nil, err
	}
	l.counts = l.countsOn()
	if l.mode, err = l.mode.next(connects); err != nil {
		return nil, err
	}
	if err := l.board.unlock(ctx); err != nil {
		return nil, err
	}
	if err := l.board.readSettings(ctx); err != nil {
		return nil, err
	}
	if l.board.ran && l.position.certainty != Lost {
		l.lose("the board obeyed a line of its own after the reset")
	}
	return l, l.state(ctx)
}

// state tells the board modes and position.
func (l *Link) state(ctx context.Context) error {
	if err := l.board.state(ctx, l.position.gate); err != nil {
		return err
	}
	l.position.stand()
	return nil
}

func (l *Link) reported() { l.flow.reported() }

func (l *Link) taken(index int) { l.flow.taken(index) }

func (l *Link) missing() {
	if l.drawing != nil {
		l.drawing.refusalHeard()
	}
}

// alarmed: where nothing was to move, whatever it was, nobody knows where the
// motors are. A drawing looks into it itself.
func (l *Link) alarmed(how string) bool {
	if l.mode == Moving || l.mode == Held {
		return false
	}
	if l.position.certainty != Lost {
		l.lose(how)
	}
	return true
}
