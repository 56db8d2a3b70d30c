package main

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
	"sync"

	"github.com/spf13/cobra"

	"wend/cmd/wend/editors"
	"wend/lang/diag"
)

func newLanguageServer(c console) *cobra.Command {
	var f runFlags
	cmd := &cobra.Command{
		Use:   "language-server",
		Short: "help for editors while a program is written, over stdin and stdout",
		Long: `Speaks the Language Server Protocol with an editor: messages with their edits as one
types, also where the line leaves the page; completion, pages on hover, how a call is
written, where a name is defined and used, renaming, layout, folding, colours; above a
program and each of its figures what its line takes. An editor starts it by itself;
nothing is drawn and nothing moves. lang/editors/README.md has the settings.`,
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
			// Each keystroke leaves much behind at once; to sweep it up four times as
			// seldom takes 40 % of the work off it, for some 70 MB at 5,000 lines.
			debug.SetGCPercent(400)
			orderly, err := editors.Serve(cmd.Context(), stdio{c.stdin, c.stdout}, editors.Options{
				Settings: settings, Version: cmd.Root().Version, Same: sameFile,
				Explained: c.explainedInFile(cmd.Context()), Picture: c.keepPicture,
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

// explainedInFile writes the page of a message, as explain prints it, where an editor
// can open it: an address that needs no network.
func (c console) explainedInFile(ctx context.Context) func(diag.Code) (string, bool) {
	var mu sync.Mutex
	written := map[diag.Code]string{} // empty where it could not be
	return func(code diag.Code) (string, bool) {
		mu.Lock()
		defer mu.Unlock()
		name, tried := written[code]
		if !tried {
			if p, known := findPage(string(code)); known {
				var text bytes.Buffer
				c.printPage(ctx, &text, p, true)
				name, _ = c.keep("pages", string(code)+".txt", text.Bytes()) // without it there is no address
			}
			written[code] = name
		}
		return name, name != ""
	}
}

// keepPicture writes the picture of a program where an editor can open it; the next
// one of the program takes its place.
func (c console) keepPicture(program string, svg []byte) (string, error) {
	base := filepath.Base(program)
	return c.keep("pictures", strings.TrimSuffix(base, filepath.Ext(base))+".svg", svg)
}

// keep writes a file of wend's own, in a folder by what it is for.
func (c console) keep(folder, name string, content []byte) (string, error) {
	state := c.stateFolder()
	if state == "" {
		return "", errors.New("there is no folder for it: neither XDG_STATE_HOME nor a home folder is known")
	}
	folder = filepath.Join(state, folder)
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return "", err
	}
	name = filepath.Join(folder, name)
	return name, os.WriteFile(name, content, 0o600)
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
