package paraphrase

import (
	"slices"
	"strconv"
)

// listed puts commas into a list whose items stand side by side, and takes the
// brackets from around a range.
func (r *reader) listed(ns []node) []node {
	for i, n := range ns {
		if n.class == group && n.text == "{" && i > 0 && index(n.kids, "=") == 1 && n.kids[0].class == name && !ns[i-1].is(")") && (ns[i-1].is("=", "(", "[", ",") || i == 0) { // {x = 20; y = 30}
			var fields [][]node
			for _, f := range parts(n.kids, ",", ";") {
				if len(f) < 3 || !f[1].is("=") {
					fields = nil
					break
				}
				fields = append(fields, slices.Concat([]node{as(f[0].text+":", false)}, r.value(f[2:])))
			}
			if fields != nil {
				ns[i] = as("{"+written(withCommas(fields))+"}", n.space)
				continue
			}
		}
		if n.class != group || n.text != "[" || i > 0 && !n.space && ns[i-1].class != sign {
			if n.class == group && n.text == "(" && len(n.kids) > 1 && quotedList(n) {
				ns[i].text, ns[i].shut, ns[i].kids = "[", "]", sideBySide(n.kids)
			}
			continue
		}
		if semis := parts(n.kids, ";"); len(semis) > 1 {
			ns[i].kids = withCommas(semis)
			continue
		}
		if at := index(n.kids, ".."); at > 0 && index(n.kids, ",") < 0 {
			ns[i] = as(written(n.kids), n.space)
			continue
		}
		if index(n.kids, ",") < 0 && quotedList(n) {
			ns[i].kids = sideBySide(n.kids)
		}
		if f := index(n.kids, "for"); f > 0 {
			if made, ok := r.comprehension(n.kids, f); ok {
				ns[i] = as(made, n.space)
			}
		}
	}
	return ns
}

// quotedList reports whether a bracket holds plain values side by side.
func quotedList(n node) bool {
	for i, kid := range n.kids {
		if kid.class != number && kid.class != quote || i > 0 && !kid.space {
			return false
		}
	}
	return len(n.kids) > 1
}

func sideBySide(kids []node) []node {
	var args [][]node
	for _, kid := range kids {
		args = append(args, []node{kid})
	}
	return withCommas(args)
}

// comprehension is a list that a loop makes: [x * 2 for x in xs if x > 1].
func (r *reader) comprehension(kids []node, f int) (string, bool) {
	in := index(kids[f:], "in")
	if in != 2 {
		return "", false
	}
	variable := kids[f+1].text
	values := kids[f+3:]
	cond := index(values, "if")
	keep := ""
	if cond > 0 {
		keep = written(r.condition(values[cond+1:]))
		values = values[:cond]
	}
	over := r.span(values)
	if keep != "" {
		over = "keep(" + over + ", fn(" + variable + ") = " + keep + ")"
	}
	if made := written(r.value(kids[:f])); made != variable {
		return "map(" + over + ", fn(" + variable + ") = " + made + ")", true
	}
	return over, true
}

// counted0 moves indexes that count from 0: those of names that somewhere have
// the index 0, and variables of loops that begin at 0.
func (r *reader) counted0(ns []node) []node {
	for i := 1; i < len(ns); i++ {
		g := ns[i]
		if g.class != group || g.space || ns[i-1].class != name || len(g.kids) == 0 {
			continue
		}
		of := ns[i-1].text
		if g.text == "(" && r.lists[of] && !r.functions[of] && len(g.kids) == 1 {
			ns[i].text, ns[i].shut = "[", "]"
			continue
		}
		if g.text != "[" || i > 1 && ns[i-2].is(".") {
			continue
		}
		index := g.kids[0].text
		n, err := strconv.Atoi(index)
		switch {
		case len(g.kids) > 1:
		case r.points[of] && r.from0[of] && err == nil && n < 2:
			ns[i] = as([]string{".x", ".y"}[n], false)
		case r.from0[of] && err == nil && n >= 0:
			ns[i].kids = []node{as(strconv.Itoa(n+1), false)}
		case g.kids[0].class == name && r.zero[index]:
			ns[i].kids = []node{as(index+" + 1", false)}
		}
	}
	return ns
}
