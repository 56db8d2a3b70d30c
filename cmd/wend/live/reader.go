package live

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
)

// LineReader is where entries come from.
type LineReader interface {
	// ReadLine shows a prompt, the first of its forms that leaves room to type
	// in the window, and gives the next line without its end. The error is
	// io.EOF at the end of the input, ErrCleared if the person took back what
	// was being typed, ErrIdle if there was nothing.
	ReadLine(prompts ...string) (string, error)
	// Fresh drops what was typed or pasted ahead, so that an answer can only
	// be to what was just shown. It tells how many characters that were.
	Fresh() int
}

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
