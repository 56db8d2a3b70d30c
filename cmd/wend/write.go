package main

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"unicode"

	"github.com/spf13/cobra"

	"wend/cmd/wend/drawing"
	"wend/cmd/wend/kind"
	"wend/lang/source"
	"wend/stdlib"
)

// writeFlags are the flags of write.
type writeFlags struct {
	buildFlags
	height, width float64
	font, align   string
}

func newWrite(c console) *cobra.Command {
	var f writeFlags
	cmd := &cobra.Command{
		Use:   "write TEXT",
		Short: "write a text with one line: its picture and its instructions",
		Long: `Sets TEXT in letters made for a line that never lifts, as large as the page
allows and in its middle, and then does what build does: everything is checked,
and NAME.png and NAME.gcode are written, named after the text. \n in TEXT begins
a new row.

- reads the text from standard input; the outputs are then named stdin.`,
		Example: `  wend write "HAPPY BIRTHDAY"
  wend write "Tilda & Emil\nplease knock twice" --font brook --align center
  wend write - --height 5 --width 120 < poem.txt`,
		Args: exactlyOne("a text"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := f.checkFiles(); err != nil {
				return err
			}
			return c.write(cmd.Context(), args[0], &f)
		},
	}
	f.add(cmd)
	f.addFiles(cmd)
	flags := cmd.Flags()
	flags.Float64Var(&f.height, "height", 0, "height of a capital in `mm` (without it: as large as fits)")
	flags.Float64Var(&f.width, "width", 0, "break rows at so many `mm` (without it: where it makes the text largest)")
	flags.StringVar(&f.font, "font", stdlib.Faces()[0], "`"+strings.Join(stdlib.Faces(), " or ")+"`")
	flags.StringVar(&f.align, "align", "center", "`"+strings.Join(stdlib.Alignments(), ", ")+"`")
	return cmd
}

// write makes a program of a text and builds it.
func (c console) write(ctx context.Context, words string, f *writeFlags) error {
	name := slug(words) + ".wend"
	if words == "-" {
		name = "-"
		file, err := c.readText("-", kind.Program)
		if err != nil {
			return c.report(name, &f.buildFlags, drawing.Settings{}, built{}, drawing.Faults(err))
		}
		words = strings.TrimRight(file.Text, "\r\n")
	} else {
		words = strings.ReplaceAll(words, `\n`, "\n")
	}
	if strings.TrimSpace(words) == "" {
		return usagef("there is no text to write")
	}
	height, width := f.height, f.width
	if height == 0 {
		height = fallbackHeight
		settings, list, err := f.settings(c)
		if err != nil {
			return err
		}
		if !list.Failed() {
			page := settings.Profile.Page()
			across, up := float64(fill*page.Width()), float64(fill*page.Height())
			if width > 0 {
				across = min(across, width)
			}
			largest, rows, ok := stdlib.FitText(ctx, words, f.font, f.align, across, up)
			if ok {
				height = largest
				width = rows
			}
		}
	}
	f.program = source.New("<text>", textProgram(words, height, width, f.font, f.align))
	_, err := c.build(ctx, name, &f.buildFlags)
	return err
}

// fill is how much of the page a text takes at most: white around it makes it
// look better.
const fill = 0.94

// fallbackHeight of capitals, in mm, is for texts that fit at no height: the
// drawing then says what is wrong.
const fallbackHeight = 5

// textProgram is the program that writes a text in the middle of the page.
func textProgram(words string, height, width float64, font, align string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "let words = text(%s, height: %s, font: %s, align: %s", drawing.Literal(words), decimal(height), drawing.Literal(font), drawing.Literal(align))
	if width > 0 {
		fmt.Fprintf(&b, ", width: %s", decimal(width))
	}
	b.WriteString(")\nlet line = centered(words)\nbegin page.center + line.start\ndraw line at page.center\n")
	return b.String()
}

func decimal(mm float64) string { return strconv.FormatFloat(mm, 'f', -1, 64) }

// slug names files after a text: its letters and figures, the gaps between them
// as hyphens.
func slug(text string) string {
	const longest = 40 // bytes
	words := strings.FieldsFunc(strings.ToLower(strings.ReplaceAll(text, `\n`, " ")), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.Is(unicode.Mn, r)
	})
	name := ""
	for _, word := range words {
		if name != "" && len(name)+1+len(word) > longest {
			break
		}
		name = strings.TrimPrefix(name+"-"+word, "-")
	}
	for i := range name {
		if i > longest {
			return name[:i]
		}
	}
	if name == "" {
		return "text"
	}
	return name
}
