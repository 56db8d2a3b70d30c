package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"

	"wend/cmd/wend/engine"
	"wend/cmd/wend/kind"
	"wend/lang/diag"
	"wend/lang/source"
)

// input is a file that was named on the command line, as it was read.
type input struct {
	name string // to be shown
	kind kind.Kind
	data []byte
}

// readInput reads a file of any kind, or standard input for "-". What is wrong
// with the file is a *diag.Fault.
func (c console) readInput(name string) (input, error) {
	in := input{name: name}
	data, err := c.readUpTo(name, func(head []byte) int64 {
		in.kind = kind.Of(name, head)
		return in.kind.Limit()
	})
	if name == "-" {
		in.name = "<stdin>"
	}
	in.data = data
	return in, err
}

// text is an input as a text in UTF-8. An instruction file may be in any
// encoding: what is not ASCII stands in its comments. A photo is no text, and is
// left as it is.
func (in input) text() (*source.File, error) {
	if in.kind == kind.Photo {
		return source.New(in.name, string(in.data)), nil
	}
	text := strings.TrimPrefix(string(in.data), "\uFEFF")
	if in.kind == kind.Instructions && !strings.Contains(text, "\x00") {
		return source.New(in.name, text), nil
	}
	return engine.Text(source.New(in.name, text))
}

// readText reads a text file that is to be of a kind, or standard input for
// "-". What is wrong with the file is a *diag.Fault or a diag.List.
func (c console) readText(name string, k kind.Kind) (*source.File, error) {
	data, err := c.readUpTo(name, func([]byte) int64 { return k.Limit() })
	if err != nil {
		return nil, err
	}
	if name == "-" {
		name = "<stdin>"
	}
	return input{name, k, data}.text()
}

// readUpTo reads a file, or standard input for "-", whose head says how large it
// may be.
func (c console) readUpTo(name string, limitOf func(head []byte) int64) ([]byte, error) {
	shown := name
	read := func() ([]byte, error) { return readFile(name, limitOf) }
	if name == "-" {
		shown = "<stdin>"
		read = func() ([]byte, error) { return readAll(shown, c.stdin, 0, limitOf) }
	}
	data, err := c.unlessStopped(read)
	if err != nil {
		return nil, fileFault(shown, err)
	}
	return data, nil
}

// errStopped is how reading ends when the operator stops the command.
var errStopped = errors.New("stopped")

// unlessStopped reads, and gives up when the operator stops the command. What is
// read then goes on waiting by itself until the command has ended.
func (c console) unlessStopped(read func() ([]byte, error)) ([]byte, error) {
	type result struct {
		data []byte
		err  error
	}
	done := make(chan result, 1)
	go func() {
		data, err := read()
		done <- result{data, err}
	}()
	select {
	case r := <-done:
		return r.data, r.err
	case <-c.stopped:
		return nil, errStopped
	}
}

func readFile(name string, limitOf func(head []byte) int64) ([]byte, error) {
	info, err := os.Stat(name)
	switch {
	case err != nil:
		return nil, err
	case info.IsDir():
		return nil, aboutFile(name, "file-folder", nil)
	case info.Mode()&fs.ModeNamedPipe != 0:
		return readPipe(name, limitOf)
	}
	file, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return readAll(name, file, info.Size(), limitOf)
}

// readAll reads a stream to its end, if that comes before the limit. A file that
// grows while it is read, or a pipe, still ends there.
func readAll(name string, stream io.Reader, size int64, limitOf func(head []byte) int64) ([]byte, error) {
	head := make([]byte, kind.HeadBytes)
	n, err := io.ReadFull(stream, head)
	head = head[:n]
	limit := limitOf(head)
	switch {
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return head, nil
	case err != nil:
		return nil, err
	case size > limit:
		return nil, tooLarge(name, size, limit)
	}
	var all bytes.Buffer
	all.Grow(int(max(size, kind.HeadBytes)) + bytes.MinRead)
	all.Write(head)
	if _, err := all.ReadFrom(io.LimitReader(stream, limit+1-int64(n))); err != nil {
		return nil, err
	}
	if int64(all.Len()) > limit {
		return nil, tooLarge(name, int64(all.Len()), limit)
	}
	return all.Bytes(), nil
}

// writerWait is how long a pipe may have nobody who writes to it. Whoever starts
// reader and writer together starts one of them first.
const writerWait = 3 * time.Second

// readPipe reads a named pipe. Opening it would wait for ever for somebody who
// writes to it.
func readPipe(name string, limitOf func(head []byte) int64) ([]byte, error) {
	file, err := os.OpenFile(name, os.O_RDONLY|syscall.O_NONBLOCK, 0)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	first := make([]byte, 1)
	for waited := time.Duration(0); ; waited += pipeGlance {
		// Without a writer it ends at once; with one, this waits for a byte.
		n, err := file.Read(first)
		switch {
		case n > 0:
			return readAll(name, io.MultiReader(bytes.NewReader(first), file), 0, limitOf)
		case !errors.Is(err, io.EOF):
			return nil, err
		case waited >= writerWait:
			return nil, aboutFile(name, "file-pipe", diag.Args{"seconds": writerWait.Seconds()})
		}
		time.Sleep(pipeGlance)
	}
}

// pipeGlance is how often it is looked whether somebody writes to a pipe now.
const pipeGlance = 20 * time.Millisecond

func tooLarge(name string, size, limit int64) error {
	shown := fmt.Sprintf("%.1f", float64(size)/(1<<20))
	if size <= limit+1 { // it was read so far and no further
		shown = fmt.Sprintf("more than %d", limit>>20)
	}
	return aboutFile(name, "file-large", diag.Args{"size": shown, "limit": limit >> 20})
}

// fileFault says in words of the catalogue why a file could not be read.
func fileFault(name string, err error) error {
	var fault *diag.Fault
	switch {
	case errors.As(err, &fault):
		return fault
	case errors.Is(err, fs.ErrNotExist):
		missing := aboutFile(name, "file-missing", nil)
		missing.Hint = nearby(name, false)
		return missing
	}
	return aboutFile(name, "file-unreadable", diag.Args{"reason": reason(err)})
}

// aboutFile is a fault of a file as a whole. Its page calls the file {name}.
func aboutFile(name string, code diag.Code, args diag.Args) *diag.Fault {
	all := diag.Args{"name": name}
	maps.Copy(all, args)
	return &diag.Fault{Code: code, Args: all, File: name}
}

// reason is the system's word for what went wrong, without the path.
func reason(err error) string {
	var pathError *fs.PathError
	if errors.As(err, &pathError) {
		return pathError.Err.Error()
	}
	return err.Error()
}

// nearby names a file, or a folder, of the same folder that may have been meant.
func nearby(name string, folder bool) string {
	entries, err := os.ReadDir(filepath.Dir(name))
	if err != nil {
		return fmt.Sprintf("there is no folder `%s`", filepath.ToSlash(filepath.Dir(name)))
	}
	base := strings.ToLower(filepath.Base(name))
	if filepath.Ext(base) == "" && !folder {
		base += ".wend" // a program is named by heart without it
	}
	var names []string
	for _, e := range entries {
		if e.IsDir() == folder {
			names = append(names, e.Name())
		}
	}
	best := diag.Nearest(base, names, 1)
	if slices.Contains(names, base) { // but for the ending
		best = []string{base}
	}
	if len(best) > 0 {
		return fmt.Sprintf("did you mean `%s`?", filepath.ToSlash(filepath.Join(filepath.Dir(name), best[0])))
	}
	return ""
}
