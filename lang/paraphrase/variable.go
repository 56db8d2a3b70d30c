package paraphrase

import (
	"slices"
	"strings"

	everyday "wend/lang/words"
)

// made writes how variables are made.
func (r *reader) made(ns []node) (string, bool) {
	head := ns[0]
	if len(ns) > 2 && ns[1].is("is", "be", "becomes", "equals") && head.class == name && !r.Head(head.text) && !r.Function(head.text) && everyday.Statement(head.text) == nil && !head.is(variableHeads...) { // size is 20
		return r.set(head.text, ns[2:]), true
	}
	rest := ns
	if head.class == name && (!r.own[head.text] || head.is("let")) && len(ns) > 1 && (head.is(variableHeads...) || isKind(head.text) || head.is("set", "make", "store", "put", "global", "public")) {
		rest = ns[1:]
		for len(rest) > 1 && (rest[0].is("mutable", "mut", "const", "var", "static") || isKind(rest[0].text)) && rest[1].class == name {
			rest = rest[1:]
		}
	} else if len(ns) > 1 && ns[1].is(":=", "<-") && head.class == name {
		if r.declared[head.text] {
			return head.text + " = " + written(r.value(ns[2:])), true
		}
	} else if head.class != name && !(head.class == group && len(ns) > 1 && ns[1].is("=")) || !(len(ns) > 1 && (ns[1].is("=", ",", ":") || ns[1].is("$", "%") && !ns[1].space)) {
		return "", false
	}
	made := len(rest) < len(ns)
	r.letting = made && !head.is("set", "setq", "put", "store")
	defer func() { r.letting = false }()
	// A sign that goes with the name, and a kind.
	if len(rest) > 1 && rest[1].class == sign && (rest[1].text == "$" || rest[1].text == "%") && !rest[1].space {
		rest = slices.Delete(slices.Clone(rest), 1, 2)
	}
	if len(rest) == 2 && made && head.is("dim", "local", "static") && rest[1].class == group && !rest[1].space { // Dim sides(3)
		r.declare(rest[0].text, []node{as("list", false)})
		return "let " + rest[0].text + " = fill(" + written(rest[1].kids) + ", 0)", true
	}
	if len(rest) > 2 && rest[1].is(":", "as") && rest[2].class == name && rest[0].class == name {
		if len(rest) == 3 {
			first := "0"
			if strings.Contains(strings.ToLower(rest[2].text), "str") {
				first = `""`
			}
			r.declare(rest[0].text, nil)
			return "let " + rest[0].text + " = " + first, true
		}
		if rest[3].is("=") {
			rest = slices.Delete(slices.Clone(rest), 1, 3)
		}
	}
	at := index(rest, "=", ":=", "<-")
	if at < 0 && made && head.is("dim", "var", "let", "local") { // DIM a, b
		var texts []string
		for _, p := range parts(rest, ",") {
			if len(p) != 1 || p[0].class != name {
				texts = nil
				break
			}
			texts = append(texts, "let "+p[0].text+" = 0")
		}
		if texts != nil {
			for _, p := range parts(rest, ",") {
				r.declare(p[0].text, nil)
			}
			return strings.Join(texts, "; "), true
		}
	}
	if at < 0 && made {
		if k := index(rest, "to", "be", "is", "as", "equal", "auf", "=="); k == 1 && len(rest) > 2 {
			at = k
		} else if len(rest) > 1 && rest[0].class == name && (rest[1].class == number || rest[1].class == quote || rest[1].class == group || r.own[rest[1].text]) && rest[1].space {
			rest = slices.Insert(slices.Clone(rest), 1, as("=", true))
			at = 1
		}
	}
	if at < 1 || at+1 >= len(rest) {
		return "", false
	}
	if rest[at].is("==") && !made {
		return "", false
	}
	names, value := rest[:at], rest[at+1:]
	if names[0].class == name && at == 1 {
		if index(value, "=") > 0 && index(value, ",") > 0 { // a = 5, b = 20
			var texts []string
			for _, p := range parts(rest, ",") {
				if len(p) < 3 || !p[1].is("=") {
					return "", false
				}
				texts = append(texts, r.set(p[0].text, p[2:]))
			}
			return strings.Join(texts, "; "), true
		}
		if value[len(value)-1].is("in") { // let a = 20 in
			value = value[:len(value)-1]
		}
		if len(value) > 2 && value[0].class == name && value[1].is("=") && !value[0].is("fn") { // a = b = 20
			return r.set(value[0].text, value[2:]) + "; " + r.set(names[0].text, value[:1]), true
		}
		if (head.is("set", "setq") || !made) && r.declared[names[0].text] || head.is("let") && r.declared[names[0].text] && mentions(value, names[0].text) {
			return names[0].text + " = " + written(r.value(value)), true
		}
		if !made && r.Head(names[0].text) {
			return "", false
		}
		return r.set(names[0].text, value), true
	}
	// Several names at once.
	if len(names) == 1 && names[0].class == group {
		names = names[0].kids
	}
	all := parts(names, ",")
	for _, p := range all {
		if len(p) != 1 || p[0].class != name {
			return "", false
		}
	}
	values := value
	if len(values) == 1 && values[0].class == group && index(values[0].kids, ",") > 0 {
		values = values[0].kids
	}
	each := parts(values, ",")
	var texts []string
	switch {
	case len(each) == len(all):
		for i, p := range all {
			texts = append(texts, r.set(p[0].text, each[i]))
		}
	case len(each) == 1 && len(all) == 2 && simple(value):
		of := written(r.value(value))
		texts = append(texts, r.set(all[0][0].text, []node{as(of+".x", true)}), r.set(all[1][0].text, []node{as(of+".y", true)}))
	default:
		return "", false
	}
	return strings.Join(texts, "; "), true
}

func mentions(ns []node, name string) bool {
	return slices.ContainsFunc(ns, func(n node) bool { return n.text == name || n.class == group && mentions(n.kids, name) })
}

// set gives a variable a value; it makes it if there is none yet.
func (r *reader) set(variable string, value []node) string {
	text := written(r.value(value))
	if r.declared[variable] && !r.letting {
		return variable + " = " + text
	}
	r.declare(variable, value)
	if len(value) == 1 && value[0].text == "0" && r.counts0[variable] {
		r.zero[variable] = true
	}
	return "let " + variable + " = " + text
}

func (r *reader) declare(variable string, value []node) {
	r.declared[variable], r.own[variable] = true, true
	if len(value) == 0 {
		return
	}
	switch first := value[0]; {
	case first.class == number:
		r.numeric[variable] = true
	case first.class == group && first.text == "(" && index(first.kids, ",") > 0 && len(value) == 1:
		r.points[variable] = true
	case first.class == group && first.text == "[" || first.is("array", "list", "vector"):
		r.lists[variable] = true
	}
}
