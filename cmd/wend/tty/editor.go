//go:build linux || darwin || freebsd || netbsd || openbsd

package tty

import (
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"sync"
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
// end of one line. Whatever comes after stays here: for the next line or for a
// key press. What was there before a question is kept aside for the next line
// that is no answer, and so is what is pasted at any time when no line is read:
// a paste answers nothing and presses no key.
//
// Ctrl-C clears the line while one is open; at any other time it interrupts.
type Editor struct {
	state   *liner.State
	typed   bytesIn
	pipe    *os.File // the end that is written to
	history string   // path, or empty
	resized chan os.Signal
	byHand  bool // the latest line was

	mu    sync.Mutex
	reads reading
	aside []stroke
}

// reading is what is being read.
type reading int

const (
	nothing reading = iota
	aLine
	anAnswer
)

func (e *Editor) read(what reading) {
	e.mu.Lock()
	defer e.mu.Unlock()
	e.reads = what
}

// NewEditor takes over the terminal. history is the file in which the lines of
// earlier sessions are, or empty; it need not exist.
func NewEditor(terminal *os.File, history string, complete Completer, interrupt func()) (*Editor, error) {
	from, to, err := os.Pipe()
	if err != nil {
		return nil, err
	}
	typed := make(chan stroke, 1<<16)
	e := &Editor{typed: typed, pipe: to, history: history, resized: make(chan os.Signal, 1)}
	signal.Notify(e.resized, unix.SIGWINCH)
	go func() {
		defer close(typed)
		buffer, marks := make([]byte, 4096), pasteMarks{}
		for {
			n, err := terminal.Read(buffer)
			for _, s := range marks.strokes(buffer[:n]) {
				if e.takes(s, interrupt) {
					typed <- s
				}
			}
			if err != nil {
				return
			}
		}
	}()
	// The library has no other way to be told where to read.
	real := os.Stdin
	os.Stdin = from
	e.state = liner.NewLiner()
	os.Stdin = real

	fmt.Print(pasteMarksOn)
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

// takes decides about what was typed or pasted: whether it goes where lines and
// keys are read. A paste while no line is read is kept aside.
func (e *Editor) takes(s stroke, interrupt func()) bool {
	e.mu.Lock()
	defer e.mu.Unlock()
	switch {
	case s.pasted && e.reads != aLine:
		e.aside = append(e.aside, s)
		return false
	case s.b == byte(operate.KeyCtrlC) && e.reads == nothing:
		interrupt()
		return false
	case endsLine(s.b):
		e.reads = nothing
	}
	return true
}

// ReadLine is that of LineReader.
func (e *Editor) ReadLine(prompts ...string) (string, error) {
	e.read(aLine)
	return e.line(prompts)
}

// Answer is that of LineReader.
func (e *Editor) Answer(prompts ...string) (string, error) {
	e.mu.Lock()
	for more := true; more; {
		select {
		case s, open := <-e.typed:
			if more = open; open {
				e.aside = append(e.aside, s)
			}
		default:
			more = false
		}
	}
	e.reads = anAnswer
	e.mu.Unlock()
	return e.line(prompts)
}

// ByHand is that of LineReader.
func (e *Editor) ByHand() bool { return e.byHand && !e.Waiting() }

// kept gives what was kept aside for a line, byte by byte.
func (e *Editor) kept() (s stroke, ok bool) {
	e.mu.Lock()
	defer e.mu.Unlock()
	if e.reads != aLine || len(e.aside) == 0 {
		return stroke{}, false
	}
	s, e.aside = e.aside[0], e.aside[1:]
	if endsLine(s.b) {
		e.reads = nothing
	}
	return s, true
}

// next gives the next byte of the line that is read.
func (e *Editor) next(stop <-chan struct{}) (s stroke, what event) {
	if s, ok := e.kept(); ok {
		e.byHand = false
		return s, aStroke
	}
	select {
	case s, open := <-e.typed:
		if !open {
			return s, theEnd
		}
		if endsLine(s.b) {
			e.read(nothing)
			e.byHand = e.byHand && !s.joined
		}
		e.byHand = e.byHand && !s.pasted
		return s, aStroke
	case <-e.resized:
		return s, aResize
	case <-stop:
		return s, aStop
	}
}

// event is what came.
type event int

const (
	aStroke event = iota
	aResize
	aStop
	theEnd
)

func (e *Editor) line(prompts []string) (string, error) {
	e.byHand = !e.Waiting()
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
		switch s, what := e.next(stop); what {
		case theEnd:
			e.pipe.Close()
			return n, false
		case aStop:
			return n, false
		case aResize:
			if columnsOf(os.Stdout) < utf8.RuneCountInString(prompt)+editColumns {
				e.pipe.Write([]byte{'\r'}) //nolint:errcheck // then nothing is read any more
				return n, true
			}
		default:
			n++
			if _, err := e.pipe.Write([]byte{s.b}); err != nil || endsLine(s.b) {
				return n, false
			}
		}
	}
}

// readBare reads a line in a window in which no line can be edited: only its
// end can be taken back.
func (e *Editor) readBare(prompt, text string) (string, error) {
	fmt.Print(prompt + text)
	line := []byte(text)
	for {
		s, what := e.next(nil)
		switch b := s.b; {
		case what == aResize:
		case what == theEnd, b == byte(operate.KeyCtrlD) && len(line) == 0:
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
func (e *Editor) Waiting() bool {
	e.mu.Lock()
	defer e.mu.Unlock()
	return len(e.typed) > 0 || len(e.aside) > 0
}

// Drop is that of LineReader.
func (e *Editor) Drop() { e.typed.drain() }

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
	fmt.Print(pasteMarksOff)
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
