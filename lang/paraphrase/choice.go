package paraphrase

import (
	"slices"
	"strings"
)

// choices writes a value that is chosen: c ? a : b, a if c else b, if c then a
// else b.
func (r *reader) choices(ns []node) []node {
	write := func(from int, cond, yes, no []node) []node {
		out := slices.Clone(ns[:from])
		text := "if " + written(r.condition(cond)) + " { " + written(r.value(yes)) + " } else { " + written(r.value(no)) + " }"
		if strings.HasPrefix(written(no), "if ") {
			text = "if " + written(r.condition(cond)) + " { " + written(r.value(yes)) + " } else " + written(r.value(no))
		}
		return append(out, as(text, from == 0 || ns[from].space))
	}
	if at := index(ns, "?"); at > 0 {
		if to := index(ns[at:], ":"); to > 1 && at+to+1 < len(ns) {
			from := r.segment(ns, at)
			if from < at {
				return write(from, ns[from:at], ns[at+1:at+to], ns[at+to+1:])
			}
		}
	}
	at := index(ns, "if")
	if at < 0 {
		return ns
	}
	other := index(ns[at:], "else")
	if other < 0 || at+other+1 >= len(ns) {
		return ns
	}
	other += at
	if then := index(ns[at:], "then"); then > 1 && at+then+1 < other {
		then += at
		return write(at, ns[at+1:then], ns[then+1:other], ns[other+1:])
	}
	from := r.segment(ns, at)
	if from < at && ns[at+1].text != "{" && index(ns[at:], "{") < 0 && other > at+1 {
		return write(from, ns[at+1:other], ns[from:at], ns[other+1:])
	}
	return ns
}

// chooses begins a choice among values, chosen writes its cases.
func (w *writer) chooses(l *line, ns []node) bool {
	subject := ns[1:]
	for len(subject) > 0 && subject[len(subject)-1].is("{", "with", "of", ":") {
		subject = subject[:len(subject)-1]
	}
	if len(subject) > 1 && subject[0].is("case") { // select case n
		subject = subject[1:]
	}
	if len(subject) == 1 && subject[0].class == group && subject[0].text == "(" {
		subject = subject[0].kids
	}
	if len(subject) == 0 || len(subject) > 4 {
		return false
	}
	f := frame{indent: len(l.indent), chooses: written(w.value(subject)), by: word}
	if last := l.nodes[len(l.nodes)-1]; last.is("{") {
		f.by = bracket
	}
	w.open = append(w.open, f)
	return true
}

// chosen writes a case of a choice among values, and its end.
func (w *writer) chosen(l *line) bool {
	top := w.top()
	if top.chooses == "" {
		return false
	}
	ns := trimmed(l.nodes)
	end := func() {
		if top.cases > 0 {
			w.out = append(w.out, strings.Repeat(" ", top.indent)+"}")
		}
		w.open = w.open[:len(w.open)-1]
	}
	begins := ns[0].is("case", "|", "when") || ns[0].is("default", "else", "otherwise") || ns[0].is("_") || index(ns, "=>") == 1
	switch {
	case ns[0].is("}") && len(ns) == 1, ns[0].is(closers...):
		end()
		return true
	case !begins && len(l.indent) <= top.indent:
		end()
		return false
	case !begins:
		if ns[0].is("break") {
			return true
		}
		return false
	}
	if ns[0].is("case", "|", "when") {
		ns = ns[1:]
	}
	at := index(ns, ":", "->", "=>", "then")
	value, body := ns, []node(nil)
	if at > 0 {
		value, body = ns[:at], ns[at+1:]
	}
	text := ""
	if top.cases > 0 {
		text = "} else "
	}
	if len(value) == 0 || !value[0].is("default", "_", "else", "otherwise") {
		var conds []string
		for _, v := range parts(value, ",", "|") {
			conds = append(conds, top.chooses+" == "+written(w.value(v)))
		}
		text += "if " + strings.Join(conds, " or ") + " "
	}
	text += "{"
	indent := strings.Repeat(" ", top.indent)
	w.out = append(w.out, indent+text)
	top.cases++
	for _, s := range parts(trimmed(body), ";") {
		if len(s) == 0 || s[0].is("break") {
			continue
		}
		if len(s) == 1 && s[0].class == group && s[0].text == "{" {
			w.out = append(w.out, indent+"  "+w.body(s[0].kids))
			continue
		}
		w.out = append(w.out, indent+"  "+w.statements(s))
	}
	return true
}
