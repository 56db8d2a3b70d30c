package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"wend/lang/diag"
	"wend/lang/source"
)

// The largest files that are read, in bytes.
const (
	programLimit     = 8 << 20
	instructionLimit = 1 << 30
)

// readText reads a text file, or standard input for "-". What is wrong with the
// file is a *diag.Fault.
func (c console) readText(name string, limit int64) (*source.File, error) {
	shown := name
	read := func() ([]byte, error) { return readFile(name, limit) }
	if name == "-" {
		shown = "<stdin>"
		read = func() ([]byte, error) { return io.ReadAll(io.LimitReader(c.stdin, limit+1)) }
	}
	data, err := c.unlessStopped(read)
	if err != nil {
		return nil, fileFault(shown, err)
	}
	if int64(len(data)) > limit {
		return nil, tooLarge(shown, int64(len(data)), limit)
	}
	text := strings.TrimPrefix(string(data), "\uFEFF")
	if reason := notText(text); reason != "" {
		return nil, aboutFile(shown, "file-not-text", diag.Args{"reason": reason})
	}
	return source.New(shown, text), nil
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

func readFile(name string, limit int64) ([]byte, error) {
	info, err := os.Stat(name)
	switch {
	case err != nil:
		return nil, err
	case info.IsDir():
		return nil, aboutFile(name, "file-folder", nil)
	case info.Size() > limit:
		return nil, tooLarge(name, info.Size(), limit)
	}
	file, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	// A file that grows while it is read, or a pipe, still ends at the limit.
	return io.ReadAll(io.LimitReader(file, limit+1))
}

func tooLarge(name string, size, limit int64) error {
	return aboutFile(name, "file-large", diag.Args{"size": fmt.Sprintf("%.1f", float64(size)/(1<<20)), "limit": limit >> 20})
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
	var names []string
	for _, e := range entries {
		if e.IsDir() == folder {
			names = append(names, e.Name())
		}
	}
	if best := diag.Nearest(base, names, 1); len(best) > 0 {
		return fmt.Sprintf("did you mean `%s`?", filepath.ToSlash(filepath.Join(filepath.Dir(name), best[0])))
	}
	return ""
}

func notText(text string) string {
	if i := strings.IndexByte(text, 0); i >= 0 {
		return fmt.Sprintf("byte %d is zero", i)
	}
	if utf8.ValidString(text) {
		return ""
	}
	for i, r := range text {
		if r == utf8.RuneError && !strings.HasPrefix(text[i:], "\uFFFD") {
			return fmt.Sprintf("byte %d is not UTF-8", i)
		}
	}
	return ""
}

// isInstructions tells whether a file of that name holds machine instructions.
func isInstructions(name string) bool {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".gcode", ".nc", ".ngc":
		return true
	}
	return false
}
