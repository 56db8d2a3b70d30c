package live

import (
	"fmt"
	"slices"
	"strings"

	"wend/lang/assist"
	"wend/lang/vocabulary"
	"wend/stdlib"
)

// mostCompletions keeps a list on one screen.
const mostCompletions = 60

// completion is one way to go on: what is put in, and how it is written.
type completion struct{ insert, form string }

// Complete gives what the word before the cursor can go on as. Where it is there
// in full, or nothing is typed of it yet, it shows how it is written, and which
// parameter is being given.
func (p *Prompt) Complete(line string, pos int) (head string, words []string, tail string) {
	runes := []rune(line)
	before, tail := string(runes[:pos]), string(runes[pos:])
	switch {
	case strings.TrimSpace(before) == "":
		return before, nil, tail // a tab that is pasted asks for nothing
	case isOrder(before) && p.open == "":
		return p.completeOrder(before, tail)
	}
	at := len(p.open) + len(before)
	document := p.session.assisted(p.open + line)
	found := document.Complete(at)
	typed := found.Span.Text()
	head = strings.TrimSuffix(before, typed)
	items := found.Items
	if len(items) > mostCompletions || typed == "" {
		items = slices.DeleteFunc(slices.Clone(items), func(i assist.Item) bool { return !i.Likely })
	}
	all := make([]completion, len(items))
	for i, item := range items {
		all[i] = completion{item.Insert, shownAs(item)}
		if item.Insert == typed && len(found.Items) == 1 {
			p.told(strings.TrimSuffix(item.Text(), "\n"))
			return head, []string{typed}, tail
		}
	}
	if s := document.Signature(at); s != nil && typed == "" {
		p.told(signed(s))
		return head, nil, tail
	}
	return head, offered(all), tail
}

// told shows something below the line that is being typed.
func (p *Prompt) told(text string) {
	columns, _ := p.window()
	if columns > 0 {
		text = withinColumns(text, columns)
	}
	fmt.Fprintf(p.out, "\n%s\n", text)
}

// shownAs is how a completion stands in a list.
func shownAs(item assist.Item) string {
	if len(item.Forms) > 0 && strings.HasPrefix(item.Forms[0], item.Insert) {
		return item.Forms[0]
	}
	return item.Insert
}

// signed is a call as it is written, with the parameter that is being given.
func signed(s *assist.Signature) string {
	var lines []string
	for i, f := range s.Forms {
		line := f.Label
		if i == s.Active && f.Active >= 0 {
			param := f.Params[f.Active]
			line += "   here: " + param.Name
			if value := param.Value(); value != "" {
				line += ", " + value
			}
		}
		lines = append(lines, line)
	}
	return strings.Join(lines, "\n")
}

// offered are the words that a line editor shows: of a single one what is put in,
// of several how each is written.
func offered(all []completion) []string {
	if len(all) > mostCompletions {
		return nil
	}
	var words []string
	for _, c := range all {
		if len(all) == 1 {
			return []string{c.insert}
		}
		words = append(words, c.form)
	}
	return words
}

// completeOrder completes an order to the prompt, the word that it is about, or
// the file that it reads.
func (p *Prompt) completeOrder(before, tail string) (head string, words []string, _ string) {
	order, rest, more := strings.Cut(strings.TrimPrefix(strings.TrimLeft(before, " "), "/"), " ")
	if !more {
		var all []completion
		for _, o := range ordersTable() {
			if strings.HasPrefix(o.word, order) {
				all = append(all, completion{o.word, o.form})
			}
		}
		if len(all) == 1 && all[0].insert == order {
			p.told("/" + all[0].form)
		}
		return strings.TrimSuffix(before, order), offered(all), tail
	}
	head = strings.TrimSuffix(before, rest)
	switch order {
	case "load", "step":
		if p.Programs != nil {
			return head, p.Programs(rest), tail
		}
	case "help", "explain":
		return head, offered(p.explained(rest)), tail
	case "words":
		var all []completion
		for _, t := range p.themes() {
			if title := strings.ToLower(t.Title); rest != "" && strings.HasPrefix(title, strings.ToLower(rest)) {
				all = append(all, completion{title, title})
			}
		}
		return head, offered(all), tail
	}
	return head, nil, tail
}

// explained are the words that begin so and that have a page.
func (p *Prompt) explained(typed string) []completion {
	var all []completion
	add := func(name string) {
		if typed != "" && strings.HasPrefix(name, typed) && !slices.Contains(all, completion{name, name}) {
			all = append(all, completion{name, name})
		}
	}
	for _, s := range p.session.assisted("").Outline() {
		add(s.Name)
	}
	for _, theme := range stdlib.Vocabulary().Themes() {
		for _, w := range theme.Words {
			if w.Sort != vocabulary.Term {
				add(w.Name)
			}
			add(w.Member())
		}
	}
	for _, o := range ordersTable() {
		add(o.word)
	}
	slices.SortFunc(all, func(a, b completion) int { return strings.Compare(a.insert, b.insert) })
	return all
}
