package link

import (
	"context"
	"io"
	"time"

	"wend/lang/diag"
	"wend/runtime/gate"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

// listener is told what the board said, as it is heard.
type listener interface {
	// reported: the last report is a new one.
	reported()
	// taken: the board has a line of a drawing in its queue.
	taken(index int)
	// missing: the board refused a line.
	missing()
	// alarmed: the board stands in an alarm, or has stopped with one. The answer
	// says whether nothing was to move, so that it may be unlocked.
	alarmed(how string) bool
}

// board is the conversation with a motion board: bytes out and in, answers,
// reports, modes and settings. It knows nothing of drawings, nor whether the
// position is true.
type board struct {
	wire     io.ReadWriter
	now      func() time.Time
	listener listener
	pitch    pitch
	reportS  float64 // between questions for the status, while something moves
	lines    lines

	// What the board said.
	partial     []byte
	last        report
	reports     int
	mostFree    int       // bytes of the receive buffer, when nothing waited in it
	still       int       // reports in a row of motors that stand at one place
	movedAt     time.Time // when the reported place changed last, or could have
	greetings   int
	ran         bool // a start-up line was obeyed
	settings    settings
	modes       string
	trouble     *trouble
	drainedWire bool // the last reading of the wire gave nothing

	polling    float64       // seconds between questions for the status; 0: none
	polled     time.Time     // when the last one was sent
	asked      []time.Time   // when those were sent that are not answered yet
	unanswered time.Time     // when the first one without an answer was; zero: none
	roundTrip  time.Duration // of the last one that was answered

	keptRunning bool       // opening the port did not reset it
	opening     report     // what it said then
	stated      bool       // it knows modes and position
	shift       geom.Point // what to add to its own coordinates for machine mm
}

// Timing, in seconds.
const (
	greetingS   = 4.0 // from opening the port to the greeting, at most
	resetS      = 2.5 // from a reset at rest to the greeting
	answerS     = 2.0 // to a question
	silentS     = 1.5 // a board that says nothing that long is lost
	pollS       = 0.1 // between questions for the status
	quickPollS  = 0.05
	standstillS = 4.0 // to a stand after a hold
)

func newBoard(wire io.ReadWriter, now func() time.Time, p *machine.Profile, to listener) *board {
	b := &board{wire: wire, now: now, listener: to, settings: newSettings()}
	b.adopt(p)
	return b
}

// adopt has the conversation go on with a board that a profile describes. Nothing
// may be on its way.
func (b *board) adopt(p *machine.Profile) {
	// Reports take at most a fifth of a slow wire.
	const reportBytes = 64
	b.reportS = max(pollS, 5*reportBytes*10/float64(p.Board.Baud))
	b.pitch, b.lines = newPitch(p), newLines(p)
}

// signal sends a byte that acts at once, beside the stream of lines.
func (b *board) signal(s gate.Byte) error { return b.write([]byte{s.Value()}) }

// write is the one place where bytes go onto the wire.
func (b *board) write(bytes []byte) error {
	for len(bytes) > 0 {
		n, err := b.wire.Write(bytes)
		if err != nil {
			return b.gone(err)
		}
		bytes = bytes[n:]
	}
	return nil
}

// transmit sends a line that a gate made; from is what it stands for in a
// drawing, nil where it is no part of one.
func (b *board) transmit(line gate.Line, from *label) error {
	text := line.String()
	if text == "" {
		return nil
	}
	b.lines.sent(text, from)
	return b.write(append([]byte(text), '\n'))
}

// ask sends a question or a setting and waits for the end of its answer.
func (b *board) ask(ctx context.Context, line gate.Line) error {
	for range 3 {
		b.forgetTrouble()
		b.lines.drop()
		if err := b.transmit(line, nil); err != nil {
			return err
		}
		ok, err := b.until(ctx, answerS, 0, func() bool { return b.lines.empty() || b.trouble != nil })
		switch {
		case err != nil:
			return err
		case ok && b.trouble == nil:
			return nil
		case b.trouble != nil && (b.trouble.kind == troubleGone || b.trouble.kind == troubleAlarm):
			return b.trouble.fault()
		}
	}
	if b.trouble != nil {
		return b.trouble.fault()
	}
	return &diag.Fault{Code: "board-silent", Args: diag.Args{"seconds": int(3 * answerS)}}
}

// tell sends a line and waits for its answer; it reports whether that was good.
func (b *board) tell(ctx context.Context, line gate.Line) (bool, error) {
	if err := b.transmit(line, nil); err != nil {
		return false, err
	}
	ok, err := b.until(ctx, answerS, 0, func() bool { return b.lines.empty() || b.trouble != nil })
	return ok && b.trouble == nil, err
}

// readSettings reads settings and start-up lines back. On a wire without a
// checksum they are read until two readings agree.
func (b *board) readSettings(ctx context.Context) error {
	known := b.settings
	var before settings
	for range 6 {
		b.settings = newSettings()
		err := b.ask(ctx, gate.ListSettings.Line())
		if err == nil {
			err = b.ask(ctx, gate.ListStartUp.Line())
		}
		if err != nil {
			// Half a list is no list.
			b.settings = known
			return err
		}
		if before.numbers != nil && before.agree(b.settings) {
			break
		}
		before = b.settings
	}
	return nil
}

// silence makes sure that a board of which little is known does not go on: it
// is held, and reset when it must stand. Nobody listens to its answers.
func (b *board) silence() {
	if b.signal(gate.Hold) != nil {
		return
	}
	end := b.now().Add(duration(standstillS))
	b.polling, b.still = quickPollS, 0
	for b.now().Before(end) && !b.standing() {
		if b.step() != nil {
			return
		}
	}
	b.resetUnheard()
}

// resetUnheard resets the board whatever it says to that, and waits a little
// for its greeting.
func (b *board) resetUnheard() {
	before := b.greetings
	if b.signal(gate.Reset) != nil {
		return
	}
	b.polling, b.unanswered = 0, time.Time{}
	b.lines.drop()
	end := b.now().Add(duration(resetS))
	for b.now().Before(end) && b.greetings == before {
		if b.step() != nil {
			return
		}
	}
}
