package paraphrase

import (
	"strings"

	everyday "wend/lang/words"
)

// Loops over a list are a function of the list elsewhere, which is given what is
// to be done with each item.

// eachWords are the names of such functions.
var eachWords = []string{"forEach", "each", "for_each", "iter", "iterate", "foreach", "mapM_", "forM_", "traverse_", "do_each"}

// over is what a loop goes through, and what is done in its passes.
type over struct {
	items  string // what it goes through, or how often it runs
	counts bool   // it runs so often
	inside []node // the function: s => …, { |s| … }, do |s| … end
}

// loop is the head of the loop.
func (o over) loop(variable string) string {
	switch {
	case !o.counts && variable == "":
		return "loop item in " + o.items
	case !o.counts:
		return "loop " + variable + " in " + o.items
	case variable == "":
		return "loop " + o.items
	}
	return "loop " + variable + " in 0.." + less(o.items)
}

// overOf reads xs.forEach(…), 3.times …, 1.upto(3) …, List.iter f xs,
// Enum.each(xs, f), xs |> List.iter f and the like.
func (r *reader) overOf(ns []node) (o over, ok bool) {
	text := func(ns []node) string {
		if len(ns) == 1 && ns[0].class == group && ns[0].text == "(" && index(ns[0].kids, "..", "...", "..=") > 0 {
			return r.span(ns[0].kids)
		}
		return written(r.value(ns))
	}
	at := index(ns, eachWords...)
	if m := index(ns, "map"); at < 0 && m > 1 && ns[m-1].is(".") && changes(ns[m+1:]) {
		at = m // xs.map(n => total += n)
	}
	bare := at == 0 || at == 2 && ns[1].is(".") && r.keepsFunctions(ns[0].text)
	switch {
	case at > 2 && index(ns[:at], "|>") > 0: // xs |> List.iter f
		from := at
		for !ns[from].is("|>") {
			from--
		}
		return over{items: text(ns[:from]), inside: ns[at+1:]}, at+1 < len(ns)
	case bare && at+1 < len(ns) && !r.own[ns[at].text]:
		args := ns[at+1:]
		var two [][]node
		if len(args) == 1 && args[0].class == group && !args[0].space {
			two = parts(args[0].kids, ",")
		} else if at := index(args, "$"); at > 0 { // forM_ xs $ \x -> …
			two = [][]node{args[:at], args[at+1:]}
		} else if k := atom(args); k > 0 && k < len(args) {
			two = [][]node{args[:k], args[k:]}
		}
		if len(two) != 2 || len(two[0]) == 0 || len(two[1]) == 0 {
			return over{}, false
		}
		if r.does2(two[1]) {
			two[0], two[1] = two[1], two[0]
		}
		return over{items: text(two[1]), inside: two[0]}, true
	case at > 1 && ns[at-1].is("."):
		return over{items: text(ns[:at-1]), inside: ns[at+1:]}, at+1 < len(ns)
	}
	if at := index(ns, "times"); at == 2 && ns[1].is(".") && (ns[0].class == number || r.own[ns[0].text]) {
		return over{items: ns[0].text, counts: true, inside: ns[3:]}, len(ns) > 3
	}
	if at := index(ns, "upto", "downto"); at > 1 && ns[at-1].is(".") && at+2 < len(ns) && ns[at+1].class == group {
		items := text(ns[:at-1]) + ".." + text(ns[at+1].kids)
		if ns[at].is("downto") {
			items += " by -1"
		}
		return over{items: items, inside: ns[at+2:]}, true
	}
	return over{}, false
}

// changes reports whether a value is a function that changes a variable.
func changes(ns []node) bool {
	for len(ns) == 1 && ns[0].class == group {
		ns = ns[0].kids
	}
	return index(ns, "=>", "->") > 0 && index(ns, "+=", "-=", "*=", "/=", "=") > 0
}

// does2 reports whether a value is a function that does something with what it
// is given.
func (r *reader) does2(ns []node) bool {
	if len(ns) == 1 && ns[0].class == group && ns[0].text == "(" {
		ns = ns[0].kids
	}
	if len(ns) == 1 {
		return ns[0].class == name && (r.Head(ns[0].text) || r.functions[ns[0].text] || shows(ns[0]))
	}
	_, _, ok := r.functionParts(ns)
	return ok
}

// functionParts is the parameter and the body of a function that is a value.
func (r *reader) functionParts(ns []node) (variable string, body []node, ok bool) {
	for len(ns) == 1 && ns[0].class == group && (ns[0].text == "(" || ns[0].text == "{" && len(ns[0].kids) > 0 && ns[0].kids[0].is("|")) {
		ns = ns[0].kids
	}
	if len(ns) > 1 && ns[0].is("do") {
		if ns = trimmed(ns[1:]); len(ns) > 0 && ns[len(ns)-1].is(closers...) {
			ns = ns[:len(ns)-1]
		}
	} else if n := len(ns); n > 3 && ns[0].is("fn", "fun", "function") && ns[n-1].is("end") {
		ns = ns[:n-1]
	}
	at := index(ns, "=>", "->")
	from := 0
	switch {
	case len(ns) == 0:
		return "", nil, false
	case at > 0:
		body, ns = ns[at+1:], ns[:at]
	case len(ns) > 2 && ns[0].is("function", "fn", "func", "fun") && ns[1].class == group:
		body, ns = ns[2:], ns[1:2]
		if body[0].is("=") {
			body = body[1:]
		}
	case len(ns) > 2 && ns[0].is("|") && ns[2].is("|"):
		body, ns = ns[3:], ns[1:2]
	case len(ns) == 1 && ns[0].class == name && (r.Head(ns[0].text) || r.functions[ns[0].text] || shows(ns[0])): // the name of a function
		return "item", []node{ns[0], as("item", true)}, true
	case len(ns) == 1 && ns[0].class == group && ns[0].text == "{": // without a parameter
		return "", ns, true
	case r.Head(ns[0].text) || everyday.Statement(ns[0].text) != nil:
		return "", ns, true
	default:
		return "", nil, false
	}
	if len(ns) > 1 && ns[0].is("fun", "fn", "func", "function", "\\") {
		from = 1
	}
	if len(ns) <= from {
		return "", nil, false
	}
	variable = r.names(ns[from:])
	return variable, body, variable != "" && !strings.Contains(variable, ",")
}

// eachOf writes such a loop where all of it stands on one line.
func (r *reader) eachOf(ns []node) (string, bool) {
	o, ok := r.overOf(ns)
	if !ok {
		return "", false
	}
	variable, body, ok := r.functionParts(o.inside)
	if !ok || len(body) == 0 {
		return "", false
	}
	if variable != "" {
		r.own[variable], r.declared[variable] = true, true
	}
	if len(body) == 1 && body[0].class == group && body[0].text == "{" {
		return o.loop(variable) + " { " + r.body(body[0].kids) + " }", true
	}
	return o.loop(variable) + " { " + r.statements(body) + " }", true
}

// overEach writes the head of such a loop whose body follows on further lines.
func (w *writer) overEach(i int, l *line, ns []node) bool {
	o, ok := w.overOf(ns)
	if !ok {
		return false
	}
	inside, variable := o.inside, ""
	if inside[0].is("(") { // the bracket ends on a later line
		var body []node
		if variable, body, ok = w.functionParts(inside[1:]); !ok || len(body) != 1 || !body[0].is("{") {
			return false
		}
		w.own[variable], w.declared[variable] = true, true
		w.open = append(w.open, frame{indent: len(l.indent), call: true})
		w.emit(l, o.loop(variable)+" {")
		return true
	}
	if !inside[0].is("do", "{") {
		text, ok := w.eachOf(ns)
		if ok {
			w.emit(l, text)
		}
		return ok
	}
	opened := inside[:1]
	if inside = inside[1:]; len(inside) > 2 && inside[0].is("|") && inside[2].is("|") {
		variable, inside = inside[1].text, inside[3:]
		w.own[variable], w.declared[variable] = true, true
	}
	if len(inside) > 0 {
		text, ok := w.eachOf(ns)
		if ok {
			w.emit(l, text)
		}
		return ok
	}
	if opened[0].is("do") {
		opened = nil
	}
	return w.block(i, l, o.loop(variable), opened)
}
