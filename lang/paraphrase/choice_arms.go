package paraphrase

import (
	"strings"
)

// choiceHeads begin a choice among values elsewhere, otherwise its last case.
var (
	choiceHeads = []string{"match", "switch", "case", "when", "select"}
	otherwise   = []string{"_", "default", "else", "otherwise", "true"}
)

// arm is one of the values of a choice: it counts if its condition holds, or if
// it has none.
type arm struct{ condition, body []node }

// arms joins the lines of a choice that is a value, which stand below its head,
// to the head: match n with, case n of, switch (n) {.
func arms(all []node, raw []string, i int, l *line) ([]node, int) {
	take := func(between bool) {
		i++
		more, note := words(strings.TrimSpace(raw[i]))
		if len(more) > 0 {
			more[0].space = true
		}
		if between {
			all = append(all, node{class: sign, text: "|"})
		}
		all = append(all, more...)
		l.comment += note
		l.text += "\n" + raw[i]
	}
	head := -1
	for k := 1; k < len(all); k++ {
		if all[k].is(choiceHeads...) && all[k-1].is("=", "return", ":=", "<-", "->") {
			head = k
		}
	}
	below := func() bool { return i+1 < len(raw) && strings.TrimSpace(raw[i+1]) != "" && len(l.text) < 4000 }
	switch {
	case head > 0 && all[len(all)-1].is("{"):
		for below() {
			end := strings.HasPrefix(strings.TrimSpace(raw[i+1]), "}")
			take(!end)
			if end {
				break
			}
		}
	case head > 0 && all[len(all)-1].is("with", "of", ":"):
		for below() && (indentOf(raw[i+1]) > len(l.indent) || strings.HasPrefix(strings.TrimSpace(raw[i+1]), "|")) {
			take(true)
		}
		if below() && strings.TrimSpace(raw[i+1]) == "end" {
			i++
			l.text += "\n" + raw[i]
		}
	default:
		// A function's conditions below its name, and the steps of a pipe.
		for below() && len(all) > 0 && indentOf(raw[i+1]) >= len(l.indent) {
			next := strings.TrimSpace(raw[i+1])
			guard := strings.HasPrefix(next, "| ") && indentOf(raw[i+1]) > len(l.indent) && !all[0].is(choiceHeads...) && strings.Contains(next, "=")
			if !guard && !strings.HasPrefix(next, "|>") {
				break
			}
			take(false)
		}
	}
	return all, i
}

// choiceOf reads a choice among values on one line, from its head on.
func (r *reader) choiceOf(ns []node) (all []arm, ok bool) {
	if len(ns) < 3 || !ns[0].is(choiceHeads...) || r.own[ns[0].text] {
		return nil, false
	}
	rest := trimmed(ns[1:])
	var subject, inside []node
	if last := rest[len(rest)-1]; last.class == group && last.text == "{" {
		subject, inside = rest[:len(rest)-1], last.kids
	} else if at := index(rest, "with", "of", ":"); at > 0 {
		subject, inside = rest[:at], rest[at+1:]
	} else if at := index(rest, "|"); at > 0 {
		subject, inside = rest[:at], rest[at:]
	} else {
		return nil, false
	}
	if len(subject) == 1 && subject[0].class == group && subject[0].text == "(" {
		subject = subject[0].kids
	}
	subject = r.value(subject)
	if len(subject) > 1 && !simple(subject) {
		return nil, false
	}
	for {
		for len(inside) > 0 && (inside[0].is(";", ",", "|", "case", "break") || inside[0].is("when") && len(subject) > 0) {
			inside = inside[1:]
		}
		if len(inside) == 0 {
			return all, len(all) > 1
		}
		at := index(inside, "->", "=>", ":", "then")
		if inside[0].is(otherwise...) && (at != 1 || len(inside) > 1 && !inside[1].is("->", "=>", ":", "then", "if", "when")) {
			at = 0
		}
		if at < 0 || at+1 >= len(inside) {
			return nil, false
		}
		pattern, body := inside[:max(at, 1)], inside[at+1:]
		end := len(body)
		for k, n := range body {
			if n.is(";", "|", ",", "break") || k > 0 && n.is("case", "default", "else", "otherwise") || k > 0 && body[k-1].class == group && body[k-1].text == "{" {
				end = k
				break
			}
		}
		if end == 0 {
			return nil, false
		}
		a := arm{condition: r.pattern(subject, pattern), body: body[:end]}
		if p := pattern; len(p) == 1 && p[0].class == name && a.condition == nil && len(subject) > 0 && !p[0].is(otherwise...) {
			a.body = replaced(a.body, p[0].text, subject) // n -> n * 2
		}
		all = append(all, a)
		inside = body[end:]
	}
}

// matched writes a choice among values that is a value itself.
func (r *reader) matched(ns []node) []node {
	for i := range ns {
		if i > 0 && !ns[i-1].is("=", "return", "->", "=>") {
			continue
		}
		if all, ok := r.choiceOf(ns[i:]); ok {
			return append(ns[:i:i], as(r.chosenValue(all), i > 0))
		}
	}
	return ns
}

// pattern is the condition that a value is one of those of a case; none if it
// may be any.
func (r *reader) pattern(subject, ns []node) []node {
	if at := index(ns, "when", "if"); at > 0 { // n when n > 3
		guard := ns[at+1:]
		if ns[0].class == name && len(subject) > 0 {
			guard = replaced(guard, ns[0].text, subject)
		}
		return r.condition(guard)
	}
	if len(ns) == 1 && (ns[0].is(otherwise...) && !(ns[0].is("true") && len(subject) > 0) || ns[0].class == name && !r.own[ns[0].text] && len(subject) > 0 && !ns[0].is("true", "false")) {
		return nil
	}
	if len(subject) == 0 {
		return r.condition(ns)
	}
	of := written(subject)
	var texts []string
	for _, p := range parts(ns, "|", ",", "or") {
		for len(p) > 1 && p[0].is("is", "in") {
			p = p[1:]
		}
		if len(p) == 0 {
			continue
		}
		if at := index(p, "..", "..=", "...", "to"); at > 0 && at+1 < len(p) {
			texts = append(texts, written(r.value(p[:at]))+" <= "+of+" <= "+written(r.value(p[at+1:])))
		} else if p[0].is("<", ">", "<=", ">=") && len(p) > 1 {
			texts = append(texts, of+" "+p[0].text+" "+written(r.value(p[1:])))
		} else {
			texts = append(texts, of+" == "+written(r.value(p)))
		}
	}
	return []node{as(strings.Join(texts, " or "), true)}
}

// replaced are nodes with a value in place of a name.
func replaced(ns []node, name string, value []node) []node {
	var out []node
	for _, n := range ns {
		if n.class != group && n.text == name {
			n = as(written(value), n.space)
		}
		if n.class == group {
			n.kids = replaced(n.kids, name, value)
		}
		out = append(out, n)
	}
	return out
}

// chosenValue writes a choice that is a value: one of its values always counts,
// so the last has no condition.
func (r *reader) chosenValue(all []arm) string {
	var out strings.Builder
	for i, a := range all {
		if i > 0 {
			out.WriteString(" else ")
		}
		last := a.condition == nil || i == len(all)-1
		if !last {
			out.WriteString("if " + written(a.condition) + " ")
		}
		body := a.body
		if len(body) == 1 && body[0].class == group && body[0].text == "{" {
			body = body[0].kids
		}
		if len(body) > 1 && body[0].is("return") {
			body = body[1:]
		}
		out.WriteString("{ " + written(r.value(body)) + " }")
		if last {
			break
		}
	}
	return out.String()
}

// chosenStatements writes a choice whose cases do something.
func (r *reader) chosenStatements(all []arm) string {
	var out strings.Builder
	for i, a := range all {
		if i > 0 {
			out.WriteString(" else ")
		}
		if a.condition != nil {
			out.WriteString("if " + written(a.condition) + " ")
		}
		text := ""
		if b := a.body; len(b) == 1 && b[0].class == group && b[0].text == "{" {
			text = r.body(b[0].kids)
		} else {
			text = r.statements(b)
		}
		out.WriteString("{ " + text + " }")
		if a.condition == nil {
			break
		}
	}
	return out.String()
}
