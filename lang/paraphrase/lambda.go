package paraphrase

import (
	"slices"
	"strings"
)

// names are the names in a list of parameters, without the kinds that other
// languages write beside them; a default stays.
func (r *reader) names(ns []node) string {
	var out []string
	for _, p := range parts(ns, ",") {
		if len(p) == 0 {
			continue
		}
		def := ""
		if at := index(p, "="); at > 0 {
			def = " = " + written(r.value(p[at+1:]))
			p = p[:at]
		}
		if at := index(p, ":"); at > 0 {
			p = p[:at]
		}
		for len(p) > 1 && (isKind(p[0].text) || p[0].is("mut", "const", "final", "ref", "byval", "byref", "&", "let", "var")) {
			p = p[1:]
		}
		if len(p) == 2 && isKind(p[1].text) { // x int
			p = p[:1]
		}
		if at := index(p, "as"); at > 0 {
			p = p[:at]
		}
		for _, n := range p { // names beside one another
			if n.class == group {
				out = append(out, r.names(n.kids))
				continue
			}
			out = append(out, n.text)
		}
		if len(out) > 0 {
			out[len(out)-1] += def
		}
	}
	return strings.Join(out, ", ")
}

// lambdas writes functions that are values: x => e, lambda x: e, fun x -> e,
// function(x) { return e }, \x -> e, (lambda (x) e).
func (r *reader) lambdas(ns []node) []node {
	for i := 0; i < len(ns); i++ {
		n := ns[i]
		from, params, body := -1, "", -1
		switch {
		case n.is("=>", "->") && i > 0 && (ns[i-1].class == name || ns[i-1].class == group && ns[i-1].text == "("):
			from, body = i-1, i+1
			if ns[i-1].class == group {
				params = r.names(ns[i-1].kids)
				if from > 0 && ns[from-1].is("fn", "fun", "func", "function") {
					from--
				}
			} else {
				// fun x y -> …, \x y -> …
				for from > 0 && ns[from].class == name && !ns[from].is("fn", "fun", "func", "function", "lambda") && ns[from-1].class == name || from > 0 && ns[from-1].is("\\") {
					from--
					if ns[from].is("\\") {
						break
					}
				}
				first := from
				if ns[from].is("fn", "fun", "func", "function", "lambda", "\\") {
					first++
				} else {
					from, first = i-1, i-1
				}
				params = r.names(ns[first:i])
			}
		case n.is("lambda") && index(ns[i:], ":") > 0:
			at := i + index(ns[i:], ":")
			from, params, body = i, r.names(ns[i+1:at]), at+1
		case n.is("lambda") && i+2 < len(ns) && ns[i+1].class == group:
			from, params, body = i, r.names(ns[i+1].kids), i+2
		case n.is("function", "fun", "func") && i+2 < len(ns) && ns[i+1].class == group && ns[i+2].text == "{":
			from, params, body = i, r.names(ns[i+1].kids), i+2
		case n.is("|") && i+2 < len(ns) && ns[i+1].class == name && index(ns[i+1:], "|") > 0 && (i == 0 || ns[i-1].class == sign):
			at := i + 1 + index(ns[i+1:], "|")
			from, params, body = i, r.names(ns[i+1:at]), at+1
		}
		if from < 0 || body >= len(ns) || params == "" && !ns[body].is("{") {
			continue
		}
		rest := r.value(ns[body:])
		if rest[0].class == group && rest[0].text == "{" {
			inside := r.body(rest[0].kids)
			rest[0] = as("{ "+inside+" }", true)
			if e, ok := strings.CutPrefix(inside, "return "); ok && !strings.Contains(e, ";") {
				rest[0] = as("= "+e, true)
			}
		} else {
			rest[0].space = true
			rest = append([]node{as("=", true)}, rest...)
		}
		out := append(slices.Clone(ns[:from]), as("fn("+params+")", ns[from].space))
		return append(out, rest...)
	}
	return ns
}

// blocksOfMethods writes xs.map { it * 10 }, xs.map { |x| x * 10 }, and sorting
// by the difference of two items.
func (r *reader) blocksOfMethods(ns []node) []node {
	for i := 2; i < len(ns); i++ {
		g := ns[i]
		if g.class != group || ns[i-1].class != name || len(g.kids) == 0 {
			continue
		}
		if g.text == "{" && ns[i-2].is(".") && index(g.kids, ":") < 0 {
			kids := r.lambdas(slices.Clone(g.kids))
			if mentions(kids, "it") && !strings.HasPrefix(kids[0].text, "fn(") {
				kids = slices.Concat([]node{as("fn(it) =", false)}, r.value(kids))
				kids[1].space = true
			}
			if strings.HasPrefix(kids[0].text, "fn(") {
				kids[0].space = false
				ns[i] = node{class: group, text: "(", shut: ")", kids: kids}
			}
		}
		if g.text == "(" && ns[i-1].is("sort") && strings.HasPrefix(g.kids[0].text, "fn(") {
			if names, body, ok := strings.Cut(strings.TrimPrefix(written(g.kids), "fn("), ") = "); ok {
				a, b, two := strings.Cut(names, ", ")
				switch {
				case two && body == a+" - "+b:
					ns[i].kids = nil
				case two && body == b+" - "+a:
					ns[i].kids = []node{as("fn("+a+") = -"+a, false)}
				}
			}
		}
	}
	return ns
}
