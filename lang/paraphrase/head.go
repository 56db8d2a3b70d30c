package paraphrase

import (
	"slices"

	everyday "wend/lang/words"
)

// begins writes a line that begins a block: a loop, a choice, a definition.
func (w *writer) begins(i int, l *line) bool {
	ns := trimmed(l.nodes)
	if len(ns) == 0 {
		return false
	}
	if ns[0].class == number && len(ns) > 2 && ns[1].class == name && (everyday.Times(ns[1].text) || ns[1].is("x")) { // 3 times ahead 20, 4x (ahead 20, turn 90)
		_, rest := w.divided(slices.Concat([]node{ns[0]}, ns[2:]))
		if rest == nil {
			rest = statementsInBrackets(ns[2:])
		}
		return w.block(i, l, "loop "+ns[0].text, rest)
	}
	if k := index(ns, "times"); k > 1 && ns[k-1].class == number && ns[0].is("do", "repeat", "loop", "now", "please", "again") { // do this 3 times
		_, rest := w.divided(slices.Concat([]node{ns[k-1]}, ns[k+1:]))
		return w.block(i, l, "loop "+ns[k-1].text, rest)
	}
	if w.bareFunction(l, ns) {
		return true
	}
	if ns[0].class != name || w.own[ns[0].text] && !ns[0].is("to") || len(ns) > 1 && ns[1].is("=", ".", ":=", "+=") {
		return w.overEach(i, l, ns)
	}
	head, rest := w.divided(ns[1:])
	switch {
	case ns[0].is("if", "when"):
		if len(head) == 0 {
			return false
		}
		if rest == nil {
			head, rest = w.bareBody(head)
		}
		return w.block(i, l, "if "+written(w.condition(head)), rest)
	case ns[0].is("unless"):
		return len(head) > 0 && w.block(i, l, "if not ("+written(w.condition(head))+")", rest)
	case ns[0].is("while"):
		return len(head) > 0 && w.block(i, l, "loop while "+written(w.condition(head)), rest)
	case ns[0].is("until"):
		return len(head) > 0 && w.block(i, l, "loop while not ("+written(w.condition(head))+")", rest)
	case ns[0].is("for", "foreach", "loop", "repeat", "do", "dotimes"):
		return w.loop(i, l, ns, head, rest)
	case ns[0].is(choiceHeads...) && w.wholeChoice(l, ns):
		return true
	case ns[0].is("switch", "match", "select", "case") && (len(rest) == 0 || rest[0].is("{")):
		return w.chooses(l, ns)
	}
	return w.defines(i, l, ns)
}

// bareBody parts the condition of a choice from a statement that stands behind
// it with nothing between: if i = 3 ahead 20.
func (w *writer) bareBody(ns []node) (head, rest []node) {
	for k := 1; k < len(ns); k++ {
		if ns[k].class == name && ns[k].space && (w.Head(ns[k].text) || w.functions[ns[k].text] && k+1 < len(ns) && ns[k+1].class == number) && !ns[k].is("if", "not") && ns[k-1].class != sign {
			return ns[:k], ns[k:]
		}
	}
	return ns, nil
}

// wholeChoice writes a choice among values that stands on one line with all its
// cases.
func (w *writer) wholeChoice(l *line, ns []node) bool {
	text, ok := w.among(ns)
	if ok {
		w.emit(l, text)
	}
	return ok
}
