package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"wend/cmd/wend/engine"
	"wend/lang/diag"
	"wend/lang/format"
	"wend/lang/parse"
)

func newFormat(c console) *cobra.Command {
	var check, plain bool
	cmd := &cobra.Command{
		Use:   "format FILE...",
		Short: "lay programs out the one way",
		Long: `Lays programs out the one way, in place: two spaces of indent, one statement a
line, comments and groups of lines kept. A file with errors in how it is written
is left alone. - reads standard input and prints the result.`,
		Example: `  wend format fern.wend
  wend format --check examples/*.wend     change nothing; exit 1 if any would change
  wend format - < fern.wend`,
		Args: atLeastOne("a program"),
		RunE: func(cmd *cobra.Command, args []string) error {
			failed := false
			for _, name := range args {
				changed, list := c.formatFile(name, check)
				if err := cmd.Context().Err(); err != nil {
					return err
				}
				c.show(list, plain)
				if changed && check {
					c.say("%s is not laid out the one way; `wend format %s` does it", name, name)
				}
				failed = failed || list.Failed() || changed && check
			}
			if failed {
				return exit(exitErrors)
			}
			return nil
		},
	}
	cmd.Flags().BoolVar(&check, "check", false, "change nothing; exit with 1 if a file is laid out otherwise")
	cmd.Flags().BoolVar(&plain, "plain", false, "note places in words, draw no marks")
	return cmd
}

// formatFile lays out one file and reports whether that changed it.
func (c console) formatFile(name string, check bool) (changed bool, list diag.List) {
	file, err := c.readProgramFile(name, "format")
	if err != nil {
		return false, engine.Faults(err)
	}
	tree, list := parse.File(file)
	if list.Failed() {
		return false, list
	}
	text := format.Source(tree)
	changed = text != file.Text
	switch {
	case check:
	case name == "-":
		out := c.stdout
		if c.onTerminal(out) {
			out = c.readable()
		}
		if _, err := io.WriteString(out, text); err != nil {
			return changed, engine.Faults(fmt.Errorf("standard output: %w", err))
		}
	case changed:
		if err := commit([]output{{name: name, data: []byte(text), anew: true}}, nil); err != nil {
			return changed, append(list, engine.Faults(err)...)
		}
	}
	return changed, list
}
