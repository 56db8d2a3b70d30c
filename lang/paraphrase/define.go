package paraphrase

import (
	"slices"
	"strings"
)

// bareFunction writes half x = x / 2, and a function with a condition before
// each of its values: sign x | x < 0 = 1 | otherwise = 2.
func (w *writer) bareFunction(l *line, ns []node) bool {
	k := w.bareParameters(ns)
	if k == 0 || !w.functions[ns[0].text] {
		return false
	}
	for _, n := range ns[1 : k+1] {
		w.own[n.text], w.declared[n.text] = true, true
	}
	head := "fn " + ns[0].text + "(" + w.names(ns[1:k+1]) + ") = "
	if ns[k+1].is("=") {
		w.emit(l, head+written(w.value(ns[k+2:])))
		return true
	}
	var all []arm
	for _, p := range parts(ns[k+2:], "|") {
		at := index(p, "=")
		if at < 1 || at+1 >= len(p) {
			return false
		}
		a := arm{body: p[at+1:]}
		if !p[0].is(otherwise...) {
			a.condition = w.condition(p[:at])
		}
		all = append(all, a)
	}
	w.emit(l, head+w.chosenValue(all))
	return true
}

// defines writes the head of a function or figure.
func (w *writer) defines(i int, l *line, ns []node) bool {
	for len(ns) > 1 && ns[0].is("public", "private", "static", "export", "async", "inline", "pub", "final", "override") {
		ns = ns[1:]
	}
	if len(ns) < 2 {
		return false
	}
	head := ns[0]
	kind := isKind(head.text) && ns[1].class == name && len(ns) > 2 && ns[2].class == group && ns[2].text == "("
	short := head.is("let", "rec", "val", "const", "var") && w.functions[ns[1].text] || head.is("let") && len(ns) > 3 && ns[1].is("rec")
	if !head.is(functionHeads...) && !kind && !short && !head.is("define") {
		return false
	}
	ns = ns[1:]
	if ns[0].is("rec", "inline") {
		ns = ns[1:]
	}
	if ns[0].class != name || len(ns) < 2 && !head.is(functionHeads...) {
		return false
	}
	called := ns[0].text
	rest := ns[1:]
	params := ""
	var names []node
	switch {
	case len(rest) > 0 && rest[0].class == group && rest[0].text == "(" && !rest[0].space || len(rest) > 0 && rest[0].class == group && rest[0].text == "(" && !short:
		names, rest = rest[0].kids, rest[1:]
	default:
		k := 0
		for k < len(rest) && (rest[k].class == name && !rest[k].is("as", "then", "do") || rest[k].is(",") || rest[k].class == group && rest[k].text == "(" && short) {
			k++
		}
		if short && k == 0 && !(len(rest) > 2 && rest[0].is("=") && rest[len(rest)-1].is("{") && open2(rest)) {
			return false // let double = …, a variable
		}
		names, rest = rest[:k], rest[k:]
	}
	params = w.names(names)
	for _, p := range names {
		if p.class == name {
			w.own[p.text], w.declared[p.text] = true, true
		}
	}
	// const square = (size) => {, over several lines
	if len(rest) > 2 && rest[0].is("=") && rest[len(rest)-1].is("{") {
		inside := rest[1 : len(rest)-1]
		if inside[0].is("function", "fn", "fun", "func") {
			inside = inside[1:]
		}
		if len(inside) > 0 && inside[len(inside)-1].is("=>", "->") {
			inside = inside[:len(inside)-1]
		}
		if len(inside) == 0 {
			return false
		}
		params := inside
		if inside[0].class == group {
			params = inside[0].kids
		}
		for _, p := range params {
			if p.class == name {
				w.own[p.text], w.declared[p.text] = true, true
			}
		}
		return w.block(i, l, w.drawn(i, l, called)+called+"("+w.names(params)+")", rest[len(rest)-1:])
	}
	// What is given back has a kind elsewhere.
	if len(rest) > 1 && rest[0].is("->", ":", "as") && rest[1].class == name && (len(rest) == 2 || rest[2].is("=", "{", ":") || rest[2].class == group && rest[2].text == "{") && (isKind(rest[1].text) || len(rest) > 2) {
		rest = rest[2:]
	}
	head2 := called + "(" + params + ")"
	if len(rest) > 0 && rest[0].is("=", "->", "=>") && len(rest) > 1 {
		body := rest[1:]
		if body[0].class == group && body[0].text == "{" && len(body) == 1 { // = { … }
			return w.block(i, l, w.drawn(i, l, called)+head2, body)
		}
		if w.Head(strings.ToLower(body[0].text)) && !body[0].is("if", "path", "fn", "curve") && !w.functions[body[0].text] {
			w.emit(l, "figure "+head2+" { "+w.statements(body)+" }")
			return true
		}
		w.emit(l, "fn "+head2+" = "+written(w.value(body)))
		return true
	}
	if len(rest) == 1 && rest[0].is("=", "->", ":", "do", "then", "is", "as") {
		rest = nil
	}
	if len(rest) > 0 && rest[0].is(":") {
		rest = rest[1:]
	} else if len(rest) > 0 && !rest[0].is("{") && !(rest[0].class == group && rest[0].text == "{") {
		return false
	}
	if head.is("to") && len(rest) == 0 && len(names) == 0 {
		if _, ok := w.ending(i); !ok {
			return false
		}
	}
	if len(rest) == 1 && rest[0].class == group && head.is("fn", "func", "fun", "def") && w.isValue(rest[0].kids) { // { x + 5 }
		w.emit(l, "fn "+head2+" = "+written(w.value(rest[0].kids)))
		return true
	}
	before := len(w.open)
	kindOf := w.drawn(i, l, called)
	if !w.block(i, l, kindOf+head2, rest) {
		return false
	}
	if len(w.open) > before {
		w.open[len(w.open)-1].named = called
	}
	return true
}

// isValue reports whether a block holds one value and nothing that is done.
func (r *reader) isValue(ns []node) bool {
	if len(ns) == 0 || index(ns, ";", "=", "return", "{", ":=") >= 0 {
		return false
	}
	first := ns[0]
	if first.class != name {
		return first.class != sign
	}
	if first.is("if", "match", "switch", "case") {
		return false
	}
	return r.declared[first.text] || r.Function(first.text) && !r.Head(first.text)
}

// open2 reports whether a function that is a value goes on in the next line.
func open2(rest []node) bool {
	return index(rest, "=>", "->") > 0 || len(rest) > 1 && rest[1].is("function", "fn", "fun", "func")
}

// drawn is figure for a body that draws, and fn for one that gives a value.
func (w *writer) drawn(i int, l *line, called string) string {
	if first := l.nodes[0]; first.is("figure") || called == entryPoint {
		return "figure "
	}
	body := slices.Clone(l.nodes[1:])
	for k := i + 1; k < len(w.lines); k++ {
		next := &w.lines[k]
		if !next.blank() && len(next.indent) <= len(l.indent) {
			break
		}
		body = append(body, node{class: sign, text: ";"})
		body = append(body, next.nodes...)
	}
	if gives(body, called) {
		return "fn "
	}
	return "figure "
}

func gives(ns []node, called string) bool {
	for i, n := range ns {
		if n.class == group && n.text == "{" && gives(n.kids, called) {
			return true
		}
		if i+1 < len(ns) && n.is("return") && !ns[i+1].is(";", "}") {
			return true
		}
		if i > 0 && i+1 < len(ns) && n.text == called && ns[i+1].is("=") && ns[i-1].is(";") {
			return true
		}
	}
	return false
}
