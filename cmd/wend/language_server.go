package main

import (
	"context"
	"errors"
	"io"

	"github.com/spf13/cobra"

	"wend/cmd/wend/editors"
)

func newLanguageServer(c console) *cobra.Command {
	var f runFlags
	cmd := &cobra.Command{
		Use:   "language-server",
		Short: "help for editors while a program is written, over stdin and stdout",
		Long: `Speaks the Language Server Protocol with an editor: messages with their edits as one
types, also where the line leaves the page; completion, pages on hover, how a call is
written, where a name is defined and used, renaming, layout, folding, colours. An editor
starts it by itself; nothing is drawn and nothing moves.`,
		Example: "  wend language-server                            # what an editor is told to run\n  wend language-server --machine bench.toml       # the page of another machine",
		Args:    cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			f.limits = "normal"
			settings, list, err := f.settings(c)
			if err != nil {
				return err
			}
			if list.Failed() {
				c.show(list, true)
				return exit(exitErrors)
			}
			orderly, err := editors.Serve(cmd.Context(), stdio{c.stdin, c.stdout}, editors.Options{
				Settings: settings, Version: cmd.Root().Version, Same: sameFile,
			})
			switch {
			case err != nil && !errors.Is(err, context.Canceled):
				return err
			case !orderly:
				return exit(exitErrors) // as the protocol has it
			}
			return nil
		},
	}
	cmd.Flags().StringVar(&f.machine, "machine", "", "machine profile, a TOML `file`, whose page counts (without it: the built-in desk toy)")
	return cmd
}

// stdio is what a server speaks over.
type stdio struct {
	io.Reader
	io.Writer
}

func (s stdio) Close() error {
	if closer, ok := s.Reader.(io.Closer); ok {
		return closer.Close()
	}
	return nil
}
