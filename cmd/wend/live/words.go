package live

import (
	"cmp"
	"context"
	"fmt"
	"strings"
	"unicode/utf8"

	"wend/lang/assist"
	"wend/lang/diag"
	"wend/lang/vocabulary"
	"wend/stdlib"
)

// themes are the words of the language and the library, and those that the
// entries define.
func (p *Prompt) themes() []vocabulary.Theme {
	var all []vocabulary.Theme
	for _, theme := range stdlib.Vocabulary().Themes() {
		if theme.Words[0].Sort != vocabulary.Term {
			all = append(all, theme)
		}
	}
	own := vocabulary.Theme{Title: "Yours"}
	for _, s := range p.session.assisted("").Outline() {
		own.Words = append(own.Words, vocabulary.Word{Name: s.Name, Forms: s.Forms[:1], Doc: cmp.Or(s.Doc, ofEntries(s.Page))})
	}
	if len(own.Words) > 0 {
		all = append(all, own)
	}
	return all
}

// ofEntries says of a name that the entries define what it is.
func ofEntries(page assist.Page) string {
	if page.Value != "" {
		return page.Value + ", from your entries"
	}
	return "a " + page.Sort.String() + ", from your entries"
}

// words lists the words by theme, a theme a line; of one theme a word a line.
func (p *Prompt) words(ctx context.Context, which string) error {
	all := p.themes()
	if which == "" {
		var lines []string
		for _, t := range all {
			var words []string
			for _, w := range t.Words {
				words = append(words, w.Name)
			}
			lines = append(lines, t.Title+": "+strings.Join(words, " "))
		}
		return p.page(ctx, append(lines, "`/words paths` says what the words of a theme do, `/explain arc` all about one."))
	}
	if theme, ok := vocabulary.New(all).Theme(which); ok {
		return p.page(ctx, p.themeLines(theme))
	}
	// A word, one of every day too, has a page.
	if p.defined(which) {
		return p.explain(ctx, which)
	}
	if text, err := p.Explain(ctx, which); err == nil {
		return p.page(ctx, strings.Split(strings.TrimRight(text, "\n"), "\n"))
	}
	return refusef("neither a word nor a theme is called `%s`; `/words` lists both", which)
}

// row is something that can be written, and what it does.
type row struct{ form, does string }

// widestForm is how wide a form may be so that what it does stands beside it.
const widestForm = 30

// rows lays out a list: side by side where the window has room for that, else what
// a form does stands below it.
func (p *Prompt) rows(list []row) []string {
	columns, _ := p.window()
	width := 0
	for _, r := range list {
		if n := utf8.RuneCountInString(r.form); n <= widestForm {
			width = max(width, n)
		}
	}
	var lines []string
	for _, r := range list {
		switch {
		case p.Plain:
			lines = append(lines, r.form+": "+r.does)
		case columns > 0 && columns < narrowColumns:
			lines = append(lines, r.form, hanging("  ", r.does, columns))
		default:
			form := fmt.Sprintf("  %-*s  ", width, r.form)
			lines = append(lines, form+strings.TrimLeft(hanging(strings.Repeat(" ", width+4), r.does, columns), " "))
		}
	}
	return lines
}

// hanging sets a text in, and so each line of it that a window breaks.
func hanging(indent, text string, columns int) string {
	room := columns - len(indent)
	if columns == 0 || room < 12 {
		return indent + text
	}
	return indent + strings.ReplaceAll(withinColumns(text, room), "\n", "\n"+indent)
}

// themeLines are the words of a theme, one a line.
func (p *Prompt) themeLines(t vocabulary.Theme) []string {
	var rows []row
	for _, w := range t.Words {
		rows = append(rows, row{w.Forms[0], w.Short()})
	}
	return append([]string{t.Title}, p.rows(rows)...)
}

// page shows lines, as many as the window has room for at a time. What is typed
// in place of going on is the next entry.
func (p *Prompt) page(ctx context.Context, lines []string) error {
	columns, rows := p.window()
	if columns == 0 || rows < 4 || p.Script || p.Plain {
		for _, line := range lines {
			p.say("%s", line)
		}
		return nil
	}
	var broken []string
	for _, line := range lines {
		broken = append(broken, strings.Split(withinColumns(line, columns), "\n")...)
	}
	for {
		n := min(rows-1, len(broken))
		fmt.Fprintln(p.out, strings.Join(broken[:n], "\n"))
		if broken = broken[n:]; len(broken) == 0 {
			return nil
		}
		line, err := p.readLine(ctx, "Enter shows more> ", "more> ", "> ")
		switch {
		case isLeft(err):
			return nil
		case err != nil:
			return err
		case strings.TrimSpace(line) != "":
			p.later = append(p.later, line)
			return nil
		}
	}
}

// explain tells about a word of the language, the library or the entries, an
// order, or the code of an error.
func (p *Prompt) explain(ctx context.Context, word string) error {
	if word == "" {
		return p.words(ctx, "")
	}
	if order, ok := strings.CutPrefix(word, "/"); ok {
		for _, o := range ordersTable() {
			if o.word == order {
				p.say("/%s: %s", o.form, o.does)
				return nil
			}
		}
		return p.obey(ctx, order) // it says what there is
	}
	if p.defined(word) {
		for _, s := range p.session.assisted("").Outline() {
			if s.Name == word {
				p.say("%s\n%s", strings.Join(s.Forms, "\n"), ofEntries(s.Page))
				if s.Doc != "" {
					p.say("%s", s.Doc)
				}
				return nil
			}
		}
	}
	if _, code := diag.Lookup(diag.Code(word)); !code && !known(word) {
		for _, o := range ordersTable() {
			if o.word == word {
				p.say("/%s: %s", o.form, o.does)
				return nil
			}
		}
	}
	text, err := p.Explain(ctx, word)
	if err != nil {
		return err
	}
	return p.page(ctx, strings.Split(strings.TrimRight(text, "\n"), "\n"))
}
