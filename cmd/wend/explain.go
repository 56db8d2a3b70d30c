package main

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"wend/cmd/wend/engine"
	"wend/internal/expression"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/lang/vocabulary"
	"wend/runtime/gcode"
	"wend/runtime/machine"
	"wend/runtime/preview"
	"wend/stdlib"
)

func newExplain(c console) *cobra.Command {
	var asJSON, plain bool
	cmd := &cobra.Command{
		Use:   "explain [WORD]",
		Short: "what a word or a diagnostic code means, with an example",
		Long: `Explains a word of the language, a word of the library (curves.rose for one of a
theme) or the code of a diagnostic: what it does, and an example with its picture;
for a code, one example that causes it and one that mends it. An everyday word
(pen, line, square) leads to what wend has for it. Without a word it lists the
words by what one wants to do; ` + "`codes`" + ` lists the codes.`,
		Example: `  wend explain arc
  wend explain branch
  wend explain curves.rose
  wend explain unknown-name`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 1 {
				return usagef("wend explain takes one word, not %d; begin with `wend explain %s`", len(args), args[0])
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			titles, groups := words()
			switch {
			case len(args) == 0 && asJSON:
				return c.list(titles, groups, asJSON)
			case len(args) == 0:
				c.overview()
				return nil
			case args[0] == "codes":
				args[0] = codesTitle
			}
			page, ok := findPage(args[0])
			if !ok || page.Word != args[0] {
				// A theme, such as curves, stands for all its words.
				for _, title := range titles {
					if strings.EqualFold(title, args[0]) {
						return c.list([]string{title}, map[string][]string{title: groups[title]}, asJSON)
					}
				}
			}
			if !ok {
				return c.unknownWord(args[0])
			}
			if asJSON {
				return c.writeJSON(page)
			}
			c.printPage(cmd.Context(), c.letters(c.stdout), page, plain)
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON instead of text")
	cmd.Flags().BoolVar(&plain, "plain", false, "describe pictures in words")
	return cmd
}

// page is what there is to say about one word.
type page struct {
	Word    string   `json:"word"`
	Kind    string   `json:"kind"`
	Forms   []string `json:"forms,omitempty"`
	Doc     string   `json:"doc"`
	Example string   `json:"example,omitempty"`
	Hint    string   `json:"hint,omitempty"`
	Bad     string   `json:"bad,omitempty"`
	Good    string   `json:"good,omitempty"`
	See     []string `json:"see,omitempty"` // words of wend, each with what it does

	subject diag.Subject
}

// findPage is the page of a word: of the table of words, of a diagnostic, or of
// an everyday word for which wend writes something else.
func findPage(word string) (page, bool) {
	if w, ok := stdlib.Vocabulary().Lookup(word); ok {
		return wordPage(w), true
	}
	if p, ok := diag.Lookup(diag.Code(word)); ok {
		return page{Word: word, Kind: p.Severity.String(), Doc: p.Rule, Forms: []string{p.Message}, Hint: p.Hint, Bad: p.Bad, Good: p.Good, subject: p.Subject}, true
	}
	if w, ok := stdlib.Vocabulary().Meant(word); ok {
		return wordPage(w), true
	}
	return everydayPage(word)
}

func wordPage(w vocabulary.Word) page {
	p := page{Word: w.Name, Kind: w.Theme, Forms: w.Forms, Doc: w.Doc, Example: w.Example}
	switch w.Sort {
	case vocabulary.Keyword:
		p.Kind = "a word of the language"
	case vocabulary.Term:
		p.Kind = "a word of these pages"
	}
	return p
}

// everydayPage says what wend has for a word that is not one of its own, or why
// there is nothing. A word that another of wend's means as it stands has that one's page.
func everydayPage(word string) (page, bool) {
	e, ok := stdlib.Vocabulary().Everyday(word)
	if !ok {
		return page{}, false
	}
	if e.Write == "" && e.Says == "" {
		w, _ := stdlib.Vocabulary().Lookup(e.Leads[0])
		return wordPage(w), true
	}
	p := page{Word: word, Kind: "an everyday word", Doc: "Wend has no word `" + word + "`."}
	if e.Write != "" {
		p.Forms = []string{e.Write}
		p.Doc = "Wend has no word `" + word + "`; this is what it writes."
	}
	if e.Says != "" {
		p.Doc += " " + e.Says
	}
	for _, name := range e.Leads {
		if w, known := stdlib.Vocabulary().Lookup(name); known {
			p.See = append(p.See, name+": "+w.Short())
		}
	}
	return p, true
}

// codesTitle is the title of the codes among the kinds of words.
const codesTitle = "Codes of diagnostics"

// purposes are what one wants to do, with the themes that have the words for it.
// The themes in wend itself, of drawings that are ready to take, are none of these.
var purposes = []struct {
	does   string
	themes []string
}{
	{"To draw a line", []string{"The stylus"}},
	{"To repeat, to choose, to give a name", []string{"The language"}},
	{"To change, join and cut lines", []string{"Paths"}},
	{"To fill areas and cut them", []string{"Areas"}},
	{"To write", []string{"Lettering"}},
	{"To take in pictures and data", []string{"Pictures from files", "Data from files"}},
	{"To reckon with numbers, places and chance", []string{"Numbers", "Points", "Chance"}},
	{"To keep many things together", []string{"Lists and texts", "Records"}},
	{"To look up kinds and measures", []string{"Kinds of values", "Measures"}},
	{"To look up a word of these pages", []string{"Words of these pages"}},
}

// overview lists the words by what one wants to do; of a theme of drawings, its
// name.
func (c console) overview() {
	_, groups := words()
	write := func(does string, all []string) {
		c.tell("%s\n%s", does, filled(strings.Join(all, "  "), "  ", c.textColumns(c.stdout)))
	}
	for i, p := range purposes {
		if i == 1 { // most of what one wants to draw is there
			write("To take a drawing that is ready", ready())
		}
		var all []string
		for _, theme := range p.themes {
			all = append(all, groups[theme]...)
		}
		write(p.does, all)
	}
	c.tell("\n`wend explain arc` explains a word, `wend explain curves` lists the drawings of a\nkind, and `wend explain codes` the codes of messages.\n")
}

// ready are the names of the themes of drawings.
func ready() []string {
	var names []string
	for _, theme := range stdlib.Vocabulary().Themes() {
		if name, _, ok := strings.Cut(theme.Words[0].Name, "."); ok && name != "" {
			names = append(names, name)
		}
	}
	return names
}

// words are all that can be explained, by kind.
func words() (titles []string, groups map[string][]string) {
	groups = map[string][]string{}
	add := func(title, word string) {
		if groups[title] == nil {
			titles = append(titles, title)
		}
		groups[title] = append(groups[title], word)
	}
	for _, theme := range stdlib.Vocabulary().Themes() {
		for _, w := range theme.Words {
			add(theme.Title, w.Name)
		}
	}
	for _, p := range diag.Pages() {
		add(codesTitle, string(p.Code))
	}
	return titles, groups
}

func (c console) list(titles []string, groups map[string][]string, asJSON bool) error {
	if asJSON {
		return c.writeJSON(groups)
	}
	for i, title := range titles {
		if i > 0 {
			c.tell("\n")
		}
		c.tell("%s\n", title)
		c.tell("%s", filled(strings.Join(groups[title], "  "), "  ", c.textColumns(c.stdout)))
	}
	return nil
}

func (c console) unknownWord(word string) error {
	near := nearWord(word)
	if near == "" {
		near = "; `wend explain` lists all words"
	}
	c.say("wend: there is nothing to explain under `%s`%s", word, near)
	return exit(exitErrors)
}

// nearWord asks whether one of the words was meant that are written much alike;
// it is empty if there is none.
func nearWord(word string) string {
	_, groups := words()
	var all []string
	for _, group := range groups {
		all = append(all, group...)
	}
	slices.Sort(all)
	near := diag.Nearest(word, slices.Compact(all), 3)
	if len(near) == 0 {
		return ""
	}
	return "; did you mean `" + strings.Join(near, "`, `") + "`?"
}

// named is a place in a message where a name of the program stands.
var named = expression.Of(`\{[a-z]+\}`)

// printPage writes a page in the letters, and for the width, of stdout.
func (c console) printPage(ctx context.Context, out io.Writer, p page, plain bool) {
	fmt.Fprintf(out, "%s (%s)\n\n", p.Word, strings.ToLower(p.Kind))
	for _, form := range p.Forms {
		if p.Bad != "" { // the message of a diagnostic
			form = named.ReplaceAllString(form, "…")
		}
		fmt.Fprintf(out, "  %s\n", form)
	}
	if p.Hint != "" && !strings.Contains(p.Hint, "{") {
		fmt.Fprintf(out, "  hint: %s\n", p.Hint)
	}
	if len(p.Forms) > 0 || p.Hint != "" {
		fmt.Fprintln(out)
	}
	fmt.Fprint(out, filled(p.Doc, "", c.textColumns(c.stdout)))
	if len(p.See) > 0 {
		fmt.Fprintln(out)
	}
	for _, see := range p.See {
		text := filled(see, "    ", c.textColumns(c.stdout))
		fmt.Fprintf(out, "  %s", text[4:])
	}
	if p.Example != "" {
		fmt.Fprintf(out, "\nFor example\n\n%s\n", indented(p.Example))
		c.printOutcome(ctx, out, p.Example, plain)
	}
	if p.Bad != "" {
		fmt.Fprintf(out, "\nThis gives it\n\n%s", indented(p.Bad))
		fmt.Fprintf(out, "\nThis does not\n\n%s", indented(p.Good))
	}
}

// printOutcome runs an example and shows what it says and draws.
func (c console) printOutcome(ctx context.Context, out io.Writer, example string, plain bool) {
	program, _ := engine.Load(source.New("<example>", example), engine.Settings{
		Profile: machine.DeskToy(), Read: exampleFile,
	})
	if program == nil {
		return
	}
	drawn, _ := program.Draw(ctx)
	if drawn == nil {
		return
	}
	for _, s := range drawn.Said {
		fmt.Fprintf(out, "  says: %s\n", s.Text)
	}
	for _, i := range engine.WithLine(drawn) {
		if plain {
			facts := program.Describe(drawn, i)
			fmt.Fprintf(out, "  draws %s of line, x %.1f to %.1f, y %.1f to %.1f mm\n",
				gcode.Length(facts.LineMM), facts.Bounds.Min.X, facts.Bounds.Max.X, facts.Bounds.Min.Y, facts.Bounds.Max.Y)
			continue
		}
		points := drawn.Sheets[i].Points
		for _, row := range c.pictureRoom().Sheet(program.Picture(drawn, i), points[len(points)-1], drawn.Heading) {
			fmt.Fprintf(out, "  %s\n", row)
		}
	}
}

// pictureRoom is how large the picture of an example may be, and with which
// letters: on a terminal all of its window, but for the row of the next prompt.
func (c console) pictureRoom() preview.Terminal {
	room := preview.Terminal{Columns: 58, Rows: 23, Trimmed: true}
	if c.onTerminal(c.stdout) {
		room.ASCII = c.ascii()
		if columns, rows := c.window(); columns > 0 {
			room.Columns, room.Rows = columns-3, max(12, rows-1)
		}
	}
	return room
}

// exampleFile is a file that examples name.
func exampleFile(_, name string) (*source.File, error) {
	text, ok := stdlib.ExampleFile(name)
	if !ok {
		return nil, &diag.Fault{Code: "file-missing", Args: diag.Args{"name": name}}
	}
	return source.New(name, text), nil
}

func indented(text string) string {
	var out strings.Builder
	for line := range strings.Lines(text) {
		out.WriteString("  " + line)
	}
	if !strings.HasSuffix(text, "\n") {
		out.WriteByte('\n')
	}
	return out.String()
}
