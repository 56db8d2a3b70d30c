package operate

import (
	"context"
	"errors"

	"wend/lang/diag"
)

// Person is whoever stands beside the machine, by way of what they read and
// type at.
type Person interface {
	// Say tells something that stays to be read.
	Say(text string)
	// Diagnose tells what is wrong.
	Diagnose(list diag.List)
	// Ask puts a question, and gives what is typed from then on: what was typed
	// or pasted ahead answers nothing. The error is ErrLeft where the person
	// wants to be asked nothing more, io.EOF where nobody is there any more, or
	// the context's.
	Ask(ctx context.Context, question string) (string, error)
	// Show shows how far a motion is, in place of what it showed before. After
	// the last one it is called with nil.
	Show(status *Status)
	// Keys are single key presses; nil where there are none.
	Keys() Keys
	// Interrupted gives one for each wish to stop that came while no question
	// was open: Ctrl-C, or a signal that ends the process.
	Interrupted() <-chan struct{}
}

// ErrLeft says that a person who was asked left the question.
var ErrLeft = errors.New("the question was left")

// ErrDeclined says that an operator did not type the word that was asked for.
var ErrDeclined = errors.New("not done")

// ErrStopped says that an operator wanted to stop what they waited for.
var ErrStopped = errors.New("stopped by the operator")

// Keys are single key presses, read without Enter.
type Keys interface {
	// Key waits for the next key. The error is ctx's, or io.EOF.
	Key(ctx context.Context) (Key, error)
}

// Key is one key press: a character, or one of the keys below.
type Key rune

// Keys that are no characters.
const (
	KeyUp Key = -1 - iota
	KeyDown
	KeyRight
	KeyLeft
	KeyEscape
	KeyOther // a key that means nothing here
	// Of a window, which has a key for each: neither undoes the other.
	KeyHold
	KeyGoOn
)

// Control keys, as a terminal sends them.
const (
	KeyCtrlC Key = 0x03
	KeyCtrlD Key = 0x04
	KeyEnter Key = '\r'
)

// Arrow reports whether a key is one of the four arrows.
func (k Key) Arrow() bool { return k <= KeyUp && k >= KeyLeft }
