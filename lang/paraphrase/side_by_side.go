package paraphrase

import (
	"slices"
	"strings"

	everyday "wend/lang/words"
)

// piped writes f $ x, x |> f and f <| x.
func (r *reader) piped(ns []node) []node {
	if at := index(ns, "|>"); at > 0 {
		from := r.segment(ns, at)
		subject := written(ns[from:at])
		if !simple(ns[from:at]) {
			subject = "(" + subject + ")"
		}
		for _, step := range parts(ns[at+1:], "|>") {
			if len(step) == 0 || step[0].class != name {
				return ns
			}
			head, rest := step[:1], step[1:]
			for len(rest) > 1 && rest[0].is(".") {
				head, rest = step[:len(head)+2], rest[2:]
			}
			called := written(head)
			if known, ok := r.function(called); ok {
				called = known
			}
			var args []string
			if len(rest) == 1 && rest[0].class == group && !rest[0].space {
				args = append(args, written(rest[0].kids))
			} else {
				for len(rest) > 0 {
					n := atom(rest)
					if n == 0 {
						return ns
					}
					a := written(rest[:n])
					if g := rest[0]; n == 1 && g.class == group && g.text == "(" && index(g.kids, ",") < 0 {
						a = written(g.kids)
					}
					args = append(args, a)
					rest = rest[n:]
				}
			}
			if strings.HasPrefix(called, ".") || strings.HasPrefix(called, "[") {
				subject += called
			} else {
				subject += "." + called + "(" + strings.Join(args, ", ") + ")"
			}
		}
		return append(slices.Clone(ns[:from]), as(subject, true))
	}
	if len(ns) > 1 && ns[0].is("$", "<|") && ns[1].space {
		return r.value(ns[1:])
	}
	if at := index(ns, "$", "<|"); at > 0 && at+1 < len(ns) && ns[at].space && ns[at+1].space {
		rest := r.value(ns[at+1:])
		from := at - 1
		if from == 0 && r.Head(ns[0].text) && !r.functions[ns[0].text] {
			return append(slices.Clone(ns[:at]), rest...)
		}
		return append(slices.Clone(ns[:at]), as("("+written(rest)+")", false))
	}
	return ns
}

// applied writes brackets and commas where a function and its arguments stand
// side by side: double 10, (area 4 5).
func (r *reader) applied(ns []node) []node {
	for i := len(ns) - 1; i >= 0; i-- {
		n := ns[i]
		if n.class == group && n.text == "(" && len(n.kids) > 1 && (i == 0 || n.space) && index(n.kids, ",") < 0 {
			// (area 4 5), behind which a name would be its argument
			if head := n.kids[0]; head.class == name && r.applicable(head) && len(n.kids) == len(r.applied(n.kids)) {
				continue
			}
		}
		if n.class != name || !r.applicable(n) || i > 0 && (ns[i-1].is(".") || ns[i-1].is("fn", "figure")) || i+1 >= len(ns) || !ns[i+1].space {
			continue
		}
		if i > 0 && ns[i-1].class == name && n.space && r.applicable(ns[i-1]) && (ns[i-1].is("map", "keep", "fold", "sort") || r.takesFunction(ns[i-1])) {
			continue // map double xs: a function that is an argument itself
		}
		if i == 0 && r.statement {
			continue // a figure as a statement has its arguments beside it
		}
		var args []string
		at := i + 1
		wanted := r.wanted(n.text)
		for at < len(ns) && ns[at].space && len(args) < wanted {
			k := atom(ns[at:])
			if k == 0 {
				break
			}
			if len(args) > 0 && ns[at].class == name && ns[at-1].is(",") {
				break
			}
			a := written(ns[at : at+k])
			if g := ns[at]; k == 1 && g.class == group && g.text == "(" && index(g.kids, ",") < 0 {
				a = written(g.kids)
			}
			args = append(args, a)
			at += k
		}
		if len(args) == 0 {
			continue
		}
		text := n.text + "(" + strings.Join(args, ", ") + ")"
		if known, ok := r.function(n.text); ok && (strings.HasPrefix(known, ".") || strings.HasPrefix(known, "[")) {
			if len(args) > 1 {
				continue
			}
			text = args[0] + known
		}
		if r.Function(n.text) && (n.text == "map" || n.text == "keep") && len(args) == 2 && r.givesText(args[0]) {
			text = n.text + "(" + args[1] + ", " + args[0] + ")"
		}
		if n.text == "fold" && len(args) == 3 && r.givesText(args[0]) {
			text = "fold(" + args[2] + ", " + args[1] + ", " + args[0] + ")"
		}
		ns = slices.Concat(ns[:i], []node{as(text, n.space)}, ns[at:])
		if len(ns) == 1 && i == 0 {
			return ns
		}
	}
	// What was a bracket around one call needs none.
	for i := range ns {
		if g := ns[i]; g.class == group && g.text == "(" && len(g.kids) == 1 && g.kids[0].class == name && strings.HasSuffix(g.kids[0].text, ")") && (i == 0 || g.space || ns[i-1].class == sign) {
			ns[i] = as(g.kids[0].text, g.space)
		}
	}
	return ns
}

func (r *reader) givesText(arg string) bool {
	return strings.HasPrefix(arg, "fn(") || r.functions[arg] || r.Function(arg) && !r.own[arg]
}

// applicable reports whether a name is a function, so that a value beside it is
// its argument.
func (r *reader) applicable(n node) bool {
	if r.functions[n.text] {
		return true
	}
	if r.own[n.text] || r.Head(n.text) {
		return false
	}
	if r.Function(n.text) {
		return true
	}
	known, ok := everyday.Function(n.text)
	return ok && (known[0] == '.' || known[0] == '[')
}

// takesFunction reports whether a function of another language is called with
// functions.
func (r *reader) takesFunction(n node) bool {
	known, ok := everyday.Function(n.text)
	return ok && (known == "map" || known == "keep" || known == "fold" || known == "sort")
}

// wanted is how many arguments a function takes at most.
func (r *reader) wanted(function string) int {
	if n, ok := r.params[function]; ok {
		return n
	}
	if known, ok := everyday.Function(function); ok && (known[0] == '.' || known[0] == '[') {
		return 1
	}
	return r.Takes(function)
}

// factor is where the factor begins that ends before place i, or -1.
func factor(ns []node, i int) int {
	k := i - 1
	for k > 0 && !ns[k].space && (ns[k].class == group || ns[k].is(".") || ns[k-1].is(".")) {
		k--
	}
	if k < 0 || ns[k].class == sign {
		return -1
	}
	return k
}
