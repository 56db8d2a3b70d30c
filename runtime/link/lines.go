package link

import (
	"fmt"

	"wend/runtime/gate"
	"wend/runtime/machine"
)

// lines are those that the board has not answered yet: they and no others may
// still be in its receive buffer.
type lines struct {
	room    int // usable bytes of the receive buffer
	pending []pending
	bytes   int // of pending
	// refusals is how many lines the board has refused since it was reset.
	refusals int
}

func newLines(p *machine.Profile) lines { return lines{room: p.Board.ReceiveBufferBytes - 1} }

// label is what a line stands for in a drawing.
type label struct {
	index  int    // of moves and waits, from 1
	line   int    // of the instructions, from 1
	origin string // where in the program it came from, as its comment says
}

// String is where the line came from, for people.
func (l *label) String() string {
	switch {
	case l == nil:
		return "what is told to the board before anything moves"
	case l.origin != "":
		return l.origin
	case l.line > 0:
		return fmt.Sprintf("line %d of the instructions", l.line)
	}
	return "a motion by hand"
}

// pending is a line that the board has not answered yet.
type pending struct {
	bytes int
	text  string
	from  *label // nil for what is not part of a drawing
}

// drop forgets what was sent: the board has too.
func (q *lines) drop() { q.pending, q.bytes, q.refusals = q.pending[:0], 0, 0 }

func (q *lines) sent(text string, from *label) {
	q.pending = append(q.pending, pending{len(text) + 1, text, from})
	q.bytes += len(text) + 1
}

// answered takes the oldest line off; false if there is none.
func (q *lines) answered() (pending, bool) {
	if len(q.pending) == 0 {
		return pending{}, false
	}
	p := q.pending[0]
	q.bytes -= p.bytes
	q.pending = append(q.pending[:0], q.pending[1:]...)
	return p, true
}

func (q *lines) empty() bool { return len(q.pending) == 0 }

// fits reports whether a line may be written: the receive buffer has room for it.
func (q *lines) fits(line gate.Line) bool { return q.bytes+len(line.String())+1 <= q.room }
