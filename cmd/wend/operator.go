package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"syscall"

	"wend/cmd/wend/live"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/link"

	"github.com/spf13/cobra"
)

// machineFlags are the flags of every command that moves a machine.
type machineFlags struct {
	machine            string
	port               string
	armed              bool
	json, quiet, plain bool
}

func (f *machineFlags) add(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.StringVar(&f.machine, "machine", "", "machine profile, a TOML `file` (without it: the built-in desk toy, for --port sim)")
	flags.StringVar(&f.port, "port", "", "serial `port`, or sim for the simulated machine (without it: what the profile says)")
	flags.BoolVar(&f.armed, "armed", false, "for scripts: answer all questions before something moves, and answer for the machine")
	flags.BoolVar(&f.quiet, "quiet", false, "print nothing but errors and questions")
	flags.BoolVar(&f.plain, "plain", false, "plain lines: nothing is rewritten, no single keys")
}

// operator is whoever stands beside the machine: asked before it moves, told
// what it does, and able to hold and stop it by single keys. Without a terminal
// there is nobody, and a script's --armed answers.
type operator struct {
	c           console
	armed       bool // the script's word
	quiet       bool
	plain       bool
	lines       live.LineReader // nil: nobody can be asked
	keys        live.Keys       // nil: no single keys
	interrupted chan struct{}
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
				o.lines, o.keys = editor, editor.Keys()
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

// watched carries out a motion while the operator watches it. What is the word
// for a way that lies behind: drawn, walked.
func (o *operator) watched(ctx context.Context, what string, motion func(context.Context, link.Operator) error) error {
	watch := o.watcher().Watch(ctx, what)
	defer watch.Close()
	return motion(ctx, watch)
}

func (o *operator) watcher() live.Watcher {
	w := live.Watcher{
		Out: o.c.stderr, Keys: o.keys, Interrupted: o.interrupted, Progress: o.c.onTerminal(o.c.stderr), Plain: o.plain, Quiet: o.quiet,
		Diagnose: func(list diag.List) { o.c.show(list, o.plain) },
	}
	if o.lines != nil {
		w.Answer = o.line
	}
	return w
}

// interruptible is a context that ends when the operator wants to stop.
func (o *operator) interruptible(ctx context.Context) (context.Context, func()) {
	ctx, cancel := context.WithCancelCause(ctx)
	go func() {
		select {
		case <-o.interrupted:
			cancel(errStopped)
		case <-ctx.Done():
		}
	}()
	return ctx, func() { cancel(nil) }
}

// note tells what is good to know, if that is wanted.
func (o *operator) note(format string, args ...any) {
	if !o.quiet {
		o.c.say(format, args...)
	}
}

// told prints a result, if that is wanted.
func (o *operator) told(format string, args ...any) {
	if !o.quiet {
		fmt.Fprintf(o.c.stdout, format+"\n", args...)
	}
}

// cautioned shows what must be known before something moves.
func (o *operator) cautioned() {
	for _, caution := range cautions() {
		o.c.say("%s", o.c.paragraph(o.c.stderr, "  ", caution))
	}
}

// failed says an error of the machine or the link, and gives the exit code.
func (o *operator) failed(err error) error {
	var code exit
	var list diag.List
	var fault *diag.Fault
	switch {
	case err == nil:
		return nil
	case errors.As(err, &code):
		return code
	case errors.Is(err, link.ErrStopped), errors.Is(err, errStopped):
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

// settle compares the board's settings with the profile, and offers to write
// them.
func (o *operator) settle(ctx context.Context, l *link.Link) error {
	different := l.Mismatches()
	if len(different) == 0 {
		return nil
	}
	for _, m := range different {
		number := ""
		if m.Setting >= 0 {
			number = fmt.Sprintf(" (its setting %d)", m.Setting)
		}
		o.c.say("the board differs from the profile: %s%s is %s, not %s", m.Name, number, m.Is, m.Should)
	}
	if o.lines == nil {
		return &diag.Fault{Code: "board-settings-differ", Args: diag.Args{"count": len(different)}}
	}
	if err := o.ask("type `set` to write the profile's values to the board, anything else to leave it: ", "set", false); err != nil {
		return err
	}
	if err := l.Settle(ctx, different); err != nil {
		return err
	}
	if left := l.Mismatches(); len(left) > 0 {
		return &diag.Fault{Code: "board-settings-differ", Args: diag.Args{"count": len(left)}}
	}
	o.c.say("the board is set as the profile says")
	return nil
}

// confirm has somebody look where the stylus stands.
func (o *operator) confirm(l *link.Link) error {
	_, at, certainty := l.Where()
	switch certainty {
	case link.Lost:
		return &diag.Fault{Code: "position-lost", Args: diag.Args{"why": l.WhyLost()}}
	case link.Confirmed:
		return nil
	}
	prompt := fmt.Sprintf("look: does the stylus stand at (%.1f, %.1f) of the page? Type `there` if so: ", at.X, at.Y)
	if err := o.ask(prompt, "there", true); err != nil {
		o.c.say("if it stands elsewhere, say where: `wend machine here X Y`, or move it: `wend machine jog`")
		return err
	}
	return l.Confirm()
}

// wipe has the sheet wiped, by the eraser board or by the operator.
func (o *operator) wipe(ctx context.Context, connection *connection) error {
	if connection.Disturbs {
		// From now on, whatever comes of it.
		if err := connection.Doubt(); err != nil {
			return err
		}
	}
	switch {
	case connection.Wipe != nil:
		if !o.quiet {
			o.c.say("the sheet is being wiped; hands away from the frame")
		}
		ctx, done := o.interruptible(ctx)
		defer done()
		return connection.Wipe(ctx)
	case connection.Nobody || o.lines == nil:
		return &diag.Fault{Code: "eraser-none"}
	}
	return o.ask("wipe the sheet now, then type `wiped`: ", "wiped", false)
}
