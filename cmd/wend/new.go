package main

import (
	"bytes"
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"wend/cmd/wend/engine"
	"wend/cmd/wend/kind"
	"wend/cmd/wend/window"
	"wend/examples"
	"wend/lang/diag"
	"wend/lang/source"
)

// newFlags are the flags of new.
type newFlags struct {
	from  string
	fills string
	plain bool
}

func newNew(c console) *cobra.Command {
	var f newFlags
	cmd := &cobra.Command{
		Use:   "new NAME.wend",
		Short: "start a program: a small one, an example, or one that draws a file",
		Long: `Writes a program to start from, and never over a file that is there.

With --from and a drawing that was made elsewhere (SVG), or a photo, the program is the
small one that ` + "`wend build`" + ` would draw of it: change it from there. A program reads what
lies beside it or below: a file from elsewhere is copied beside the program. With --from
and the name of an example, it is a copy of that, with the files that it uses.

The examples: ` + strings.Join(examples.Names(), ", ") + `.`,
		Example: `  wend new first.wend
  wend new card.wend --from leaf.svg
  wend new card.wend --from leaf.svg --fills hatch
  wend new portrait.wend --from cat.jpg
  wend new mine.wend --from fern`,
		Args: exactlyOne("a name"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := checkFills(f.fills); err != nil {
				return err
			}
			return c.startProgram(cmd.Context(), args[0], &f)
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&f.from, "from", "", "a drawing (SVG), a photo or an `example`")
	flags.StringVar(&f.fills, "fills", "", fillsHelp())
	flags.BoolVar(&f.plain, "plain", false, "note places in words, draw no marks")
	return cmd
}

// startProgram writes a new program, and says what to do with it.
func (c console) startProgram(ctx context.Context, name string, f *newFlags) error {
	if filepath.Ext(name) == "" {
		name += ".wend"
	}
	if ending := filepath.Ext(name); ending != ".wend" {
		return usagef("a program ends in .wend, not in %s", ending)
	}
	text, beside, list := window.FirstProgram, map[string]string(nil), diag.List(nil)
	copied := false
	example, isExample := examples.Program(f.from)
	switch _, err := os.Stat(f.from); {
	case f.from == "" && f.fills != "":
		return usagef("--fills goes with --from and a drawing (SVG)")
	case f.from == "":
	case isExample && err != nil:
		if f.fills != "" {
			return usagef("--fills goes with a drawing (SVG), not with an example")
		}
		text, beside = example, examples.Beside(f.from)
	default:
		text, beside, list = c.programFrom(ctx, name, f)
		copied = len(beside) > 0
	}
	if !list.Failed() {
		if err := writeProgram(name, text, beside); err != nil {
			list = append(list, engine.Faults(err)...)
		}
	}
	c.show(list.Sorted(), f.plain)
	if list.Failed() {
		return exit(exitErrors)
	}
	if copied {
		c.tell("wrote %s, a copy of %s, which the program reads\n", filepath.ToSlash(filepath.Join(filepath.Dir(name), filepath.Base(f.from))), filepath.ToSlash(f.from))
	}
	c.tell("wrote %s; `wend build %s` draws it, `--watch` again on every save\n", filepath.ToSlash(name), filepath.ToSlash(name))
	return nil
}

// programFrom is the program that draws a drawing or a photo, with the copy of it that
// is to lie beside the program if it lies elsewhere. That of a drawing is run once, so
// that whatever there is to say about the drawing is said now.
func (c console) programFrom(ctx context.Context, name string, f *newFlags) (text string, beside map[string]string, list diag.List) {
	if f.from == "-" {
		return "", nil, engine.Faults(aboutFile(f.from, "file-outside", nil))
	}
	in, err := c.readInput(f.from)
	if err != nil {
		return "", nil, engine.Faults(c.orExample(err, f.from))
	}
	if in.kind != kind.Drawing && in.kind != kind.Photo {
		return "", nil, engine.Faults(wrongKind(in, "new --from", "name a drawing (SVG), a photo or one of the examples, which `wend new --help` lists"))
	}
	way, err := wayBelow(filepath.Dir(name), f.from)
	if err != nil {
		way = filepath.Base(f.from)
		if strings.EqualFold(way, filepath.Base(name)) {
			fault := aboutFile(name, "output-input", nil)
			fault.Hint = "give the program another name than that of what it draws"
			return "", nil, engine.Faults(fault)
		}
		if !holds(filepath.Join(filepath.Dir(name), way), in.data) {
			beside = map[string]string{way: string(in.data)}
		}
	}
	file, err := in.text()
	if err != nil {
		return "", nil, engine.Faults(err)
	}
	settings, list, err := (&runFlags{limits: "normal", fills: f.fills}).settings(c)
	if err != nil || list.Failed() {
		return "", nil, list
	}
	if in.kind == kind.Photo {
		if f.fills != "" {
			return "", nil, diag.List{diag.New("flag-unfit", source.Span{}, diag.Args{"flag": "--fills", "of": "a drawing (SVG)"})}
		}
		return engine.PhotoProgram(way, engine.PhotoWishes{}), beside, engine.PhotoSound(ctx, file, settings)
	}
	program, list := engine.Picture(file, settings)
	if program == nil {
		return "", nil, list
	}
	_, more := program.Draw(ctx)
	return engine.PictureProgram(way, f.fills), beside, append(list, more...)
}

// wayBelow is the way from a folder to a file in it or below; an error for any other
// file, also where a link in the folder leads to it.
func wayBelow(folder, name string) (string, error) {
	from, err := whereItLies(folder)
	if err != nil {
		return "", err
	}
	to, err := whereItLies(name)
	if err != nil {
		return "", err
	}
	way, err := filepath.Rel(from, to)
	if err == nil && !filepath.IsLocal(way) {
		err = fs.ErrNotExist
	}
	return way, err
}

// holds reports whether a file, itself and not by a link, has this content.
func holds(name string, content []byte) bool {
	if info, err := os.Lstat(name); err != nil || !info.Mode().IsRegular() {
		return false
	}
	there, err := os.ReadFile(name)
	return err == nil && bytes.Equal(there, content)
}

// whereItLies is the whole path of a file or folder without links; that of a folder
// which is still to be made as it is named.
func whereItLies(name string) (string, error) {
	if linked, err := filepath.EvalSymlinks(name); err == nil {
		name = linked
	}
	return filepath.Abs(name)
}

// orExample names an example that may have been meant by a file that is not
// there.
func (c console) orExample(err error, name string) error {
	fault, ok := err.(*diag.Fault)
	if !ok || fault.Code != "file-missing" || strings.ContainsAny(name, `./\`) {
		return err
	}
	fault.Hint = "there is no such example either; `wend new --help` lists them"
	if near := diag.Nearest(name, examples.Names(), 1); len(near) > 0 {
		fault.Hint = "did you mean the example `" + near[0] + "`?"
	}
	return fault
}

// writeProgram writes a program with the files that it uses, all of them or
// none, and none over another.
func writeProgram(name, text string, beside map[string]string) error {
	outputs := []output{{name: name, data: []byte(text)}}
	for path, content := range beside {
		outputs = append(outputs, output{name: filepath.Join(filepath.Dir(name), filepath.FromSlash(path)), data: []byte(content)})
	}
	slices.SortFunc(outputs, func(a, b output) int { return strings.Compare(a.name, b.name) })
	for _, o := range outputs {
		if _, err := os.Lstat(o.name); err == nil {
			return aboutFile(o.name, "output-exists", nil)
		}
	}
	return commit(outputs, nil)
}
