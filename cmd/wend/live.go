package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"

	"github.com/spf13/cobra"

	"wend/cmd/wend/engine"
	"wend/cmd/wend/live"
	"wend/cmd/wend/operate"
	"wend/cmd/wend/tty"
	"wend/lang/diag"
	"wend/lang/diag/render"
	"wend/lang/source"
	"wend/runtime/eval"
	"wend/runtime/link"
	"wend/runtime/plan"
	"wend/runtime/preview"
)

func newLive(c console) *cobra.Command {
	var f runFlags
	var port string
	var armed armedFlag
	cmd := &cobra.Command{
		Use:   "live",
		Short: "draw entry by entry at a prompt, on paper or on the machine",
		Long: `Reads entries of the language, each tried as a whole before it counts: it must
read, run and stay on the page. After each one it shows where the stylus is, which
way it faces, and a small picture. Orders to the prompt begin with a slash: /help
lists them.

It starts dry: nothing moves. /connect and /arm are what lets a machine draw each
entry as it is accepted.

Entries may come from a pipe; then the first error ends it with exit code 1.`,
		Example: `  wend live
  wend live < entries.txt
  wend live --machine bench.toml --port /dev/ttyUSB0
  wend live --port sim                    the simulated machine, after /connect`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			settings, list, err := f.settings(c)
			if err != nil {
				return err
			}
			if list.Failed() {
				c.show(list, f.plain)
				return exit(exitErrors)
			}
			return c.live(cmd.Context(), settings, &f, port, operate.Word(armed))
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&f.machine, "machine", "", "machine profile, a TOML `file` (without it: the built-in desk toy)")
	flags.StringVar(&f.seed, "seed", "", "`number` that begins the random sequence, whatever the entries say")
	flags.StringVar(&f.limits, "limits", "normal", "how much an entry may compute: `normal or high`")
	flags.StringVar(&port, "port", "", "what /connect opens: a serial `port`, or sim (without it: what the profile says)")
	armed.add(cmd)
	flags.BoolVar(&f.plain, "plain", false, "plain lines: no pictures, no line editor, places in words")
	return cmd
}

func (c console) live(ctx context.Context, settings engine.Settings, f *runFlags, port string, armed operate.Word) error {
	settings.Results = eval.NewResults(engine.ResultsBytes)
	// Ctrl-C stops what is at hand, not the session; the signals that end the
	// process stop a machine first.
	ctx, done := signal.NotifyContext(context.WithoutCancel(ctx), syscall.SIGTERM, syscall.SIGHUP)
	defer done()
	signals := make(chan os.Signal, 1)
	signal.Notify(signals, os.Interrupt)
	defer signal.Stop(signals)
	interrupted := make(chan struct{}, 1)
	interrupt := func() {
		select {
		case interrupted <- struct{}{}:
		default: // one is enough
		}
	}
	go func() {
		for {
			select {
			case <-signals:
				interrupt()
			case <-ctx.Done():
				return
			}
		}
	}()

	onTerminal := c.onTerminal(c.stdin) && c.onTerminal(c.stdout)
	plain := f.plain || !onTerminal || c.environment("TERM") == "dumb"
	options := live.Options{
		Settings: settings, Out: c.letters(c.stdout), Plain: plain, ASCII: onTerminal && c.ascii(), Script: !c.onTerminal(c.stdin),
		Interrupted: interrupted, Port: port, Armed: armed, Cautioned: c.cautioned(port),
		Diagnose: func(list diag.List) { c.showWith(list, render.Style{Plain: plain, Explain: "/explain"}) },
		Explain: func(ctx context.Context, word string) (string, error) {
			page, ok := findPage(word)
			if !ok {
				return "", fmt.Errorf("there is nothing to explain under `%s`%s; `/words` lists the words", word, nearWord(word))
			}
			var text strings.Builder
			c.printPage(ctx, &text, page, plain)
			return text.String(), nil
		},
		Load:  func(name string) (*source.File, error) { return c.readProgramFile(name, "live") },
		Write: writeOutput, Programs: programsAt,
		Picture: func(ctx context.Context, program *engine.Program, drawn *plan.Plan, sheet int) ([]byte, error) {
			var data bytes.Buffer
			picture := program.Picture(drawn, sheet)
			picture.Source = ofPrompt
			err := preview.PNG(ctx, &data, picture, preview.Options{})
			return data.Bytes(), err
		},
		Pictured: func(name string) bool { return names(name, ofPrompt) },
		Stopped: func(ctx context.Context, planned preview.Picture, stretch *link.Stretch) ([]byte, error) {
			planned.Source = ofPrompt
			return operate.WhereItMayStand(ctx, planned, stretch)
		},
		Remove: func(name string) {
			if names(name, ofPrompt) {
				os.Remove(name) //nolint:errcheck // it says itself what it is
			}
		},
		Connect: func(ctx context.Context, port string) (*operate.Connection, error) {
			connected, err := c.connect(ctx, settings, port, !plain)
			if err != nil {
				return nil, err
			}
			return &connected.Connection, nil
		},
	}
	if folder := c.stateFolder(); folder != "" && !options.Script && os.MkdirAll(folder, 0o700) == nil {
		kept, left, release, err := keptIn(folder)
		if err == nil {
			defer release()
			options.Kept, options.Left = kept, left
			options.Record = func(program []byte) error { return commit([]output{{name: kept, data: program}}, nil) }
		}
	}
	if plain {
		options.Lines = tty.LinesOf(c.stdin, c.stdout, c.onTerminal(c.stdin))
	}
	prompt, list := live.New(ctx, options)
	if list.Failed() {
		c.show(list, plain)
		return exit(exitErrors)
	}
	if !plain {
		editor, err := tty.NewEditor(os.Stdin, c.historyFile(), prompt.Complete, interrupt)
		if err != nil {
			prompt.Lines, prompt.Plain = tty.LinesOf(c.stdin, c.stdout, true), true
			c.say("this terminal is read line by line: no history, no completion, no single keys")
		} else {
			defer editor.Close() //nolint:errcheck // the history is a convenience
			prompt.Lines, prompt.Keys, prompt.Remember, prompt.Size = editor, editor.Keys(), editor.Remember, c.window
		}
	}
	err := prompt.Run(ctx)
	if options.Kept != "" && !prompt.Unsaved() {
		os.Remove(options.Kept) //nolint:errcheck // it is in the file that was saved, or nothing
	}
	switch {
	case errors.Is(err, live.ErrFailed):
		return exit(exitErrors)
	case errors.Is(err, live.ErrMachine):
		return exit(exitMachine)
	case ctx.Err() != nil, errors.Is(err, live.ErrStopped):
		return exit(exitStopped)
	}
	return err
}

// ofPrompt is what a picture of the prompt says of itself that it shows.
const ofPrompt = "wend live"

// mostPrompts is how many prompts at a time keep their entries.
const mostPrompts = 50

// keptIn is the file in a folder in which a prompt keeps its entries, one that
// no other prompt uses meanwhile; and what an earlier one left there, moved to a
// name of its own so that nothing is lost, or empty.
func keptIn(folder string) (kept, left string, release func(), err error) {
	for i := 1; i <= mostPrompts; i++ {
		name := "live.wend"
		if i > 1 {
			name = fmt.Sprintf("live-%d.wend", i)
		}
		if release, err = link.Disk(folder).Lock(name + ".lock"); err != nil {
			continue
		}
		kept = filepath.Join(folder, name)
		if facts, missing := os.Stat(kept); missing == nil && facts.Size() > 0 {
			left = filepath.Join(folder, "left-"+facts.ModTime().Format("2006-01-02-150405.000")+".wend")
			if err := os.Rename(kept, left); err != nil {
				left = ""
			}
		}
		return kept, left, release, nil
	}
	return "", "", nil, err
}

// writeOutput writes a file, whole or not at all; over another one only if that
// is said.
func writeOutput(name string, data []byte, over bool) error {
	if _, err := os.Stat(name); err == nil && !over {
		return aboutFile(name, "output-exists", nil)
	}
	return commit([]output{{name: name, data: data}}, nil)
}

// programsAt are the programs and folders whose path begins so.
func programsAt(begin string) []string {
	entries, err := os.ReadDir(filepath.Dir(begin + "x"))
	if err != nil {
		return nil
	}
	folder, name := filepath.Split(begin)
	var found []string
	for _, e := range entries {
		switch {
		case !strings.HasPrefix(e.Name(), name) || name == "" && e.Name()[0] == '.':
		case e.IsDir():
			found = append(found, folder+e.Name()+string(filepath.Separator))
		case filepath.Ext(e.Name()) == ".wend":
			found = append(found, folder+e.Name())
		}
	}
	return found
}

// historyFile is where the lines of earlier sessions are kept: in the state
// folder of the XDG Base Directory Specification. It is empty if there is none.
func (c console) historyFile() string {
	folder := c.stateFolder()
	if folder == "" || os.MkdirAll(folder, 0o700) != nil {
		return ""
	}
	return filepath.Join(folder, "history")
}

func (c console) stateFolder() string {
	if folder := c.environment("XDG_STATE_HOME"); filepath.IsAbs(folder) {
		return filepath.Join(folder, "wend")
	}
	if home := c.environment("HOME"); filepath.IsAbs(home) {
		return filepath.Join(home, ".local", "state", "wend")
	}
	if folder := c.environment("LOCALAPPDATA"); filepath.IsAbs(folder) {
		return filepath.Join(folder, "wend")
	}
	return ""
}
