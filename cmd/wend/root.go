package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"wend/lang/diag"
	"wend/lang/source"
)

// run is the whole command: arguments in, exit code out.
func run(ctx context.Context, args []string, c console) (code int) {
	// No panic text ever reaches a person: a fault of ours says so, and what
	// it was about goes to whoever mends it.
	defer func() {
		if cause := recover(); cause != nil {
			c.show(diag.List{diag.New("wend-fault", source.Span{}, diag.Args{"reason": fmt.Sprint(cause)})}, false)
			if c.environment("WEND_TRACE") != "" {
				c.say("%s", debug.Stack())
			}
			code = exitOurs
		}
	}()
	c.stopped = ctx.Done()
	root := newRoot(c)
	root.SetArgs(args)
	err := helpOfNothing(root, args)
	if err == nil {
		err = root.ExecuteContext(ctx)
	}
	return c.exitCode(ctx, err)
}

func (c console) exitCode(ctx context.Context, err error) int {
	var code exit
	var wrong usage
	switch {
	case err == nil:
		return exitDone
	case errors.As(err, &code):
		return int(code)
	case ctx.Err() != nil:
		c.say("stopped")
		return exitStopped
	case errors.As(err, &wrong):
		c.say("wend: %s", wrong.text)
		return exitUsage
	}
	// Whatever else comes back is cobra's word about flags and arguments.
	c.say("wend: %s", err)
	return exitUsage
}

func newRoot(c console) *cobra.Command {
	root := &cobra.Command{
		Use:   "wend",
		Short: "write drawings that are one continuous line, and carry them onto a machine",
		Long: `wend runs programs that move one stylus which never lifts. It checks the whole
line before anything moves, shows it as a picture, and writes the instructions
for a machine that turns the two knobs of a line-drawing toy.

Exit codes: 0 done; 1 something is wrong with what was given (an error in a program,
file or profile, a name that is not known or taken, a task that is not solved); 2 wrong
usage; 3 the machine or the link failed, or is not ready for what was asked (no port, not
calibrated, nothing to go on with); 70 a fault of wend itself; 130 stopped with Ctrl-C.`,
		Example: `  wend build examples/fern.wend          the picture and the instructions
  wend check examples/*.wend             only look for errors
  wend explain branch                    what a word means, with an example`,
		Version:           version(),
		SilenceUsage:      true,
		SilenceErrors:     true,
		CompletionOptions: cobra.CompletionOptions{DisableDefaultCmd: true},
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return noCommand(cmd, args[0])
			}
			if cmd.Flags().Changed("licenses") {
				return usagef("--licenses goes with --version: `wend --version --licenses`")
			}
			return cmd.Help()
		},
		Args: cobra.ArbitraryArgs,
	}
	root.SetOut(c.stdout)
	root.SetErr(c.stderr)
	root.SetIn(c.stdin)
	root.Flags().Bool("licenses", false, "with --version: the notices of everything that is inside")
	root.SetVersionTemplate("wend {{.Version}}\n{{if .Flags.Changed \"licenses\"}}\n" + strings.ReplaceAll(notices, "{{", `{{"{{"}}`) + "{{end}}")
	root.SetFlagErrorFunc(flagFault)
	root.SetUsageTemplate(usageTemplate)
	root.SetHelpCommand(newHelp())
	root.AddCommand(newBuild(c), newWrite(c), newNew(c), newLesson(c), newCheck(c), newFormat(c), newExplain(c), newSend(c), newLive(c), newOpen(c), newLanguageServer(c), newMachine(c), newSimulate(c), newCompletion(c))
	ownFlagTexts(root)
	withoutArguments(root)
	return root
}

// commandMeant is what plain words mean that somebody tries as a command.
var commandMeant = map[string]string{
	"run": "build", "draw": "build", "make": "build", "render": "build", "show": "build", "preview": "build",
	"version": "--version",
	"print":   "send", "plot": "send", "start": "send",
	"watch": "build --watch", "lint": "check", "test": "check", "fmt": "format",
	"edit": "open", "learn": "lesson", "text": "write", "init": "new", "create": "new",
	"calibrate": "machine tune", "jog": "machine jog", "erase": "machine erase", "wipe": "machine erase", "ports": "machine ports",
}

// noCommand is the fault of a word that is no command of a command.
func noCommand(cmd *cobra.Command, word string) error {
	hint := didYouMean(word, commandNames(cmd), cmd)
	if cmd.HasParent() {
		return usagef("`%s` has no command `%s`%s", cmd.CommandPath(), word, hint)
	}
	switch word = filepath.ToSlash(word); {
	case strings.Contains(word, "."): // commands have none, files do
		hint = fmt.Sprintf("; to see a file drawn: `wend build %s`", word)
	case commandMeant[strings.ToLower(word)] != "":
		hint = fmt.Sprintf("; did you mean `wend %s`?", commandMeant[strings.ToLower(word)])
	}
	return usagef("there is no command `%s`%s", word, hint)
}

// helpOfNothing is the fault of asking for the help of a command that there is
// not, which would else be answered with the help of all.
func helpOfNothing(root *cobra.Command, args []string) error {
	if !slices.Contains(args, "--help") && !slices.Contains(args, "-h") {
		return nil
	}
	found, rest, err := root.Find(args)
	if err != nil || !found.HasSubCommands() {
		return nil // what is wrong there is said as it is without --help
	}
	if at := slices.IndexFunc(rest, func(a string) bool { return !strings.HasPrefix(a, "-") }); at >= 0 && rest[at] != "help" {
		return noCommand(found, rest[at])
	}
	return nil
}

func commandNames(root *cobra.Command) []string {
	var names []string
	for _, sub := range root.Commands() {
		names = append(names, sub.Name())
	}
	return names
}

// didYouMean names what is near to what was typed, or the command whose help
// lists all.
func didYouMean(typed string, known []string, cmd *cobra.Command) string {
	near := diag.Nearest(typed, known, 1)
	if len(near) == 0 {
		return fmt.Sprintf("; `%s --help` lists them", cmd.CommandPath())
	}
	return fmt.Sprintf("; did you mean `%s`?", near[0])
}

// version comes from what the build recorded, so there is no number to forget.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	v := strings.Trim(info.Main.Version, "()")
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && len(s.Value) >= 12 {
			v += " " + s.Value[:12]
		}
	}
	return fmt.Sprintf("%s (%s)", v, info.GoVersion)
}
