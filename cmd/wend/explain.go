package main

import (
	"context"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"wend/cmd/wend/engine"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/lang/vocabulary"
	everyday "wend/lang/words"
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
for a code, one example that causes it and one that mends it. Without a word it
lists all of them.`,
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
			if len(args) == 0 {
				return c.list(titles, groups, asJSON)
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

// everydayPage says what wend writes for a word that it does not have.
func everydayPage(word string) (page, bool) {
	p := page{Word: word, Kind: "an everyday word"}
	if m := everyday.Statement(word); m != nil {
		p.Doc = "Wend has no word `" + word + "`."
		if m.Write != "" {
			write, _ := m.Fill(nil)
			if strings.HasSuffix(write, "{") {
				write += " … }"
			}
			p.Forms = []string{write}
			p.Doc = "Wend has no word `" + word + "`; this is what it writes."
		}
		if m.Why != "" {
			p.Doc += " " + strings.ToUpper(m.Why[:1]) + m.Why[1:] + "."
		}
		return p, true
	}
	if name, ok := everyday.Function(word); ok {
		if w, known := stdlib.Vocabulary().Lookup(name); known {
			return wordPage(w), true
		}
	}
	if name, ok := everyday.Subject(word); ok {
		if w, known := stdlib.Vocabulary().Lookup(name); known {
			return wordPage(w), true
		}
	}
	if order, ok := everyday.OrderFor(word); ok {
		p.Doc = strings.ToUpper(order.Why[:1]) + order.Why[1:] + "."
		if order.Why[0] == '`' {
			p.Doc = order.Why + "."
		}
		return p, true
	}
	return page{}, false
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
		add("Codes of diagnostics", string(p.Code))
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
var named = regexp.MustCompile(`\{[a-z]+\}`)

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
	fmt.Fprintf(out, "\n%s", filled(p.Doc, "", c.textColumns(c.stdout)))
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
