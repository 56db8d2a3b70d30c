package paraphrase

import (
	"strings"
)

// lisp writes a statement that stands in round brackets, its word first:
// (ahead 20), (define size 20), (repeat 4 (ahead 20) (turn 90)).
func (w *writer) lisp(l *line) bool {
	ns := l.nodes
	for _, n := range ns {
		if n.class != group || n.text != "(" || len(n.kids) == 0 || n.kids[0].class != name {
			return false
		}
		if len(n.kids) > 1 && !n.kids[1].space || index(n.kids, ",") >= 0 {
			return false
		}
	}
	if len(ns) == 0 {
		return false
	}
	var out []string
	for _, n := range ns {
		lines, ok := w.form(n)
		if !ok {
			return false
		}
		out = append(out, lines...)
	}
	if l.comment != "" && len(out) > 0 {
		out[0] += " # " + l.comment
	}
	for _, text := range out {
		w.out = append(w.out, l.indent+text)
	}
	return true
}

// form writes one such statement, in several lines if it holds others.
func (r *reader) form(n node) ([]string, bool) {
	if n.class != group || len(n.kids) == 0 || n.kids[0].class != name {
		return nil, false
	}
	head, args := n.kids[0], n.kids[1:]
	switch {
	case head.is("define", "defun", "defn", "setq", "set", "setf", "def", "defvar", "defparameter", "let", "var", "fn", "figure", "function") && len(args) > 1:
		return r.defined(head, args)
	case head.is("begin", "progn", "do", "block", "prog") && len(args) > 0 && args[0].class == group:
		return r.forms(args)
	case head.is("repeat", "dotimes", "loop", "times", "for", "dolist", "foreach", "doseq", "for-each", "while", "until") && len(args) > 1:
		return r.around(head, args)
	case head.is("if", "when", "unless", "cond"):
		return r.branched(head, args)
	}
	if !r.Head(strings.ToLower(head.text)) && !r.functions[head.text] && !shows(head) {
		return nil, false
	}
	// A statement with its arguments.
	var texts []string
	for len(args) > 0 {
		k := atom(args)
		if args[0].is("-", "+") && len(args) > 1 && !args[1].space {
			k = 2
		}
		if k == 0 {
			return nil, false
		}
		if args[0].class == group && args[0].text == "{" {
			return nil, false
		}
		texts = append(texts, r.bare(args[:k]))
		args = args[k:]
	}
	word := head.text
	if shows(head) {
		word = "note"
	} else if !r.functions[word] {
		word = strings.ToLower(word)
	}
	return []string{strings.TrimSpace(word + " " + strings.Join(texts, ", "))}, true
}

// bare writes a value without a bracket around the whole.
func (r *reader) bare(ns []node) string {
	out := r.value([]node{{class: group, text: "(", shut: ")", kids: ns}})
	if len(ns) == 1 && ns[0].class == group {
		out = r.value(ns)
		if len(out) == 1 && out[0].class == group && out[0].text == "(" && index(out[0].kids, ",") < 0 {
			return written(out[0].kids)
		}
		return written(out)
	}
	if len(out) == 1 && out[0].class == group {
		return written(out[0].kids)
	}
	return written(out)
}

// does reports whether a word begins a statement.
func (r *reader) does(n node) bool {
	return n.class == name && (r.Head(strings.ToLower(n.text)) || r.functions[n.text] || shows(n) || n.is("repeat", "dotimes", "when", "while"))
}

func (r *reader) forms(ns []node) ([]string, bool) {
	var out []string
	for _, n := range ns {
		lines, ok := r.form(n)
		if !ok {
			return nil, false
		}
		out = append(out, lines...)
	}
	return out, true
}

func set2(lines []string, head string) []string {
	out := []string{head + " {"}
	for _, l := range lines {
		out = append(out, "  "+l)
	}
	return append(out, "}")
}

func (r *reader) defined(head node, args []node) ([]string, bool) {
	first := args[0]
	switch {
	case head.is("let") && first.class == group: // (let ((a 10)) …)
		var out []string
		pairs := first.kids
		if first.text == "[" {
			return nil, false
		}
		for _, p := range pairs {
			if p.class != group || len(p.kids) < 2 {
				return nil, false
			}
			out = append(out, r.set(p.kids[0].text, []node{as(r.bare(p.kids[1:]), false)}))
		}
		body, ok := r.forms(args[1:])
		return append(out, body...), ok
	case first.class == group && first.text == "(" && len(first.kids) > 0: // (define (f x) …)
		return r.recipe(first.kids[0].text, first.kids[1:], args[1:])
	case first.class == name && len(args) > 2 && args[1].class == group: // (defun f (x) …)
		return r.recipe(first.text, args[1].kids, args[2:])
	case first.class == name && len(args) == 2:
		if args[1].class == group && len(args[1].kids) > 2 && args[1].kids[0].is("lambda", "fn") {
			return r.recipe(first.text, args[1].kids[1].kids, args[1].kids[2:])
		}
		return []string{r.set(first.text, []node{as(r.bare(args[1:]), false)})}, true
	}
	return nil, false
}

func (r *reader) recipe(called string, params, body []node) ([]string, bool) {
	head := called + "(" + r.names(params) + ")"
	if lines, ok := r.forms(body); ok {
		return set2(lines, "figure "+head), true
	}
	if len(body) != 1 {
		return nil, false
	}
	return []string{"fn " + head + " = " + r.bare(body)}, true
}

func (r *reader) around(head node, args []node) ([]string, bool) {
	first := args[0]
	text := ""
	switch {
	case head.is("while"):
		text = "loop while " + r.bare(args[:1])
	case head.is("until"):
		text = "loop while not (" + r.bare(args[:1]) + ")"
	case head.is("for-each", "foreach", "mapc") && len(args) == 2 && first.class == group && len(first.kids) > 2 && first.kids[0].is("lambda", "fn"):
		lines, ok := r.forms(first.kids[2:])
		return set2(lines, "loop "+r.names(first.kids[1].kids)+" in "+r.bare(args[1:])), ok
	case first.class == group && len(first.kids) > 1 && first.kids[0].class == name && !first.kids[0].is("+", "-", "*"):
		variable, over := first.kids[0].text, first.kids[1:]
		if first.kids[0].class == group {
			return nil, false
		}
		r.own[variable], r.declared[variable] = true, true
		if head.is("dotimes", "repeat", "times") {
			text = "loop " + variable + " in 0.." + less(r.bare(over))
		} else {
			text = "loop " + variable + " in " + r.bare(over)
		}
	case first.class == name && len(args) > 2 && args[1].is("in", "from", "="):
		k := 2
		for k < len(args) && !(args[k].class == group && args[k].text == "(" && args[k].space && len(args[k].kids) > 0 && r.does(args[k].kids[0])) {
			k++
		}
		r.own[first.text], r.declared[first.text] = true, true
		text = "loop " + first.text + " in " + r.span(args[2:k])
		args = args[k-1:]
	default:
		text = "loop " + r.bare(args[:1])
	}
	lines, ok := r.forms(args[1:])
	if !ok {
		return nil, false
	}
	return set2(lines, text), true
}

func (r *reader) branched(head node, args []node) ([]string, bool) {
	if head.is("cond") {
		var out []string
		for i, c := range args {
			if c.class != group || len(c.kids) < 2 {
				return nil, false
			}
			body, ok := r.forms(c.kids[1:])
			if !ok {
				return nil, false
			}
			block := set2(body, "")
			if c.kids[0].is("else", "t", "true") {
				block[0] = "else {"
			} else {
				block[0] = "if " + r.bare(c.kids[:1]) + " {"
			}
			if i > 0 {
				out[len(out)-1] = "} " + strings.TrimPrefix("else "+block[0], "else else")
				if c.kids[0].is("else", "t", "true") {
					out[len(out)-1] = "} else {"
				}
				block = block[1:]
			}
			out = append(out, block...)
		}
		return out, len(out) > 0
	}
	if len(args) < 2 {
		return nil, false
	}
	cond := "if " + r.bare(args[:1])
	if head.is("unless") {
		cond = "if not (" + r.bare(args[:1]) + ")"
	}
	if !head.is("if") {
		body, ok := r.forms(args[1:])
		return set2(body, cond), ok
	}
	yes, ok := r.forms(args[1:2])
	if !ok || len(args) > 3 {
		return nil, false
	}
	out := set2(yes, cond)
	if len(args) == 3 {
		no, ok := r.forms(args[2:])
		if !ok {
			return nil, false
		}
		block := set2(no, "} else")
		out = append(out[:len(out)-1], block...)
	}
	return out, true
}
