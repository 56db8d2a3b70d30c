package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"

	"github.com/spf13/cobra"

	"wend/cmd/wend/engine"
	"wend/cmd/wend/kind"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/stdlib"
)

// writeFlags are the flags of write.
type writeFlags struct {
	buildFlags
	height, width lengthFlag
	font, align   string
	rows          string
	ruled         bool
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
  wend write "Tilda\nClass 4b" --ruled
  wend write - --height 5 --width 120 < poem.txt`,
		Args: oneText,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := f.checkFiles(); err != nil {
				return err
			}
			if len(f.runFlags.set) > 0 {
				return usagef("wend write takes no --set, since a text has no variables; it goes with `wend build FILE`")
			}
			if err := f.checkRuled(cmd.Flags().Changed("rows")); err != nil {
				return err
			}
			return c.write(cmd.Context(), args[0], &f)
		},
	}
	f.add(cmd)
	cmd.Flags().Lookup("set").Hidden = true // a text has no variables
	f.addFiles(cmd)
	flags := cmd.Flags()
	flags.Var(&f.height, "height", "height of a capital in `mm` (without it: as large as fits)")
	flags.Var(&f.width, "width", "break rows at so many `mm` (without it: where it makes the text largest, or with --height at the edge of the page)")
	flags.StringVar(&f.font, "font", stdlib.Faces()[0], "`"+strings.Join(stdlib.Faces(), " or ")+"`")
	flags.StringVar(&f.align, "align", "center", "`"+strings.Join(stdlib.Alignments(), ", ")+"`")
	flags.StringVar(&f.rows, "rows", stdlib.RowWays()[0], "how the line goes from row to row: `"+strings.Join(stdlib.RowWays(), ", ")+"`")
	flags.BoolVar(&f.ruled, "ruled", false, "ruled lines in a frame, which hide what joins the words")
	return cmd
}

// checkRuled refuses what rows on ruled lines cannot have, rather than pass it over.
func (f *writeFlags) checkRuled(rowsSaid bool) error {
	switch {
	case !f.ruled:
		return nil
	case f.align == "justify":
		return usagef("--ruled sets its rows at the left, in the middle or at the right; leave out --align justify")
	case rowsSaid:
		return usagef("--ruled joins rows by its frame; leave out --rows %s", f.rows)
	}
	return nil
}

// write makes a program of a text and builds it.
func (c console) write(ctx context.Context, words string, f *writeFlags) error {
	name := slug(words) + ".wend"
	if words == "-" {
		name = "-"
		file, err := c.readText("-", kind.Program)
		if err != nil {
			return c.report(name, &f.buildFlags, engine.Settings{}, built{}, engine.Faults(err))
		}
		words = strings.TrimRight(file.Text, "\r\n")
	} else {
		words = strings.ReplaceAll(words, `\n`, "\n")
	}
	if strings.TrimSpace(words) == "" {
		return usagef("there is no text to write")
	}
	settings, list, err := f.settings(c)
	if err != nil {
		return err
	}
	if !list.Failed() {
		program, faults := f.set(ctx, words, settings.Profile.Page())
		if faults.Failed() {
			return c.report(name, &f.buildFlags, settings, built{}, faults)
		}
		f.program = source.New("<text>", program)
	}
	_, err = c.build(ctx, name, &f.buildFlags)
	return err
}

// fill is how much of the page a text takes at most: white around it makes it
// look better. ruledFill is the same in a frame.
const fill, ruledFill = 0.94, 0.86

// set is the program that writes a text in the middle of a page. The faults speak
// of the text: nobody has seen the program.
func (f *writeFlags) set(ctx context.Context, words string, page geom.Box) (string, diag.List) {
	share := fill
	if f.ruled {
		share = ruledFill
	}
	across, up := float64(share*page.Width()), float64(share*page.Height())
	largest, rows, fits := stdlib.FitText(ctx, words, f.font, f.align, f.rows, min(across, cmp.Or(float64(f.width), across)), up)
	height, width := float64(f.height), float64(f.width)
	switch {
	case height == 0 && fits:
		height, width = largest, rows
	case height == 0:
		height = fallbackHeight
	case width == 0 && f.align == "justify":
		width = across // rows have to have a width to fill
	case width == 0:
		// As it is, if that fits, else in rows as wide as the page.
		if whole, err := stdlib.TextLine(ctx, words, f.font, f.align, f.rows, height, 0); err == nil && whole.Box.Width() > across {
			width = across
		}
	}
	text, err := stdlib.TextLine(ctx, words, f.font, f.align, f.rows, height, width)
	if err != nil {
		return "", engine.Faults(f.explained(ctx, words, err))
	}
	if text.Box.Width() > page.Width() || text.Box.Height() > page.Height() {
		fault := &diag.Fault{Code: "text-off-page", Args: diag.Args{
			"height": decimal(height), "wide": tenths(text.Box.Width()), "high": tenths(text.Box.Height()),
			"width": decimal(page.Width()), "up": decimal(page.Height()),
		}}
		if fits {
			fault.Hint = "`--height " + decimal(math.Floor(largest*10)/10) + "` fits, and so does leaving it out"
		}
		return "", engine.Faults(fault)
	}
	return f.textProgram(words, height, width, page, text), nil
}

// explained is a fault of a text with a way out that write has.
func (f *writeFlags) explained(ctx context.Context, words string, err error) error {
	var fault *diag.Fault
	if !errors.As(err, &fault) {
		return err
	}
	with := *fault
	switch fault.Code {
	case glyphMissing:
		with.Hint = "leave it out or write it another way; in a program, `letters:` brings letters of your own (`wend explain text`)"
		for _, font := range stdlib.Faces() {
			var other *diag.Fault
			_, err := stdlib.TextLine(ctx, words, font, f.align, f.rows, fallbackHeight, 0)
			if !errors.As(err, &other) || other.Code != glyphMissing {
				with.Hint = "`--font " + font + "` has it"
			}
		}
	case "word-too-wide":
		with.Hint = fmt.Sprintf("`--height %v` fits; or break it with `\\n`", fault.Args["height"])
		if f.width > 0 {
			with.Hint = fmt.Sprintf("`--height %v` fits; or give more `--width`, or break it with `\\n`", fault.Args["height"])
		}
	}
	return &with
}

const glyphMissing diag.Code = "glyph-missing"

// tenths is a length to a tenth of a millimetre; what rounds to zero has no sign.
func tenths(mm float64) string { return strconv.FormatFloat(math.Round(mm*10)/10+0, 'f', 1, 64) }

// fallbackHeight of capitals, in mm, is for texts that fit at no height: what is
// wrong is then said of that.
const fallbackHeight = 5

// textProgram is the program that writes a text in the middle of the page, on
// request with ruled lines in a frame, which hide what joins the words.
func (f *writeFlags) textProgram(words string, height, width float64, page geom.Box, text stdlib.Written) string {
	var b strings.Builder
	set := func(words, align, rows string, width float64) string {
		call := fmt.Sprintf("text(%s, height: %s, font: %s, align: %s, rows: %s", engine.Literal(words), decimal(height), engine.Literal(f.font), engine.Literal(align), engine.Literal(rows))
		if width > 0 {
			call += ", width: " + decimal(width)
		}
		return call + ")"
	}
	if !f.ruled {
		fmt.Fprintf(&b, "let words = %s\nlet line = centered(words)\nbegin page.center + line.start\ndraw line at page.center\n", set(words, f.align, f.rows, width))
		return b.String()
	}
	middle := text.Box.Center()
	inset := (1 - frameShare) / 2
	left, right := float64(inset*page.Width()), float64((1-inset)*page.Width())
	low, high := float64(inset*page.Height()), float64((1-inset)*page.Height())
	fmt.Fprintf(&b, "let left = %s\nlet right = %s\nlet low = %s\nlet high = %s\n", decimal(left), decimal(right), decimal(low), decimal(high))
	b.WriteString("let frame = polyline([(left, low), (right, low), (right, high), (left, high), (left, low)])\n")
	b.WriteString("let rows = [\n")
	for _, row := range text.Rows {
		x, y := page.Width()/2-middle.X+row.At.X, page.Height()/2-middle.Y+row.At.Y
		fmt.Fprintf(&b, "  polyline([(left, %[1]s), (right, %[1]s)]),\n", decimal(y))
		if row.Text != "" {
			fmt.Fprintf(&b, "  move(%s, (%s, %s)),\n", set(row.Text, "left", "ruled", 0), decimal(x), decimal(y))
		}
	}
	b.WriteString("]\nlet all = weave([frame] + rows)\nbegin all.start\nfollow all\n")
	return b.String()
}

// frameShare is how much of the page a frame takes.
const frameShare = 0.96

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
