package paraphrase

import (
	"strings"
)

// overEach writes xs.forEach(s => …), xs.each { |s| … } and the like.
func (w *writer) overEach(i int, l *line, ns []node) bool {
	at := index(ns, "forEach", "each", "for_each", "iter", "iterate")
	if at < 2 || !ns[at-1].is(".") || at+1 >= len(ns) {
		return false
	}
	over := written(w.value(ns[:at-1]))
	inside := ns[at+1:]
	call := false
	if inside[0].class == group && inside[0].text == "(" && len(inside) == 1 {
		inside = inside[0].kids
	} else if inside[0].is("(") { // the bracket ends on a later line
		inside, call = inside[1:], true
	} else if inside[0].class == group && inside[0].text == "{" {
		inside = inside[0].kids
	}
	if len(ns) > 2 && ns[0].is("List", "Array", "Seq") && at == 2 {
		return w.iterated(i, l, ns[at+1:])
	}
	variable, body, ok := w.functionParts(inside)
	if !ok {
		return false
	}
	w.own[variable], w.declared[variable] = true, true
	if call {
		if len(body) != 1 || !body[0].is("{") {
			return false
		}
		w.open = append(w.open, frame{indent: len(l.indent), call: true})
		w.emit(l, "loop "+variable+" in "+over+" {")
		return true
	}
	if len(body) == 1 && body[0].class == group && body[0].text == "{" {
		w.emit(l, "loop "+variable+" in "+over+" { "+w.body(body[0].kids)+" }")
		return true
	}
	w.emit(l, "loop "+variable+" in "+over+" { "+w.statements(body)+" }")
	return true
}

// iterated writes List.iter (fun s -> …) xs.
func (w *writer) iterated(i int, l *line, ns []node) bool {
	if len(ns) != 2 || ns[0].class != group {
		return false
	}
	variable, body, ok := w.functionParts(ns[0].kids)
	if !ok {
		return false
	}
	w.own[variable], w.declared[variable] = true, true
	w.emit(l, "loop "+variable+" in "+written(w.value(ns[1:]))+" { "+w.statements(body)+" }")
	return true
}

// functionParts is the parameter and the body of a function that is a value.
func (w *writer) functionParts(ns []node) (variable string, body []node, ok bool) {
	at := index(ns, "=>", "->")
	from := 0
	switch {
	case at > 0:
		body, ns = ns[at+1:], ns[:at]
	case len(ns) > 2 && ns[0].is("function", "fn", "func", "fun") && ns[1].class == group:
		body, ns = ns[2:], ns[1:2]
		if body[0].is("=") {
			body = body[1:]
		}
	case len(ns) > 3 && ns[0].is("|") && ns[2].is("|"):
		body, ns = ns[3:], ns[1:2]
	default:
		return "", nil, false
	}
	if len(ns) > 1 && ns[0].is("fun", "fn", "func", "function", "\\") {
		from = 1
	}
	if len(ns) <= from || len(body) == 0 {
		return "", nil, false
	}
	variable = w.names(ns[from:])
	return variable, body, variable != "" && !strings.Contains(variable, ",")
}
