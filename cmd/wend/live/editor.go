//go:build linux || darwin || freebsd || netbsd || openbsd

package live

import (
	"errors"
	"io"
	"os"
	"strings"
	"sync/atomic"

	"github.com/peterh/liner"
	"golang.org/x/sys/unix"
)

// Editor is the line editor of a terminal: history, completion, correction.
//
// The editing library reads ahead into a buffer of its own, where what was
// typed for later could neither be seen nor dropped. So it is given a pipe in
// place of the terminal, into which each call of ReadLine puts bytes up to the
// end of one line. Whatever comes after stays here: for the next line, for a
// key press, or to be dropped.
//
// Ctrl-C clears the line while one is open; at any other time it interrupts.
type Editor struct {
	state   *liner.State
	typed   bytesIn
	pipe    *os.File // the end that is written to
	history string   // path, or empty
	open    atomic.Bool
}

// NewEditor takes over the terminal. history is the file in which the lines of
// earlier sessions are, or empty; it need not exist.
func NewEditor(terminal *os.File, history string, complete Completer, interrupt func()) (*Editor, error) {
	from, to, err := os.Pipe()
	if err != nil {
		return nil, err
	}
	typed := make(chan byte, 1<<16)
	e := &Editor{typed: typed, pipe: to, history: history}
	go func() {
		buffer := make([]byte, 4096)
		for {
			n, err := terminal.Read(buffer)
			for _, b := range buffer[:n] {
				switch {
				case b == byte(KeyCtrlC) && !e.open.Load():
					interrupt()
					continue
				case endsLine(b):
					e.open.Store(false)
				}
				typed <- b
			}
			if err != nil {
				close(typed)
				return
			}
		}
	}()
	// The library has no other way to be told where to read.
	real := os.Stdin
	os.Stdin = from
	e.state = liner.NewLiner()
	os.Stdin = real

	if err := withoutSignals(int(terminal.Fd())); err != nil {
		return nil, errors.Join(err, e.state.Close())
	}
	state := e.state
	state.SetCtrlCAborts(true)
	state.SetBeep(false)
	state.SetTabCompletionStyle(liner.TabPrints)
	state.SetWordCompleter(liner.WordCompleter(complete))
	if file, err := os.Open(history); err == nil {
		state.ReadHistory(file) //nolint:errcheck // a faulty history is only shorter
		file.Close()
	}
	return e, nil
}

// withoutSignals has a terminal hand on Ctrl-C as any other key, at any time:
// what it means is decided here.
func withoutSignals(fd int) error {
	mode, err := unix.IoctlGetTermios(fd, readTermios)
	if err != nil {
		return err
	}
	mode.Lflag &^= unix.ISIG
	return unix.IoctlSetTermios(fd, writeTermios, mode)
}

func endsLine(b byte) bool { return b == '\r' || b == '\n' || b == byte(KeyCtrlC) }

// ReadLine is that of LineReader.
func (e *Editor) ReadLine(prompt string) (string, error) {
	stop := make(chan struct{})
	fed := make(chan int, 1)
	e.open.Store(true)
	go func() { fed <- e.feed(stop) }()
	line, err := e.state.Prompt(prompt)
	close(stop)
	typed := <-fed
	switch {
	case errors.Is(err, liner.ErrPromptAborted) && typed == 1:
		return "", ErrIdle
	case errors.Is(err, liner.ErrPromptAborted):
		return "", ErrCleared
	}
	return line, err
}

// feed hands bytes on up to the one that ends the line, and tells how many.
func (e *Editor) feed(stop <-chan struct{}) int {
	for n := 0; ; n++ {
		select {
		case b, open := <-e.typed:
			if !open {
				e.pipe.Close()
				return n
			}
			if endsLine(b) {
				e.open.Store(false)
			}
			if _, err := e.pipe.Write([]byte{b}); err != nil || endsLine(b) {
				return n + 1
			}
		case <-stop:
			return n
		}
	}
}

// Fresh is that of LineReader.
func (e *Editor) Fresh() int { return e.typed.drain() }

// Keys are the key presses on the same terminal, while no line is read.
func (e *Editor) Keys() Keys { return e.typed }

// Remember adds an entry to the history, line by line.
func (e *Editor) Remember(entry string) {
	for line := range strings.Lines(entry) {
		if line = strings.TrimSpace(line); line != "" {
			e.state.AppendHistory(line)
		}
	}
}

// Close gives the terminal back and writes the history.
func (e *Editor) Close() error {
	err := e.state.Close()
	e.pipe.Close()
	if e.history == "" {
		return err
	}
	file, failed := os.OpenFile(e.history, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o600)
	if failed != nil {
		return errors.Join(err, failed)
	}
	_, failed = e.state.WriteHistory(file)
	return errors.Join(err, failed, file.Close())
}

var _ io.Closer = (*Editor)(nil)
