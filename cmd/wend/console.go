package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"time"

	"wend/lang/diag"
	"wend/lang/diag/render"
)

// The exit codes, as the help text lists them.
const (
	exitDone    = 0
	exitErrors  = 1 // the program, file or profile has errors
	exitUsage   = 2
	exitMachine = 3 // the machine or the link failed
	exitOurs    = 70
	exitStopped = 130 // stopped by the operator
)

// console is where a command reads, writes and finds out about its terminal.
type console struct {
	stdin          io.Reader
	stdout, stderr io.Writer
	environment    func(name string) string
	terminal       func(fd int) bool
	columns        func() int
	window         func() (columns, rows int) // of standard output
	now            func() time.Time
	// port opens a serial port, as link.OpenPort does.
	port func(name string, baud int) (io.ReadWriteCloser, error)
	// stopped is closed when the operator stops the command. Reading a pipe or
	// a terminal may wait for ever, and only then has to be told.
	stopped <-chan struct{}
}

// wasStopped reports whether the operator has stopped the command.
func (c console) wasStopped() bool {
	select {
	case <-c.stopped:
		return true
	default:
		return false
	}
}

// onTerminal reports whether a stream is a terminal.
func (c console) onTerminal(stream any) bool {
	file, ok := stream.(*os.File)
	return ok && c.terminal(int(file.Fd()))
}

// color reports whether a stream may be coloured: it is a terminal that can, and
// nobody asked for none (no-color.org).
func (c console) color(stream any) bool {
	return c.onTerminal(stream) && c.environment("NO_COLOR") == "" && c.environment("TERM") != "dumb"
}

// show writes diagnostics to the person.
func (c console) show(list diag.List, plain bool) { c.showWith(list, render.Style{Plain: plain}) }

// showWith writes diagnostics in a style; whether there are colours and how wide
// the terminal is, is filled in.
func (c console) showWith(list diag.List, style render.Style) {
	if len(list) == 0 {
		return
	}
	style.Color = c.color(c.stderr) && !style.Plain
	if c.onTerminal(c.stderr) {
		style.Width = c.columns()
	}
	render.Text(c.letters(c.stderr), list, style) //nolint:errcheck // there is nobody left to tell
}

// say writes a line to the person. Like diagnostics and tell, it shows what would
// steer a terminal, and turns up in names, notes and what a board answers, as
// escapes: [render.Visible] is the one place that knows which signs those are.
func (c console) say(format string, args ...any) {
	fmt.Fprintf(visible{c.stderr}, format+"\n", args...)
}

// tell writes a result, which is for people: see say.
func (c console) tell(format string, args ...any) {
	fmt.Fprintf(c.readable(), format, args...)
}

// readable is standard output for results that people read: see say.
func (c console) readable() io.Writer { return visible{c.stdout} }

// visible shows texts as they can be shown. Each text is written at once.
type visible struct{ to io.Writer }

func (v visible) Write(text []byte) (int, error) {
	if _, err := io.WriteString(v.to, render.Visible(string(text))); err != nil {
		return 0, err
	}
	return len(text), nil
}

// exit is an error that only carries the exit code: what there was to say has
// been said.
type exit int

func (e exit) Error() string { return fmt.Sprintf("exit %d", int(e)) }

// usage is an error in how the command was called.
type usage struct{ text string }

func (u usage) Error() string { return u.text }

func usagef(format string, args ...any) error { return usage{fmt.Sprintf(format, args...)} }

// writeJSON prints one object the way every command does. Characters that would
// steer a terminal are escaped, as JSON may do with any (RFC 8259, section 7).
func (c console) writeJSON(value any) error {
	var text bytes.Buffer
	encoder := json.NewEncoder(&text)
	encoder.SetIndent("", "  ")
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(value); err != nil {
		return exit(exitErrors)
	}
	if _, err := io.WriteString(c.stdout, render.VisibleJSON(text.String())); err != nil {
		return exit(exitErrors)
	}
	return nil
}
