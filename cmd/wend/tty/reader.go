// Package tty is lines and single key presses from a terminal or a pipe: a
// line editor where there can be one, plain lines elsewhere.
package tty

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"unicode/utf8"

	"wend/cmd/wend/operate"
)

// LineReader is where entries come from.
type LineReader interface {
	// ReadLine shows a prompt, the first of its forms that leaves room to type
	// in the window, and gives the next line without its end. The error is
	// io.EOF at the end of the input, ErrCleared if the person took back what
	// was being typed, ErrIdle if there was nothing.
	ReadLine(prompts ...string) (string, error)
	// Answer is ReadLine for a line that is typed from now on: what was typed or
	// pasted before is kept for the next ReadLine.
	Answer(prompts ...string) (string, error)
	// ByHand reports whether the latest line was typed at its prompt, key by key,
	// and nothing waits behind it: neither pasted nor typed ahead. It is false
	// where that cannot be known.
	ByHand() bool
	// Waiting reports whether more was typed or pasted already than has been
	// read, as far as can be known.
	Waiting() bool
	// Drop drops what was typed ahead.
	Drop()
}

// Completer gives what the word before a cursor can go on as, between the text
// before the word and the text behind the cursor.
type Completer func(line string, pos int) (head string, words []string, tail string)

// ErrCleared is given when a person clears the line that is being typed, ErrIdle
// when there was nothing to clear.
var (
	ErrCleared = errors.New("cleared")
	ErrIdle    = errors.New("nothing to clear")
)

// LinesOf reads plain lines, from a pipe or from a terminal that can do no
// better. prompts reports whether somebody sees the prompts.
func LinesOf(in io.Reader, out io.Writer, prompts bool) LineReader {
	r := &plainReader{in: bufio.NewReader(in), out: out, prompts: prompts}
	if terminal, ok := in.(*os.File); ok && prompts {
		r.terminal = terminal
	}
	return r
}

type plainReader struct {
	in       *bufio.Reader
	terminal *os.File // nil where none is read
	out      io.Writer
	prompts  bool
	aside    []byte // that was typed ahead of a question
}

// maxLine is the longest line that is read, in bytes.
const maxLine = 1 << 20

func (r *plainReader) ReadLine(prompts ...string) (string, error) {
	if r.prompts {
		fmt.Fprint(r.out, prompts[0])
	}
	if i := bytes.IndexByte(r.aside, '\n'); i >= 0 {
		line := strings.TrimRight(string(r.aside[:i]), "\r")
		r.aside = r.aside[i+1:]
		fmt.Fprintln(r.out, line)
		return line, nil
	}
	return r.line()
}

func (r *plainReader) line() (string, error) {
	var line strings.Builder
	for {
		part, err := r.in.ReadSlice('\n')
		line.Write(part)
		switch {
		case errors.Is(err, bufio.ErrBufferFull) && line.Len() < maxLine:
			continue
		case errors.Is(err, io.EOF) && line.Len() > 0:
		case err != nil:
			return "", err
		}
		return strings.TrimRight(line.String(), "\r\n"), nil
	}
}

// Waiting is that of LineReader.
func (r *plainReader) Waiting() bool { return r.in.Buffered() > 0 || len(r.aside) > 0 }

// ByHand is that of LineReader.
func (r *plainReader) ByHand() bool { return false }

// Answer is that of LineReader. What comes from a pipe was there before anything
// was asked, and answers.
func (r *plainReader) Answer(prompts ...string) (string, error) {
	if !r.prompts {
		return r.ReadLine(prompts...)
	}
	r.keep()
	fmt.Fprint(r.out, prompts[0])
	return r.line()
}

// keep sets aside what was typed ahead. A terminal hands on one line at a time;
// the others wait in the system.
func (r *plainReader) keep() {
	for {
		ahead, _ := r.in.Peek(r.in.Buffered())
		r.aside = append(r.aside, ahead...)
		r.in.Discard(len(ahead)) //nolint:errcheck // it is there
		if r.terminal == nil || typedAhead(r.terminal) == 0 {
			break
		}
		if _, err := r.in.Peek(1); err != nil {
			break
		}
	}
	if r.terminal != nil {
		dropTyped(r.terminal) //nolint:errcheck // the line that is not ended yet
	}
}

// Drop is that of LineReader.
func (r *plainReader) Drop() { r.keep() }

// roomToAnswer is how many columns an answer may need.
const roomToAnswer = 14

// Crowds reports whether a question leaves no room for its answer behind it in a
// window of so many columns; 0 is a window of unknown width. Such a question
// stands above the line on which it is answered.
func Crowds(question string, columns int) bool {
	return utf8.RuneCountInString(question)+roomToAnswer > columns
}

// Ask shows a question and gives the line that is typed from then on. Behind one
// that crowds its answer a window may have no room left: see Crowds. The error
// is operate.ErrLeft where the person left it, as by Ctrl-C: the line editor's
// own, or what comes on a channel; io.EOF where nobody is there any more.
func Ask(ctx context.Context, lines LineReader, interrupted <-chan struct{}, question string) (string, error) {
	type answer struct {
		text string
		err  error
	}
	typed := make(chan answer, 1)
	go func() {
		text, err := lines.Answer(question, "> ")
		typed <- answer{text, err}
	}()
	select {
	case a := <-typed:
		if errors.Is(a.err, ErrCleared) || errors.Is(a.err, ErrIdle) {
			a.err = operate.ErrLeft
		}
		return a.text, a.err
	case <-interrupted:
		return "", operate.ErrLeft
	case <-ctx.Done():
		return "", ctx.Err()
	}
}
