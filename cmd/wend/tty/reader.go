// Package tty is lines and single key presses from a terminal or a pipe: a
// line editor where there can be one, plain lines elsewhere.
package tty

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"wend/cmd/wend/operate"
)

// LineReader is where entries come from.
type LineReader interface {
	// ReadLine shows a prompt, the first of its forms that leaves room to type
	// in the window, and gives the next line without its end. The error is
	// io.EOF at the end of the input, ErrCleared if the person took back what
	// was being typed, ErrIdle if there was nothing.
	ReadLine(prompts ...string) (string, error)
	// Waiting reports whether more was typed or pasted already than has been
	// read, as far as can be known.
	Waiting() bool
	// Fresh drops what was typed or pasted ahead, so that an answer can only
	// be to what was just shown. It tells how many characters that were.
	Fresh() int
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
// better. prompts tells whether somebody sees the prompts.
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
}

// maxLine is the longest line that is read, in bytes.
const maxLine = 1 << 20

func (r *plainReader) ReadLine(prompts ...string) (string, error) {
	if r.prompts {
		fmt.Fprint(r.out, prompts[0])
	}
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
func (r *plainReader) Waiting() bool { return r.in.Buffered() > 0 }

// Fresh drops what was read ahead of a person who types. What comes from a
// pipe was there before anything was asked, and stays.
func (r *plainReader) Fresh() int {
	if !r.prompts {
		return 0
	}
	n, _ := r.in.Discard(r.in.Buffered())
	if r.terminal != nil {
		// A terminal hands on one line at a time; the others wait in the system.
		dropTyped(r.terminal) //nolint:errcheck // what was read ahead is dropped in any case
	}
	return n
}

// Ask shows a question and gives the line that is typed from then on. The error
// is operate.ErrLeft where the person left it, as by Ctrl-C: the line editor's
// own, or what comes on a channel; io.EOF where nobody is there any more.
func Ask(ctx context.Context, lines LineReader, interrupted <-chan struct{}, question string) (string, error) {
	type answer struct {
		text string
		err  error
	}
	typed := make(chan answer, 1)
	go func() {
		text, err := lines.ReadLine(question, "> ")
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
