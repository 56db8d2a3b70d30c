//go:build linux || darwin || freebsd || netbsd || openbsd

package tty

import (
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"sync/atomic"
	"unicode/utf8"

	"github.com/peterh/liner"
	"golang.org/x/sys/unix"

	"wend/cmd/wend/operate"
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
	resized chan os.Signal
}

// NewEditor takes over the terminal. history is the file in which the lines of
// earlier sessions are, or empty; it need not exist.
func NewEditor(terminal *os.File, history string, complete Completer, interrupt func()) (*Editor, error) {
	from, to, err := os.Pipe()
	if err != nil {
		return nil, err
	}
	typed := make(chan byte, 1<<16)
	e := &Editor{typed: typed, pipe: to, history: history, resized: make(chan os.Signal, 1)}
	signal.Notify(e.resized, unix.SIGWINCH)
	go func() {
		buffer := make([]byte, 4096)
		for {
			n, err := terminal.Read(buffer)
			for _, b := range buffer[:n] {
				switch {
				case b == byte(operate.KeyCtrlC) && !e.open.Load():
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

func endsLine(b byte) bool { return b == '\r' || b == '\n' || b == byte(operate.KeyCtrlC) }

// editColumns is how much room a prompt must leave: the 10 columns that the
// editing library wants, and two for signs that some locales show wider. With
// less the library hands the reading of the line back to the terminal, where
// what was typed ahead never comes to its end; so it is never asked with less.
const editColumns = 12

// ReadLine is that of LineReader.
func (e *Editor) ReadLine(prompts ...string) (string, error) {
	e.open.Store(true)
	text, typed := "", 0
	for {
		prompt, fits := fitting(prompts, e.measure()-editColumns)
		if !fits {
			return e.readBare(prompt, text)
		}
		stop := make(chan struct{})
		type feeding struct {
			n     int
			again bool
		}
		fed := make(chan feeding, 1)
		go func() {
			n, again := e.feed(prompt, stop)
			fed <- feeding{n, again}
		}()
		line, err := e.state.PromptWithSuggestion(prompt, text, -1)
		close(stop)
		f := <-fed
		typed += f.n
		switch {
		case errors.Is(err, liner.ErrInternal):
			// The window has lost its size. A rest of the line may still be read
			// for: this ends that.
			e.pipe.Write([]byte{'\r'}) //nolint:errcheck // then nothing is read any more
			return "", ErrCleared
		case errors.Is(err, liner.ErrPromptAborted) && typed == 1:
			return "", ErrIdle
		case errors.Is(err, liner.ErrPromptAborted):
			return "", ErrCleared
		case err == nil && f.again:
			text = line
			continue
		}
		return line, err
	}
}

// fitting is the first of several forms of a prompt that fits into so many
// columns, or the last one.
func fitting(prompts []string, columns int) (prompt string, fits bool) {
	for _, p := range prompts {
		if prompt = p; utf8.RuneCountInString(p) <= columns {
			return p, true
		}
	}
	return prompt, false
}

// measure is the width of the window. The editing library knows the same width
// then: it only looks at the window while it reads.
func (e *Editor) measure() int {
	for {
		before := columnsOf(os.Stdout)
		if before == 0 {
			return 0
		}
		if _, err := e.pipe.Write([]byte{byte(operate.KeyCtrlD)}); err != nil {
			return 0
		}
		// Of all its ways to read, this one never refuses a width; Ctrl-D ends it
		// before it shows anything.
		if _, err := e.state.PasswordPrompt(""); !errors.Is(err, io.EOF) {
			return 0
		}
		if columnsOf(os.Stdout) == before {
			return before
		}
	}
}

// columnsOf is the width of a terminal's window, or 0.
func columnsOf(terminal *os.File) int {
	size, err := unix.IoctlGetWinsize(int(terminal.Fd()), unix.TIOCGWINSZ)
	if err != nil {
		return 0
	}
	return int(size.Col)
}

// feed hands bytes on up to the one that ends the line, and gives how many. It
// ends the line itself if the window has become too narrow for the prompt:
// then the line is to be read again behind a shorter one.
func (e *Editor) feed(prompt string, stop <-chan struct{}) (n int, again bool) {
	for {
		select {
		case b, open := <-e.typed:
			if !open {
				e.pipe.Close()
				return n, false
			}
			n++
			if _, err := e.pipe.Write([]byte{b}); err != nil || endsLine(b) {
				return n, false
			}
		case <-e.resized:
			if columnsOf(os.Stdout) < utf8.RuneCountInString(prompt)+editColumns {
				e.pipe.Write([]byte{'\r'}) //nolint:errcheck // then nothing is read any more
				return n, true
			}
		case <-stop:
			return n, false
		}
	}
}

// readBare reads a line in a window in which no line can be edited: only its
// end can be taken back.
func (e *Editor) readBare(prompt, text string) (string, error) {
	fmt.Print(prompt + text)
	line := []byte(text)
	for {
		b, open := <-e.typed
		switch {
		case !open, b == byte(operate.KeyCtrlD) && len(line) == 0:
			return "", io.EOF
		case b == byte(operate.KeyCtrlC):
			fmt.Println("^C")
			if len(line) == 0 {
				return "", ErrIdle
			}
			return "", ErrCleared
		case endsLine(b):
			fmt.Println()
			return string(line), nil
		case b == 0x7f || b == '\b':
			if len(line) > 0 {
				_, size := utf8.DecodeLastRune(line)
				line = line[:len(line)-size]
				fmt.Print("\b \b")
			}
		case b >= ' ':
			line = append(line, b)
			os.Stdout.Write([]byte{b}) //nolint:errcheck // an echo
		}
	}
}

// Waiting is that of LineReader.
func (e *Editor) Waiting() bool { return len(e.typed) > 0 }

// Fresh is that of LineReader.
func (e *Editor) Fresh() int { return e.typed.drain() }

// Keys are the key presses on the same terminal, while no line is read.
func (e *Editor) Keys() operate.Keys { return e.typed }

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
	signal.Stop(e.resized)
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
