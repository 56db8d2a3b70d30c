package vocabulary

import (
	"slices"
	"strings"

	"wend/internal/expression"
	"wend/lang/words"
)

// Everyday is what there is to say about a word that people type and that wend does
// not have.
type Everyday struct {
	Write string   // what wend writes for it; empty where that is nothing
	Says  string   // why there is none, or what is done instead: whole sentences
	Leads []string // the words of the table that it leads to, the nearest first
}

// Everyday finds an everyday word.
func (t *Table) Everyday(word string) (Everyday, bool) {
	if m := words.Statement(word); m != nil {
		e := Everyday{Says: sentence(m.Why)}
		if m.Write != "" {
			e.Write, _ = m.Fill(nil)
			if strings.HasSuffix(e.Write, "{") {
				e.Write += " … }"
			}
		}
		if shape, ok := words.Shape(word); ok {
			curve, _, _ := strings.Cut(shape, "(")
			e.Leads = append(e.Leads, "curves."+curve)
		}
		e.Leads = t.named(e.Leads, m.Write)
		e.Leads = t.quoted(e.Leads, m.Why)
		return e, true
	}
	for _, find := range []func(string) (string, bool){words.Function, words.Subject} {
		if name, ok := find(word); ok {
			if _, known := t.Lookup(name); known {
				return Everyday{Leads: []string{name}}, true
			}
		}
	}
	if shape, ok := words.Shape(word); ok {
		curve, _, _ := strings.Cut(shape, "(")
		return Everyday{Write: "draw curves." + shape + "20)", Leads: []string{"curves." + curve}}, true
	}
	if order, ok := words.OrderFor(word); ok {
		return Everyday{Says: sentence(order.Why), Leads: t.named(nil, order.Write)}, true
	}
	return Everyday{}, false
}

// Leading gives for each word with an example the everyday words that lead to it, and
// for those that lead to none what is said of them.
func (t *Table) Leading() (to map[string][]string, none map[string]string) {
	to, none = map[string][]string{}, map[string]string{}
	for _, word := range words.All() {
		e, _ := t.Everyday(word)
		says := []string{e.Says}
		shown := false
		for _, lead := range e.Leads {
			w, _ := t.Lookup(lead)
			if w.Example != "" {
				shown = true
				to[lead] = append(to[lead], word)
			} else if e.Says == "" {
				says = append(says, "`"+lead+"`: "+w.Doc)
			}
		}
		if about := strings.TrimSpace(strings.Join(says, " ")); !shown && about != "" {
			none[word] = about
		}
	}
	return to, none
}

// name is a word of a program, with its theme if it has one.
var name = expression.Of(`\p{L}[\p{L}_]*(?:\.[\p{L}_]+)?`)

// named adds the words of the table that a piece of a program has in it.
func (t *Table) named(to []string, program string) []string {
	found := name.FindAllString(program, -1)
	ofTheme := slices.ContainsFunc(found, func(w string) bool { return strings.Contains(w, ".") })
	for _, w := range found {
		if _, known := t.Lookup(w); known && !slices.Contains(to, w) && (w != "draw" || !ofTheme) {
			to = append(to, w)
		}
	}
	return to
}

// quoted adds those that a text quotes.
func (t *Table) quoted(to []string, text string) []string {
	for i, part := range strings.Split(text, "`") {
		if i%2 == 1 {
			to = t.named(to, part)
		}
	}
	return to
}

// sentence is a reason as a sentence of its own.
func sentence(why string) string {
	if why == "" {
		return ""
	}
	return strings.ToUpper(why[:1]) + why[1:] + "."
}
