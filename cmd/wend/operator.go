package main

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"sync/atomic"
	"syscall"
	"time"

	"github.com/spf13/cobra"

	"wend/cmd/wend/engine"
	"wend/cmd/wend/operate"
	"wend/cmd/wend/tty"
	"wend/lang/diag"
	"wend/lang/diag/render"
	"wend/lang/source"
	"wend/runtime/link"
)

// machineFlags are the flags of every command that moves a machine.
type machineFlags struct {
	machine            string
	port               string
	armed              armedFlag
	json, quiet, plain bool
}

func (f *machineFlags) add(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.StringVar(&f.machine, "machine", "", "machine profile, a TOML `file` (without it: the built-in desk toy, for --port sim)")
	flags.StringVar(&f.port, "port", "", "serial `port`, or sim for the simulated machine (without it: what the profile says)")
	f.armed.add(cmd)
	flags.BoolVar(&f.quiet, "quiet", false, "print nothing but errors and questions")
	flags.BoolVar(&f.plain, "plain", false, "plain lines: nothing is rewritten, no single keys")
}

// settings are those of the machine alone, for a command that runs no program. The
// error is a diag.List where the profile is wrong.
func (f *machineFlags) settings(c console) (engine.Settings, error) {
	settings, list, err := (&runFlags{machine: f.machine, limits: "normal"}).settings(c)
	if err == nil && list.Failed() {
		err = list
	}
	return settings, err
}

// armedFlag is what a script says beforehand: --armed, or --armed=sure.
type armedFlag operate.Word

func (f *armedFlag) add(cmd *cobra.Command) {
	cmd.Flags().Var(f, "armed", "for scripts: answer all questions before something moves, and answer for the machine; --armed=sure only if the board has counted on since it was used last")
	cmd.Flags().Lookup("armed").NoOptDefVal = "true"
}

func (f *armedFlag) String() string {
	return map[operate.Word]string{operate.Unsaid: "false", operate.Armed: "true", operate.Sure: "sure"}[operate.Word(*f)]
}

// Type says that the flag needs no value: help shows it without one.
func (f *armedFlag) Type() string { return "bool" }

func (f *armedFlag) Set(text string) error {
	switch text {
	case "true":
		*f = armedFlag(operate.Armed)
	case "sure":
		*f = armedFlag(operate.Sure)
	case "false":
		*f = armedFlag(operate.Unsaid)
	default:
		return errors.New("it is --armed or --armed=sure")
	}
	return nil
}

// operator is the conversation with whoever stands beside the machine, at this
// terminal. Without a terminal there is nobody, and a script's --armed answers.
type operator struct {
	operate.Conversation
	*seat
}

// seat is a person at this terminal.
type seat struct {
	c           console
	plain       bool
	lines       tty.LineReader // nil: nobody can be asked
	keys        operate.Keys   // nil: no single keys
	interrupted chan struct{}
	ending      atomic.Bool // the process was told to end, not by Ctrl-C
	meter       tty.Meter
}

// remedy is how people at a shell put a position right.
const remedy = "if it stands elsewhere, say where: `wend machine here X Y`, or move it: `wend machine jog`"

// withOperator runs something that moves a machine. Ctrl-C and the signals that
// end a process stop the machine first: the first one on its way, a second one
// at once. The context given to do lasts until the work is done.
func (c console) withOperator(ctx context.Context, f *machineFlags, do func(context.Context, *operator) error) error {
	ctx, done := context.WithCancel(context.WithoutCancel(ctx))
	defer done()
	s := &seat{c: c, plain: f.plain || c.environment("TERM") == "dumb", interrupted: make(chan struct{}, 2)}
	signals := make(chan os.Signal, 2)
	signal.Notify(signals, os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
	defer signal.Stop(signals)
	go func() {
		for {
			select {
			case sent := <-signals:
				if sent != os.Interrupt {
					s.ending.Store(true)
				}
				s.interrupt()
			case <-ctx.Done():
				return
			}
		}
	}()
	if c.onTerminal(c.stdin) && c.onTerminal(c.stderr) {
		s.lines = tty.LinesOf(c.stdin, c.stderr, true)
		if !s.plain {
			if editor, err := tty.NewEditor(os.Stdin, "", func(string, int) (string, []string, string) { return "", nil, "" }, s.interrupt); err == nil {
				defer editor.Close() //nolint:errcheck // the terminal is given back in any case
				s.lines, s.keys = editor, editor.Keys()
			}
		}
	} else {
		s.plain = true
	}
	return do(ctx, &operator{seat: s, Conversation: operate.Conversation{
		Person: s, Alone: s.lines == nil, Word: operate.Word(f.armed), Quiet: f.quiet || f.json, Remedy: remedy, Cautioned: c.cautioned(f.port),
	}})
}

// connect opens the machine at a port, as console.connect does. Where nobody can
// be asked, the simulated one needs no word of a script: nothing moves that could
// pinch or be lost.
func (o *operator) connect(ctx context.Context, settings engine.Settings, port string, realTime bool) (*connection, error) {
	connected, err := o.c.connect(ctx, settings, port, realTime)
	if err == nil && connected.simulated != nil && o.Alone && o.Word == operate.Unsaid {
		o.Word = operate.Armed
	}
	return connected, err
}

func (s *seat) interrupt() {
	select {
	case s.interrupted <- struct{}{}:
	default:
	}
}

// Say is that of operate.Person.
func (s *seat) Say(text string) {
	indent := text[:len(text)-len(strings.TrimLeft(text, " "))]
	s.c.say("%s", s.c.paragraph(s.c.stderr, indent, text[len(indent):]))
}

// Diagnose is that of operate.Person.
func (s *seat) Diagnose(list diag.List) { s.c.show(list, s.plain) }

// Ask is that of operate.Person.
func (s *seat) Ask(ctx context.Context, question string) (string, error) {
	question = render.Visible(question)
	if s.c.onTerminal(s.c.stderr) && tty.Crowds(question, s.answerColumns()) {
		s.Say(question)
		question = "> "
	}
	text, err := tty.Ask(ctx, s.lines, s.interrupted, question)
	if errors.Is(err, operate.ErrLeft) {
		fmt.Fprintln(s.c.stderr)
	}
	return text, err
}

// answerColumns is how wide the window is in which answers are typed, 0 if that
// is not known: the line editor shows its line on the standard output.
func (s *seat) answerColumns() int {
	if s.keys != nil && !s.c.onTerminal(s.c.stdout) {
		return 0
	}
	return s.c.columns()
}

// Show is that of operate.Person.
func (s *seat) Show(status *operate.Status) {
	if s.c.onTerminal(s.c.stderr) {
		s.meter.Show(s.c.stderr, status, s.plain, s.keys != nil, s.c.columns())
	}
}

// Keys is that of operate.Person.
func (s *seat) Keys() operate.Keys { return s.keys }

// Interrupted is that of operate.Person.
func (s *seat) Interrupted() <-chan struct{} { return s.interrupted }

// told prints a result, if that is wanted.
func (o *operator) told(format string, args ...any) {
	if !o.Quiet {
		o.c.tell(format+"\n", args...)
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
	case errors.Is(err, operate.ErrDeclined):
		o.c.say("%s", operate.ErrDeclined)
		return exit(exitStopped)
	case errors.Is(err, link.ErrStopped), errors.Is(err, operate.ErrStopped), errors.Is(err, errStopped):
		return exit(exitStopped)
	case errors.As(err, &list) && o.c.wasStopped():
		o.c.say("stopped") // what was read half cannot be judged
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

// cautioned gives what reports whether the whole list of cautions was shown
// today already, and remembers that it is. A rehearsal on the simulated machine
// is no day at a real one.
func (c console) cautioned(port string) func() bool {
	name := "cautioned"
	if port == simulatedPort {
		name += "-" + simulatedPort
	}
	return func() bool { return c.shownToday(c.stateFolder(), name) }
}

func (c console) shownToday(folder, name string) bool {
	if folder == "" {
		return false
	}
	sum := sha256.Sum256([]byte(strings.Join(operate.Cautions(), "\n")))
	today := fmt.Sprintf("%s %x\n", c.now().Format(time.DateOnly), sum[:8])
	name = filepath.Join(folder, name)
	if before, err := os.ReadFile(name); err == nil && string(before) == today {
		return true
	}
	if os.MkdirAll(folder, 0o700) == nil {
		os.WriteFile(name, []byte(today), 0o600) //nolint:errcheck // then they are shown again
	}
	return false
}
