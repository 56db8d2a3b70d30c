package live

import (
	"slices"
	"strings"

	"wend/internal/expression"
	"wend/lang/ast"
	"wend/lang/vocabulary"
	"wend/lang/words"
	"wend/stdlib"
)

// bareOrders are the orders that are obeyed without a slash where they stand
// alone on a line: what people type who want to look, to go back, or to go.
var bareOrders = []string{"/help", "/words", "/forget", "/save", "/leave"}

// bareWith are words that are obeyed without a slash with what follows them.
var bareWith = map[string]string{"help": "help", "words": "words", "explain": "explain", "undo": "forget", "forget": "forget", "save": "save"}

// plainRest is what may follow such a word: names and numbers, nothing that
// looks like the language.
var plainRest = expression.Of(`^[\pL\pN_./-]+( [\pL\pN_./-]+)*$`)

// bare is the order that a line asks for without its slash. A word that the
// entries define, or that the language has, is never one.
func (p *Prompt) bare(text string) (order string, ok bool) {
	phrase := strings.Fields(text)
	if len(phrase) == 0 || strings.Contains(strings.TrimSpace(text), "\n") || known(phrase[0]) || p.defined(phrase[0]) {
		return "", false
	}
	if o, found := words.OrderFor(strings.Join(phrase, " ")); found && slices.Contains(bareOrders, o.Does) {
		return o.Does[1:], true
	}
	rest := strings.Join(phrase[1:], " ")
	if word := bareWith[phrase[0]]; word != "" && (rest == "" || plainRest.MatchString(rest)) {
		return word + " " + rest, true
	}
	return "", false
}

// known reports whether a word is one of the language or the library.
func known(word string) bool {
	w, ok := stdlib.Vocabulary().Lookup(word)
	return ok && w.Sort <= vocabulary.Value
}

// defined reports whether the entries define a word.
func (p *Prompt) defined(word string) bool {
	checked := p.session.now.program.Checked
	return slices.ContainsFunc(checked.Main.File.Body, func(stmt ast.Stmt) bool {
		obj := checked.Defs[stmt]
		return obj != nil && obj.Name == word
	})
}
