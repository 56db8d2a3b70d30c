package live

import (
	"context"
	"fmt"
	"strings"
	"unicode/utf8"

	"wend/lang/diag"
	"wend/stdlib"
)

// theme is some words that belong together.
type theme struct {
	title string
	words []described
}

// described is a word with one way to use it and what it does, in a sentence.
type described struct{ word, form, does string }

// themes are the words of the language and the library, and those that the
// entries define.
func (p *Prompt) themes() []theme {
	all := []theme{{title: "The language"}}
	for _, k := range stdlib.Keywords() {
		all[0].words = append(all[0].words, described{k.Word, k.Form, sentence(k.Doc)})
	}
	for _, section := range stdlib.Reference() {
		t := theme{title: section.Title}
		for _, e := range section.Entries {
			t.words = append(t.words, described{e.Name, e.Forms[0], sentence(e.Doc)})
		}
		all = append(all, t)
	}
	own := theme{title: "Yours"}
	for _, s := range p.session.now.ownSignatures() {
		own.words = append(own.words, described{s.word, s.forms[0], "from your entries"})
	}
	if len(own.words) > 0 {
		all = append(all, own)
	}
	return all
}

// sentence is the first sentence of a text.
func sentence(text string) string {
	text = strings.Join(strings.Fields(text), " ")
	if i := strings.Index(text, ". "); i >= 0 {
		return text[:i+1]
	}
	return text
}

// words lists the words by theme, a theme a line; of one theme a word a line.
func (p *Prompt) words(ctx context.Context, which string) error {
	if which == "" {
		var lines []string
		for _, t := range p.themes() {
			var words []string
			for _, w := range t.words {
				words = append(words, w.word)
			}
			lines = append(lines, t.title+": "+strings.Join(words, " "))
		}
		return p.page(ctx, append(lines, "`/words paths` says what the words of a theme do, `/explain arc` all about one."))
	}
	var titles []string
	for _, t := range p.themes() {
		if named(t.title, which) {
			return p.page(ctx, t.lines())
		}
		titles = append(titles, strings.ToLower(t.title))
	}
	return refusef("no theme is called `%s`; there are %s", which, strings.Join(titles, ", "))
}

// named reports whether a theme is meant by a name, or by one word of it.
func named(title, name string) bool {
	title, name = strings.ToLower(title), strings.ToLower(name)
	if title == name {
		return true
	}
	for _, word := range strings.Fields(title) {
		if word == name && word != "the" && word != "and" {
			return true
		}
	}
	return false
}

// widestForm is how wide a form may be so that what it does stands beside it.
const widestForm = 30

func (t theme) lines() []string {
	lines := []string{t.title}
	width := 0
	for _, w := range t.words {
		if n := utf8.RuneCountInString(w.form); n <= widestForm {
			width = max(width, n)
		}
	}
	for _, w := range t.words {
		lines = append(lines, fmt.Sprintf("  %-*s  %s", width, w.form, w.does))
	}
	return lines
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
		broken = append(broken, strings.Split(wrapped(line, columns), "\n")...)
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
	for _, s := range p.session.now.ownSignatures() {
		if s.word == word {
			p.say("%s: from your entries", strings.Join(s.forms, "\n"))
			return nil
		}
	}
	if _, code := diag.Lookup(diag.Code(word)); !code && !p.known(word) {
		for _, o := range ordersTable() {
			if o.word == word {
				p.say("/%s: %s", o.form, o.does)
				return nil
			}
		}
	}
	return p.Explain(ctx, word)
}
