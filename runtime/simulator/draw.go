package simulator

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"math"
	"strings"

	"wend/runtime/geom"
)

// Drawn is what a machine made of instructions.
type Drawn struct {
	Trace    []geom.Point // the line of the stylus, in mm from the walls' lower left corner
	Seconds  float64      // from the first motion to the last, waits included
	Contacts []Contact
	// FillS is for how many seconds so many moves were in the queue while the
	// motors turned, by the number of moves.
	FillS []float64
	Stops int // how often the motors stood for want of moves, the end included
	Lines int // sent
}

// RefusedError is a line that the board did not accept.
type RefusedError struct {
	Line   int // from 1, in the instructions
	Text   string
	Answer string // as the board gave it
}

func (e *RefusedError) Error() string {
	return fmt.Sprintf("the simulated board answered %q to line %d, %q", e.Answer, e.Line, e.Text)
}

// answerWaitS is how long Draw waits for an answer while nothing moves, in
// seconds.
const answerWaitS = 60

// Draw runs instructions as an ideal sender would: it keeps as many bytes on
// their way as the receive buffer holds, leaves out comments and blanks, and
// does not pause. It ends when all is drawn.
//
// The error is a *RefusedError, the reader's, or the context's.
func Draw(ctx context.Context, instructions io.Reader, setup Setup) (Drawn, error) {
	m := New(setup)
	m.mu.Lock()
	defer m.mu.Unlock()
	// What the board says as it starts, also by its start-up lines, is no answer.
	m.advance(m.booted, func() bool { return false })
	for m.out.head < len(m.out.bytes) {
		m.advanceByByte(math.Inf(1), m.speaks)
		m.transmit(nil, maxBytes)
	}
	d := drawing{ctx: ctx, m: m, room: m.board.ReceiveBytes - 1}
	lines := bufio.NewScanner(instructions)
	for number := 1; lines.Scan(); number++ {
		if number%1024 == 0 && ctx.Err() != nil {
			return d.result(), ctx.Err()
		}
		text := instruction(lines.Text())
		if text == "" {
			continue
		}
		if err := d.send(number, text); err != nil {
			return d.result(), err
		}
	}
	if err := lines.Err(); err != nil {
		return d.result(), err
	}
	for d.pending() > 0 {
		if err := d.answer(); err != nil {
			return d.result(), err
		}
	}
	for m.motion.count > 0 {
		if err := ctx.Err(); err != nil {
			return d.result(), err
		}
		m.advance(m.now+1, func() bool { return m.motion.count == 0 })
	}
	return d.result(), nil
}

// instruction is what a sender passes on of a line of a file: no comments, no
// blanks, and nothing of a line that says where the program pauses or ends
// (comments, %, M0, M2: NISTIR 6556, from memory).
func instruction(line string) string {
	line, _, _ = strings.Cut(line, ";")
	for {
		before, rest, found := strings.Cut(line, "(")
		if !found {
			break
		}
		_, after, _ := strings.Cut(rest, ")")
		line = before + after
	}
	switch text := bare([]byte(line)); text {
	case "%", "M0", "M2":
		return ""
	default:
		return text
	}
}

const maxBytes = 1 << 30

// sent is a line that is not yet answered.
type sent struct {
	number, size int
	text         string
}

type drawing struct {
	ctx    context.Context
	m      *Machine
	room   int // bytes of the receive buffer left
	unseen []sent
	head   int
	lines  int
	out    []byte
	raw    []byte
}

func (d *drawing) pending() int { return len(d.unseen) - d.head }

func (d *drawing) send(number int, text string) error {
	size := len(text) + 1
	// A line longer than the buffer is sent alone; the board says what it thinks of it.
	for d.room < size && d.pending() > 0 {
		if err := d.answer(); err != nil {
			return err
		}
	}
	d.room -= size
	d.raw = append(append(d.raw[:0], text...), wireEnd)
	d.m.receive(d.raw)
	d.lines++
	if d.head > 256 {
		d.unseen = append(d.unseen[:0], d.unseen[d.head:]...)
		d.head = 0
	}
	d.unseen = append(d.unseen, sent{number, size, text})
	return nil
}

// answer waits for the board's next line.
func (d *drawing) answer() error {
	waited := 0.0
	for {
		before := d.m.now
		heard := d.m.await(1, func() bool { return false })
		d.out = d.m.transmit(d.out, maxBytes)
		if heard {
			break
		}
		if err := d.ctx.Err(); err != nil {
			return err
		}
		if d.m.motion.moving() || d.m.dwelling > 0 {
			waited = 0
		}
		if waited += d.m.now - before; waited > answerWaitS {
			return d.refused("")
		}
	}
	for {
		end := bytes.IndexByte(d.out, wireEnd)
		if end < 0 {
			return nil
		}
		text := string(bytes.TrimSpace(d.out[:end]))
		d.out = append(d.out[:0], d.out[end+1:]...)
		switch {
		case text == "":
		case text == wireOK && d.pending() > 0:
			d.room += d.unseen[d.head].size
			d.head++
		default:
			return d.refused(text)
		}
	}
}

func (d *drawing) refused(answer string) error {
	line := sent{}
	if d.pending() > 0 {
		line = d.unseen[d.head]
	}
	return &RefusedError{Line: line.number, Text: line.text, Answer: answer}
}

func (d *drawing) result() Drawn {
	look := d.m.look()
	return Drawn{
		Trace: d.m.mech.trail.points(), Seconds: look.EndedS - max(0, look.BeganS),
		Contacts: look.Contacts, FillS: look.FillS, Stops: look.Stops, Lines: d.lines,
	}
}
