//go:build !(linux || darwin || freebsd || netbsd || openbsd)

package tty

import (
	"errors"
	"os"

	"wend/cmd/wend/operate"
)

// Editor is the line editor of a terminal. On this system there is none:
// entries are read as plain lines.
type Editor struct{ LineReader }

// NewEditor gives an error.
func NewEditor(*os.File, string, Completer, func()) (*Editor, error) {
	return nil, errors.New("no line editor on this system")
}

// Keys are none.
func (e *Editor) Keys() operate.Keys { return nil }

// Remember does nothing.
func (e *Editor) Remember(string) {}

// Close does nothing.
func (e *Editor) Close() error { return nil }
