// Package vocabulary is the shape of the one table of words: every word that a
// program can use, or that the pages about programs use, with how it is
// written, what it does, and a program that shows it.
//
// The library fills the table (stdlib.Vocabulary). Completion, `/words`,
// `explain`, the pages on hover and the grammars of editors all read it, so a
// word that is added is known everywhere at once.
package vocabulary

import (
	"fmt"
	"slices"
	"strings"
)

// Sort is what kind of word a word is.
type Sort uint8

// The sorts of words.
const (
	Keyword   Sort = iota // kept by the language: `loop`
	Statement             // stands at the start of a statement: `ahead`
	Function              // is called and gives a value: `rotate`
	Value                 // is read: `pi`, `here`
	Kind                  // a kind of value: `record`
	Unit                  // stands glued to a number: `mm`
	Measure               // is read after a dot: `.length`
	Term                  // a word of the pages, not of programs: `unseen`
)

func (s Sort) String() string {
	return [...]string{"keyword", "statement", "function", "value", "kind", "unit", "measure", "term"}[s]
}

// Word is one word with its page.
type Word struct {
	Name    string // as programs write it: `arc`, `curves.rose`, `.length`
	Sort    Sort
	Theme   string   // the title of the theme that it stands in
	Forms   []string // the ways to write it: `arc radius, angle`, `fit(line, width:, height:)`
	Doc     string   // what it does, in one or two sentences, with units
	Example string   // a whole program that a test runs; empty for terms
}

// Short is the first sentence of the page.
func (w Word) Short() string {
	if i := strings.Index(w.Doc, ". "); i >= 0 {
		return w.Doc[:i+1]
	}
	return w.Doc
}

// Member is the name without the theme of the library before it: `rose` of
// `curves.rose`.
func (w Word) Member() string { return w.Name[strings.LastIndexByte(w.Name, '.')+1:] }

// Theme is some words that belong together.
type Theme struct {
	Title string
	Intro string
	Words []Word
}

// Table is all words by theme, in the order in which people read them. It is
// never changed once made.
type Table struct {
	themes []Theme
	byName map[string]*Word
}

// New makes a table. No two words of it may have one name, except that a kind, a
// unit or a term may be called as a word of programs before it is, which then
// counts.
func New(themes []Theme) *Table {
	t := &Table{themes: themes, byName: map[string]*Word{}}
	for i := range themes {
		for j := range themes[i].Words {
			w := &themes[i].Words[j]
			w.Theme = themes[i].Title
			if first := t.byName[w.Name]; first == nil {
				t.byName[w.Name] = w
			} else if w.Sort != Term && w.Sort != Kind && w.Sort != Unit {
				panic(fmt.Sprintf("vocabulary: `%s` stands in two themes", w.Name))
			}
		}
	}
	return t
}

// Themes are all themes; neither they nor their words are to be changed.
func (t *Table) Themes() []Theme { return t.themes }

// Words are all words of one sort, in the order of the table.
func (t *Table) Words(of ...Sort) []Word {
	var found []Word
	for _, theme := range t.themes {
		for _, w := range theme.Words {
			if slices.Contains(of, w.Sort) {
				found = append(found, w)
			}
		}
	}
	return found
}

// Lookup finds a word by its name as programs write it.
func (t *Table) Lookup(name string) (Word, bool) {
	if w := t.byName[name]; w != nil {
		return *w, true
	}
	return Word{}, false
}

// Meant is the word that a person may mean who asks about a name: the word
// itself, or else that of a theme (`heart` for `curves.heart`), a measure
// (`closed`), or the word in other letters or as one of many (`Lists`).
func (t *Table) Meant(name string) (Word, bool) {
	name = strings.TrimSpace(name)
	lower := strings.ToLower(name)
	for _, as := range []string{name, lower, singular(lower)} {
		if w, ok := t.Lookup(as); ok {
			return w, true
		}
		for _, theme := range t.themes {
			for _, w := range theme.Words {
				if as != "" && w.Member() == as {
					return w, true
				}
			}
		}
	}
	return Word{}, false
}

// singular is a name without the endings of several, where it has one.
func singular(name string) string {
	switch {
	case strings.HasSuffix(name, "xes"):
		return strings.TrimSuffix(name, "es")
	case strings.HasSuffix(name, "s") && len(name) > 2:
		return strings.TrimSuffix(name, "s")
	}
	return name
}

// Theme finds a theme by its title, or by one word of it.
func (t *Table) Theme(name string) (Theme, bool) {
	name = strings.ToLower(strings.TrimSpace(name))
	for _, theme := range t.themes {
		if strings.ToLower(theme.Title) == name {
			return theme, true
		}
	}
	for _, theme := range t.themes {
		words := strings.Fields(strings.ToLower(theme.Title))
		if name != "the" && name != "and" && name != "of" && slices.Contains(words, name) {
			return theme, true
		}
	}
	return Theme{}, false
}
