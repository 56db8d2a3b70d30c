// Package link carries instructions to a motion board, and knows at any time
// what may move and how well the position is known.
//
// A Link is a state machine of one thread: it writes, reads, and thinks about
// what it read, in turns (board.step). Time comes from a clock that is passed
// in, bytes from an io.ReadWriter whose Read waits a little and may give
// nothing, files from an interface; so a run on a simulated machine is the same
// every time, and the same code runs on a real port.
//
// It is made of three, each of which knows only those before it. A board is the
// conversation: bytes, answers, reports, modes, settings; it tells a listener
// what it hears. A position is where the motors stand and how well that is
// known: place, slack, what the gate guards, what memory keeps; it knows of no
// board. A flow is what was sent and is not drawn yet, and finds a report's
// place on it. The Link itself holds the mode of the machine; a drawing is one
// run of it, with its operator, its mending and its journal.
//
// Whatever is written to the wire was made by a gate.Gate; there is no other
// way to write. In flight are at most the receive buffer of the board less one
// byte, and at most one second of motion, by a model of the board that is
// corrected by each of its reports. Each report's position is held against the
// line that was sent.
//
// What goes wrong is one of three. Where the board can be asked and its answers
// agree with what was sent (lost answers, noise from the board, a line that it
// refused), the motors are held, the board is reset at rest, and the line goes
// on from the reported position: nothing is seen of it. Where something is
// known to be missing from the line, it stays held until an operator decides.
// Where nothing ties the board's count to the stylus any more (it was reset
// while moving, an alarm, its position is off the line, its answers stay away),
// everything stops and the position is lost, which is said.
//
// It does not plan: speeds and slack are in the instructions. It cannot know of
// steps that a motor did not make, nor of a knob turned by hand: an operator's
// look is the only check of that.
package link
