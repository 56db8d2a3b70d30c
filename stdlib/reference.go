package stdlib

import (
	"slices"
	"strings"
	"sync"

	"wend/lang/types"
	"wend/lang/vocabulary"
	"wend/lang/words"
)

// Vocabulary is the one table of words: those of the language, of the library
// by theme, of its themes written in wend, the kinds and units and measures,
// and the terms of the pages. It is made once.
func Vocabulary() *vocabulary.Table { return table() }

var table = sync.OnceValue(func() *vocabulary.Table {
	all := []vocabulary.Theme{keywordTheme()}
	for _, t := range themes() {
		section := vocabulary.Theme{Title: t.title, Intro: t.intro}
		for _, w := range t.words {
			section.Words = append(section.Words, page(w.Builtin))
		}
		all = append(all, section)
	}
	for _, name := range Modules() {
		all = append(all, moduleTheme(name, Module(name).Text))
	}
	all = append(all, kindTheme(), measureTheme())
	terms := vocabulary.Theme{Title: "Words of these pages", Intro: "What the pages mean by a word."}
	for _, term := range words.Glossary() {
		terms.Words = append(terms.Words, vocabulary.Word{Name: term.Word, Sort: vocabulary.Term, Doc: term.Means})
	}
	return vocabulary.New(append(all, terms))
})

// page is the page of a word of the library.
func page(b *types.Builtin) vocabulary.Word {
	w := vocabulary.Word{Name: b.Name, Sort: vocabulary.Function, Doc: b.Doc, Example: b.Example}
	switch {
	case b.Value:
		w.Sort = vocabulary.Value
	case b.Forms[0].Result == types.Nothing:
		w.Sort = vocabulary.Statement
	}
	for _, form := range b.Forms {
		// Forms that differ in kinds alone are written alike.
		if written := signature(b, form); !slices.Contains(w.Forms, written) {
			w.Forms = append(w.Forms, written)
		}
	}
	return w
}

// signature is how a word is written: with brackets if it gives a value,
// without if it is a statement. Optional parameters end in a colon, as they are
// named in a call.
func signature(b *types.Builtin, form types.Form) string {
	names := make([]string, len(form.Params))
	for i, p := range form.Params {
		switch {
		case p.Rest:
			names[i] = "…"
		case p.Optional:
			names[i] = p.Name + ":"
		default:
			names[i] = p.Name
		}
	}
	list := strings.Join(names, ", ")
	switch {
	case b.Value:
		return b.Name
	case form.Result == types.Nothing:
		return strings.TrimSpace(b.Name + " " + list)
	}
	return b.Name + "(" + list + ")"
}

// moduleTheme reads the pages of a theme written in wend out of its
// comments: the first comment holds the title and, after an empty line, the
// introduction; the comment right above a function or figure documents it.
// Lines of a comment that are set in by four more spaces are the example; what
// has none is the theme's own, and has no page.
func moduleTheme(name, text string) vocabulary.Theme {
	var section vocabulary.Theme
	var comment []string
	for line := range strings.Lines(text) {
		line = strings.TrimRight(line, "\r\n")
		if about, ok := strings.CutPrefix(line, "#"); ok {
			comment = append(comment, strings.TrimPrefix(about, " "))
			continue
		}
		doc, example := readComment(comment)
		comment = nil
		switch {
		case section.Title == "":
			section.Title, section.Intro, _ = strings.Cut(doc, " ")
		case example != "":
			if header, ok := header(line); ok {
				word, _, _ := strings.Cut(header, "(")
				section.Words = append(section.Words, vocabulary.Word{
					Name: name + "." + word, Sort: vocabulary.Function, Forms: []string{name + "." + header}, Doc: doc, Example: example,
				})
			}
		}
	}
	return section
}

// readComment splits the lines of a comment into prose and example.
func readComment(lines []string) (doc, example string) {
	var prose []string
	var program strings.Builder
	for _, line := range lines {
		if code, ok := strings.CutPrefix(line, "    "); ok {
			program.WriteString(code + "\n")
		} else if line = strings.TrimSpace(line); line != "" {
			prose = append(prose, line)
		}
	}
	return strings.Join(prose, " "), program.String()
}

// header is the name and parameters of the function or figure that a line
// defines: `rose(k, radius)`.
func header(line string) (string, bool) {
	for _, keyword := range []string{"fn ", "figure "} {
		if rest, ok := strings.CutPrefix(line, keyword); ok {
			end := strings.Index(rest, ")")
			return rest[:end+1], end >= 0
		}
	}
	return "", false
}
