package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"sync"
	"syscall"

	"wend/cmd/wend/live"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/link"
)

// operator is whoever stands beside the machine: asked before it moves, told
// what it does, and able to hold and stop it by single keys. Without a terminal
// there is nobody, and a script's --armed answers.
type operator struct {
	c           console
	armed       bool // the script's word
	quiet       bool
	plain       bool
	lines       live.LineReader // nil: nobody can be asked
	editor      *live.Editor
	keys        live.Keys // nil: no single keys
	interrupted chan struct{}
	stopping    bool
	written     bool // a line that is rewritten stands there
	tenth       int
	answers     []link.Wish
	presses     chan live.Key
}

// withOperator runs something that moves a machine. Ctrl-C and the signals that
// end a process stop the machine first: the first one on its way, a second one
// at once. The context given to do lasts until the work is done.
func (c console) withOperator(ctx context.Context, f *machineFlags, do func(context.Context, *operator) error) error {
	ctx, done := context.WithCancel(context.WithoutCancel(ctx))
	defer done()
	o := &operator{c: c, armed: f.armed, quiet: f.quiet || f.json, plain: f.plain || c.environment("TERM") == "dumb", interrupted: make(chan struct{}, 2)}
	signals := make(chan os.Signal, 2)
	signal.Notify(signals, os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
	defer signal.Stop(signals)
	go func() {
		for {
			select {
			case <-signals:
				o.interrupt()
			case <-ctx.Done():
				return
			}
		}
	}()
	if c.onTerminal(c.stdin) && c.onTerminal(c.stderr) {
		o.lines = live.LinesOf(c.stdin, c.stderr, true)
		if !o.plain {
			if editor, err := live.NewEditor(os.Stdin, "", func(string, int) (string, []string, string) { return "", nil, "" }, o.interrupt); err == nil {
				defer editor.Close() //nolint:errcheck // the terminal is given back in any case
				o.lines, o.keys, o.editor = editor, editor.Keys(), editor
			}
		}
	} else {
		o.plain = true
	}
	return do(ctx, o)
}

func (o *operator) interrupt() {
	select {
	case o.interrupted <- struct{}{}:
	default:
	}
}

// ask has a person type a word. Without anybody, only --armed answers, and only
// where it may.
func (o *operator) ask(prompt, word string, armedAnswers bool) error {
	if o.armed && armedAnswers {
		return nil
	}
	if o.lines == nil {
		return &diag.Fault{Code: "consent-missing"}
	}
	answer, err := o.line(prompt)
	if err != nil || answer != word {
		o.c.say("not done")
		return exit(exitStopped)
	}
	return nil
}

// line reads an answer to what is shown now. Nothing moves, so Ctrl-C ends the
// waiting.
func (o *operator) line(prompt string) (string, error) {
	o.lines.Fresh()
	type answer struct {
		text string
		err  error
	}
	typed := make(chan answer, 1)
	go func() {
		text, err := o.lines.ReadLine(prompt)
		typed <- answer{text, err}
	}()
	select {
	case a := <-typed:
		return a.text, a.err
	case <-o.interrupted:
		fmt.Fprintln(o.c.stderr)
		return "", errStopped
	}
}

// watching reads single keys while something moves.
func (o *operator) watching(ctx context.Context) (end func()) {
	o.stopping, o.tenth, o.answers = false, 0, nil
	if o.keys == nil {
		return o.endLine
	}
	ctx, cancel := context.WithCancel(ctx)
	o.presses = make(chan live.Key, 16)
	var over sync.WaitGroup
	over.Go(func() {
		for {
			key, err := o.keys.Key(ctx)
			if err != nil {
				return
			}
			select {
			case o.presses <- key:
			case <-ctx.Done():
				return
			}
		}
	})
	return func() {
		cancel()
		over.Wait()
		o.endLine()
	}
}

func (o *operator) stop() link.Wish {
	if o.stopping {
		return link.StopHard
	}
	o.stopping = true
	return link.Stop
}

// Wish is that of link.Operator.
func (o *operator) Wish() link.Wish {
	if len(o.answers) > 0 {
		answer := o.answers[0]
		o.answers = o.answers[1:]
		return answer
	}
	select {
	case <-o.interrupted:
		return o.stop()
	case key := <-o.presses:
		switch key {
		case ' ':
			return link.Toggle
		case 's':
			o.stopping = true
			return link.Stop
		case live.KeyCtrlC:
			return o.stop()
		}
	default:
	}
	return link.NoWish
}

// Show is that of link.Operator.
func (o *operator) Show(p link.Progress) {
	if o.quiet || p.TotalMM == 0 {
		return
	}
	line := fmt.Sprintf("%3.0f %%  %s of %s drawn, %s to go, at (%.1f, %.1f)", 100*p.Part, metres(p.DrawnMM), metres(p.TotalMM), duration(p.SecondsTo), p.At.X, p.At.Y)
	if o.plain {
		if tenth := int(p.Part * 10); tenth > o.tenth && o.c.onTerminal(o.c.stderr) {
			o.tenth = tenth
			o.c.say("%s", line)
		}
		return
	}
	fmt.Fprintf(o.c.stderr, "\r\x1b[K%s; space holds, s stops", line)
	o.written = true
}

func (o *operator) endLine() {
	if o.written {
		fmt.Fprintln(o.c.stderr)
		o.written = false
	}
}

// Holds is that of link.Operator.
func (o *operator) Holds(message string, why *diag.Fault, at geom.Point) bool {
	o.endLine()
	if why != nil {
		o.c.show(diag.List{why.At(source.Span{})}, o.plain)
	}
	switch {
	case message != "":
		o.c.say("held at (%.1f, %.1f): %s", at.X, at.Y, message)
	default:
		o.c.say("held at (%.1f, %.1f)", at.X, at.Y)
	}
	switch {
	case o.keys != nil:
		o.c.say("space resumes, s stops")
		return true
	case o.lines == nil:
		return false
	}
	for {
		switch line, err := o.line("type `resume` or `stop`: "); {
		case err != nil || line == "stop":
			o.answers = append(o.answers, link.Stop)
			return true
		case line == "resume":
			o.answers = append(o.answers, link.GoOn)
			return true
		}
	}
}

// Mended is that of link.Operator.
func (o *operator) Mended(why *diag.Fault) {
	o.endLine()
	if !o.quiet {
		o.c.say("nothing is seen of it in the line: %s", why)
	}
}

// cautioned shows what must be known before something moves.
func (o *operator) cautioned() {
	for _, caution := range cautions() {
		o.c.say("  %s", caution)
	}
}

// failed says an error of the machine or the link, and gives the exit code.
func (o *operator) failed(err error) error {
	o.endLine()
	var code exit
	var list diag.List
	var fault *diag.Fault
	switch {
	case err == nil:
		return nil
	case errors.As(err, &code):
		return code
	case errors.Is(err, link.ErrStopped):
		return exit(exitStopped)
	case errors.As(err, &list):
		o.c.show(list, o.plain)
		return exit(exitErrors)
	case errors.As(err, &fault):
		o.c.show(diag.List{fault.At(source.Span{})}, o.plain)
	default:
		o.c.say("wend: %s", err)
	}
	return exit(exitMachine)
}

var _ link.Operator = (*operator)(nil)
