package paraphrase

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	everyday "wend/lang/words"
)

// value writes an expression as wend does. The rules go over the words between
// two brackets, the innermost brackets first.
func (r *reader) value(ns []node) []node {
	if r.work += len(ns) + 1; r.work > maxWork {
		return ns
	}
	ns = slices.Clone(ns)
	for i := range ns {
		if ns[i].class == group && ns[i].text != "{" {
			ns[i].kids = r.value(ns[i].kids)
		}
		if ns[i].class == quote {
			ns[i].text = r.inText(ns[i].text)
		}
	}
	if commas := parts(ns, ","); len(commas) > 1 {
		var out []node
		for i, p := range commas {
			if i > 0 {
				out = append(out, node{class: sign, text: ","})
			}
			p = r.value1(p)
			if i > 0 && len(p) > 0 {
				p[0].space = true
			}
			out = append(out, p...)
		}
		return r.lambdas(out) // lambda x, y: …
	}
	return r.value1(ns)
}

// maxWork is how many words are looked at in all. What stands within several
// brackets is looked at several times, and nobody nests so deep by hand.
const maxWork = 100_000

// value1 writes one expression, without commas outside of brackets.
func (r *reader) value1(ns []node) []node {
	for _, rule := range []func([]node) []node{
		r.prefixed, r.listed, r.lambdas, r.choices, r.members, r.signs, r.piped, r.applied, r.quotients, r.within, r.joined,
	} {
		ns = rule(ns)
	}
	return ns
}

var inner = regexp.MustCompile(`\{([^{}"]+)\}`)

// inText writes what is put into a text.
func (r *reader) inText(text string) string {
	return inner.ReplaceAllStringFunc(text, func(s string) string {
		ns, _ := words(s[1 : len(s)-1])
		return "{" + written(r.value(nested(ns))) + "}"
	})
}

// prefixed turns a sign that stands before its values, in brackets of their
// own: (* 2 10).
func (r *reader) prefixed(ns []node) []node {
	for i, n := range ns {
		if n.class != group || n.text != "(" || len(n.kids) == 0 {
			continue
		}
		head := n.kids[0]
		if operators[head.text] && i > 0 && n.space && len(n.kids) < 3 && (len(n.kids) == 1 || n.kids[1].space || head.text != "-") { // (+), (* 10)
			sign := head.text
			if otherSigns[sign] != "" {
				sign = otherSigns[sign]
			}
			if len(n.kids) == 1 {
				ns[i] = as("fn(a, b) = a "+sign+" b", true)
			} else if ns[i-1].class == name {
				ns[i] = as("fn(x) = x "+sign+" "+written(n.kids[1:]), true)
			} else if sign == "-" {
				ns[i] = as("-"+written(n.kids[1:]), true)
			}
			continue
		}
		if head.is("list", "vector", "array") && len(n.kids) > 1 && n.kids[1].space && !r.own[head.text] && index(n.kids, ",") < 0 {
			var args [][]node
			for rest := n.kids[1:]; len(rest) > 0; {
				k := atom(rest)
				if k == 0 {
					args = nil
					break
				}
				args = append(args, rest[:k])
				rest = rest[k:]
			}
			if args != nil {
				ns[i].text, ns[i].shut, ns[i].kids = "[", "]", withCommas(args)
			}
			continue
		}
		if len(n.kids) < 3 {
			continue
		}
		if !head.is("+", "-", "*", "/", "<", ">", "<=", ">=", "=", "==", "and", "or") || index(n.kids, ",") >= 0 || !n.kids[1].space {
			continue
		}
		between := head.text
		if between == "=" {
			between = "=="
		}
		ok := true
		var kids []node
		for k, kid := range n.kids[1:] {
			ok = ok && kid.class != sign
			if k > 0 {
				kids = append(kids, as(between, true))
			}
			kid.space = k > 0
			kids = append(kids, kid)
		}
		if ok {
			ns[i].kids, ns[i].inner = kids, false
		}
	}
	return ns
}

var operators = map[string]bool{"+": true, "-": true, "*": true, "/": true, "<": true, ">": true, "<=": true, ">=": true, "^": true, "**": true}

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
		case n.is("function", "fun", "func") && i+2 < len(ns) && ns[i+1].class == group && ns[i+2].text == "{" || n.is("fn") && i+2 < len(ns) && ns[i+1].class == group && ns[i+2].text == "{" && n.space && false:
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

// segment is where the expression begins that stands before place i: behind the
// last sign of a statement, or behind its first word.
func (r *reader) segment(ns []node, i int) int {
	for k := i - 1; k >= 0; k-- {
		if ns[k].is("=", ",", "return", ":=", "+=", "-=") {
			return k + 1
		}
	}
	if len(ns) > 1 && ns[0].class == name && ns[1].space && i > 1 && ns[1].class != sign && r.Head(strings.ToLower(ns[0].text)) {
		return 1
	}
	return 0
}

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

// keepsFunctions reports whether other languages keep functions under a name,
// which wend has without one.
func (r *reader) keepsFunctions(root string) bool {
	if r.own[root] || r.Theme(root) {
		return false
	}
	first, _ := utf8.DecodeRuneInString(root)
	return unicode.IsUpper(first) || slices.Contains([]string{"math", "random", "string", "list", "array", "lists", "table", "os", "functools", "operator"}, root)
}

// members writes what stands behind a dot, and functions under other names.
func (r *reader) members(ns []node) []node {
	for i := 0; i < len(ns); i++ {
		n := ns[i]
		if n.class != name {
			continue
		}
		behind := i > 0 && ns[i-1].is(".")
		called := i+1 < len(ns) && ns[i+1].class == group && ns[i+1].text == "(" && !ns[i+1].space
		// Math.floor(…), List.map f xs
		if !behind && i+2 < len(ns) && ns[i+1].is(".") && ns[i+2].class == name && r.keepsFunctions(n.text) {
			member := ns[i+2].text
			known, ok := r.function(member)
			if v, isValue := everyday.Value(member); isValue && v == "pi" {
				known, ok = "pi", true
			}
			if ok && !strings.HasPrefix(known, ".") {
				ns = slices.Concat(ns[:i], []node{as(known, n.space)}, ns[i+3:])
				i--
				continue
			}
		}
		if behind && called && len(ns[i+1].kids) == 0 {
			if known, ok := r.function(n.text); ok && strings.HasPrefix(known, ".") { // xs.length(), s.size()
				ns[i].text = known[1:]
				ns = slices.Delete(ns, i+1, i+2)
				continue
			}
		}
		if called && n.is("float", "double", "Number", "str2num", "val", "num") && !r.own[n.text] && len(ns[i+1].kids) > 0 {
			if ns[i+1].kids[0].class == quote {
				ns[i].text = "number"
			} else {
				ns = slices.Delete(ns, i, i+1)
				ns[i].space = n.space
			}
			continue
		}
		known, ok := r.function(n.text)
		if !ok || known == n.text || r.own[n.text] || behind && i > 1 && r.Theme(ns[i-2].text) {
			continue
		}
		if n.is("mod", "div", "rem") && i > 0 && !called {
			continue // a sign between two values
		}
		if known == "floor" && called && len(ns[i+1].kids) == 1 && ns[i+1].kids[0].class == quote {
			known = "number"
		}
		if known == "^" {
			if args := parts(ns[min(i+1, len(ns)-1)].kids, ","); called && len(args) == 2 {
				ns = slices.Concat(ns[:i], []node{as(written(args[0])+" ^ "+written(args[1]), n.space)}, ns[i+2:])
			}
			continue
		}
		switch {
		case strings.HasPrefix(known, ".") && behind:
			ns[i].text = known[1:]
		case strings.HasPrefix(known, ".") && called:
			inside := ns[i+1].kids
			if len(inside) == 0 {
				continue
			}
			if simple(inside) {
				inside[0].space = n.space
				ns = slices.Concat(ns[:i], inside, []node{as(known, false)}, ns[i+2:])
			} else {
				g := ns[i+1]
				g.space = n.space
				ns = slices.Concat(ns[:i], []node{g, as(known, false)}, ns[i+2:])
			}
		case strings.HasPrefix(known, "[") && called && len(ns[i+1].kids) > 0:
			inside := ns[i+1].kids
			inside[0].space = n.space
			ns = slices.Concat(ns[:i], inside, []node{as(known, false)}, ns[i+2:])
		case strings.HasPrefix(known, ".") || strings.HasPrefix(known, "["):
		case called || i+1 < len(ns) && ns[i+1].space && ns[i+1].class != sign:
			ns[i].text = known
		}
	}
	ns = r.counted0(r.blocksOfMethods(ns))
	for i := 1; i < len(ns); i++ { // circle({radius: r})
		if g := ns[i]; g.class == group && g.text == "(" && !g.space && ns[i-1].class == name && !r.functions[ns[i-1].text] && len(g.kids) == 1 && g.kids[0].class == group && g.kids[0].text == "{" && index(g.kids[0].kids, ":") == 1 {
			kids := slices.Clone(g.kids[0].kids)
			kids[0].space = false
			ns[i].kids = kids
		}
	}
	// map(f, xs), reduce(f, xs, start), xs.reduce(f, start)
	for i := range ns {
		if ns[i].class != group || i == 0 || ns[i-1].class != name || ns[i].space {
			continue
		}
		args := parts(ns[i].kids, ",")
		if len(args) < 2 || len(args[0]) == 0 || !r.gives(args[0]) {
			continue
		}
		method := i > 1 && ns[i-2].is(".")
		switch {
		case ns[i-1].is("map", "keep") && len(args) == 2 && !r.gives(args[1]):
			args[0], args[1] = args[1], args[0]
		case ns[i-1].is("fold") && len(args) == 2 && method:
			args[0], args[1] = args[1], args[0]
		case ns[i-1].is("fold") && len(args) == 3:
			args[0], args[1], args[2] = args[1], args[2], args[0]
			if fewer(args[0]) {
				args[0], args[1] = args[1], args[0]
			}
		default:
			continue
		}
		ns[i].kids = withCommas(args)
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

// fewer reports whether a value is a plain number or text.
func fewer(ns []node) bool { return len(ns) == 1 && (ns[0].class == number || ns[0].class == quote) }

// gives reports whether a value is a function.
func (r *reader) gives(ns []node) bool {
	if strings.HasPrefix(ns[0].text, "fn(") || ns[0].is("fn") {
		return true
	}
	return len(ns) == 1 && ns[0].class == name && (r.functions[ns[0].text] || !r.own[ns[0].text] && r.Function(ns[0].text))
}

func withCommas(args [][]node) []node {
	var out []node
	for i, a := range args {
		a = slices.Clone(a)
		if i > 0 {
			out = append(out, node{class: sign, text: ","})
		}
		if len(a) > 0 {
			a[0].space = i > 0
		}
		out = append(out, a...)
	}
	return out
}

// simple reports whether a dot may follow a value.
func simple(ns []node) bool {
	for i, n := range ns {
		if n.class == sign && n.text != "." || i > 0 && n.space {
			return false
		}
	}
	return true
}

// function is what wend calls a function.
func (r *reader) function(word string) (string, bool) {
	if r.own[word] {
		return "", false
	}
	if r.Function(word) {
		return word, true
	}
	if known, ok := everyday.Function(word); ok {
		return known, true
	}
	if lower := strings.ToLower(word); r.Function(lower) {
		return lower, true
	}
	return everyday.Function(strings.ToLower(word))
}

var otherSigns = map[string]string{
	"**": "^", "===": "==", "!==": "!=", "<>": "!=", "=/=": "!=", "&&": "and", "||": "or",
	"≠": "!=", "≤": "<=", "≥": ">=", "×": "*", "÷": "/", "−": "-", "=<": "<=",
}

// signs writes signs of arithmetic and of comparing.
func (r *reader) signs(ns []node) []node {
	var out []node
	for i := 0; i < len(ns); i++ {
		n := ns[i]
		switch {
		case n.class == sign && otherSigns[n.text] != "":
			n.text = otherSigns[n.text]
			if n.text == "and" || n.text == "or" {
				n.space = true
			}
		case n.class == quote && !n.space && len(out) > 0 && out[len(out)-1].is(".") && len(n.text) > 2: // t."let"
			n = as(n.text[1:len(n.text)-1], false)
		case n.is("and", "or", "not") && i+1 < len(ns) && !r.own[n.text]:
			n.text = strings.ToLower(n.text)
		case n.is("true", "false") && !r.own[n.text]:
			n.text = strings.ToLower(n.text)
		case n.class == sign && n.text == "!" && i+1 < len(ns) && !ns[i+1].space && ns[i+1].class != sign && (i == 0 || ns[i-1].class == sign || ns[i-1].is("and", "or")):
			n = as("not", n.space)
			ns[i+1].space = true
		case n.class == sign && n.text == "!" && i+1 < len(ns) && ns[i+1].is("="):
			n.text = "!="
			i++
		case n.is("f") && i+1 < len(ns) && ns[i+1].class == quote && !ns[i+1].space:
			ns[i+1].space = n.space
			continue
		case n.is("new") && i+1 < len(ns) && ns[i+1].class == name:
			ns[i+1].space = n.space
			continue
		case n.is("point", "vec", "vec2", "vector", "vector2", "pt", "tuple") && !r.own[n.text] && i+1 < len(ns) && ns[i+1].class == group && ns[i+1].text == "(":
			ns[i+1].space = n.space
			continue
		case n.class == quote && i+3 < len(ns) && ns[i+1].is(".") && ns[i+2].is("join") && ns[i+3].class == group && index(ns[i+3].kids, ",") < 0 && simple(ns[i+3].kids): // ", ".join(xs)
			of := ns[i+3].kids
			of[0].space = n.space
			out = append(out, of...)
			out = append(out, as(".join("+n.text+")", false))
			i += 3
			continue
		case n.is("list", "array", "vector", "seq", "listOf", "arrayOf", "mutableListOf") && !r.own[n.text] && i+1 < len(ns) && ns[i+1].class == group && ns[i+1].text == "(":
			g := ns[i+1]
			g.text, g.shut, g.space = "[", "]", n.space
			out = append(out, g)
			i++
			continue
		case n.class == name && i+1 < len(ns) && ns[i+1].class == sign && (ns[i+1].text == "$" || ns[i+1].text == "%") && !ns[i+1].space && (i+2 >= len(ns) || ns[i+2].class == sign || ns[i+2].space):
			out = append(out, n) // name$
			i++
			continue
		case n.class == sign && n.text == "." && i+1 < len(ns) && ns[i+1].class == group && ns[i+1].text == "[":
			continue // xs.[0]
		case n.class == sign && n.text == "!" && i+2 < len(ns) && ns[i+1].is("!") && ns[i+2].class == number:
			out = append(out, as("["+ns[i+2].text+"]", false))
			i += 2
			continue
		}
		if n.class == group && n.text == "[" && i > 0 && !n.space {
			// xs[a:b]
			if p := parts(n.kids, ":"); len(p) == 2 {
				from, to := written(p[0]), written(p[1])
				if from == "" {
					from = "1"
				}
				if to == "" {
					to = "-1"
				}
				n = as("["+from+".."+to+"]", false)
			}
		}
		if len(out) > 0 && (out[len(out)-1].text == "and" || out[len(out)-1].text == "or") {
			n.space = true
		}
		out = append(out, n)
	}
	return out
}

// atom is one value that may stand as an argument beside others: a word, a
// number, a text, a bracket, with what is glued to it. It gives its length.
func atom(ns []node) int {
	if len(ns) == 0 || ns[0].class == sign || ns[0].text == "{" || ns[0].is("and", "or", "not", "if", "else", "in", "at", "by", "then", "is", "mod", "div", "step", "to", "do", "while", "until") {
		return 0
	}
	n := 1
	for n < len(ns) && !ns[n].space && (ns[n].class == group && ns[n].text != "{" || ns[n].is(".") && n+1 < len(ns) || n > 0 && ns[n-1].is(".")) {
		n++
	}
	return n
}

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

// quotients writes division with a whole result and its remainder: a // b,
// a % b, a MOD b.
func (r *reader) quotients(ns []node) []node {
	for i := 1; i+1 < len(ns); i++ {
		n := ns[i]
		var write string
		switch {
		case n.is("%", "mod", "rem") && n.space == ns[i+1].space || n.is("mod", "rem", "%") && ns[i-1].class != sign:
			write = "mod(A, B)"
		case n.is("//", "div", "\\"):
			write = "floor(A / B)"
		default:
			continue
		}
		if n.class == name && (r.own[n.text] || ns[i+1].class == group && !ns[i+1].space) {
			continue
		}
		from := factor(ns, i)
		for from > 1 && ns[from-1].is("*", "/") {
			from = factor(ns, from-1)
		}
		to := i + 1 + atom(ns[i+1:])
		if from < 0 || to == i+1 {
			continue
		}
		if ns[from].class == quote {
			ns = slices.Concat(ns[:from], []node{as(formatted(ns[from].text, ns[i+1:to]), ns[from].space)}, ns[to:])
			continue
		}
		a, b := written(ns[from:i]), written(ns[i+1:to])
		if ns[i+1].class == group && to == i+2 && !strings.HasPrefix(write, "floor") {
			b = written(ns[i+1].kids)
		}
		text := strings.NewReplacer("A", a, "B", b).Replace(write)
		ns = slices.Concat(ns[:from], []node{as(text, ns[from].space)}, ns[to:])
		i = from
	}
	return ns
}

// conversion is where the C library writes a value into a text, such as %d or %.2f
// (ISO C, fprintf).
var conversion = regexp.MustCompile(`%[-+0-9.]*[dsfgi]`)

// formatted puts values into a text at its conversions (of the kind of %d).
func formatted(text string, values []node) string {
	args := [][]node{values}
	if len(values) == 1 && values[0].class == group {
		args = parts(values[0].kids, ",")
	}
	return conversion.ReplaceAllStringFunc(text, func(s string) string {
		if len(args) == 0 {
			return s
		}
		v := written(args[0])
		args = args[1:]
		return "{" + v + "}"
	})
}

// within writes x in xs, as a condition.
func (r *reader) within(ns []node) []node {
	if len(ns) == 0 || ns[0].is("loop", "for", "foreach") || index(ns, "curve") >= 0 {
		return ns
	}
	at := index(ns, "in")
	if at <= 0 || at+1 >= len(ns) {
		return ns
	}
	not := at > 1 && ns[at-1].is("not")
	end := at
	if not {
		end--
	}
	from := factor(ns, end)
	n := atom(ns[at+1:])
	if from < 0 || n == 0 {
		return ns
	}
	text := "contains(" + written(ns[at+1:at+1+n]) + ", " + written(ns[from:end]) + ")"
	if not {
		text = "not " + text
	}
	return slices.Concat(ns[:from], []node{as(text, ns[from].space)}, ns[at+1+n:])
}

// textOf are functions that give a text elsewhere.
var textOf = []string{"str", "string", "tostring", "show", "text", "str$", "repr", "cstr", "tochars", "num2str"}

// joined writes a text and values side by side as one text.
func (r *reader) joined(ns []node) []node {
	from := 0
	for i, n := range ns {
		if n.is("=", "return") {
			from = i + 1
		}
	}
	if from == 0 && len(ns) > 1 && ns[0].class == name && ns[1].space && r.Head(ns[0].text) {
		from = 1
	}
	body := ns[from:]
	items := parts(body, "+", "&", "++", "<>", "..", "^")
	if len(items) < 2 {
		return ns
	}
	hasText, changed := false, index(body, "&", "++", "<>") >= 0
	for _, p := range items {
		if len(p) == 0 {
			return ns
		}
		hasText = hasText || len(p) == 1 && p[0].class == quote
	}
	if !hasText {
		if changed && index(body, "++") > 0 {
			for i := range body {
				if body[i].is("++", "&") {
					body[i].text = "+"
				}
			}
		}
		return ns
	}
	var text strings.Builder
	for _, p := range items {
		switch {
		case len(p) == 1 && p[0].class == quote:
			text.WriteString(strings.Trim(p[0].text, `"`))
		case len(p) == 2 && p[0].is(textOf...) && p[1].class == group && !p[1].space:
			changed = true
			text.WriteString("{" + written(p[1].kids) + "}")
		default:
			if strings.Contains(written(p), `"`) {
				return ns
			}
			changed = changed || len(p) == 1 && r.numeric[p[0].text] || p[0].class == number
			text.WriteString("{" + written(p) + "}")
		}
	}
	if !changed {
		return ns
	}
	return append(slices.Clone(ns[:from]), as(`"`+text.String()+`"`, len(body) > 0 && body[0].space))
}

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

// condition is a value after if or while, where one `=` compares.
func (r *reader) condition(ns []node) []node {
	ns = slices.Clone(ns)
	for i := range ns {
		if i > 0 && ns[i].class == sign && (ns[i].text == "=" || ns[i].text == "/=" || ns[i].text == "~=") {
			if ns[i].text == "=" {
				ns[i].text = "=="
			} else {
				ns[i].text = "!="
			}
		}
		if i > 0 && ns[i].is("is", "equals", "eq") && i+1 < len(ns) && !r.own[ns[i].text] {
			ns[i].text = "=="
			if ns[i+1].is("not") {
				ns[i].text = "!="
				ns = slices.Delete(ns, i+1, i+2)
			}
		}
		if ns[i].class == group && ns[i].text == "(" && (i == 0 || ns[i].space || ns[i-1].class == sign) {
			ns[i].kids = r.condition(ns[i].kids)
		}
		if i+1 == len(ns) {
			break
		}
	}
	return r.value(ns)
}

// span is what a loop goes through, as wend writes it.
func (r *reader) span(ns []node) string {
	for len(ns) == 1 && ns[0].class == group && (ns[0].text == "(" || ns[0].text == "[") && (index(ns[0].kids, "..", "...", "to") > 0) {
		ns = ns[0].kids
	}
	if len(ns) == 2 && ns[0].is("range", "xrange", "irange") && ns[1].class == group {
		args := parts(ns[1].kids, ",")
		text := func(i int) string { return written(r.value(args[i])) }
		if len(args) == 1 && len(args[0]) > 0 {
			return "0.." + less(text(0))
		}
		if len(args) > 1 {
			out := text(0) + ".." + less(text(1))
			if len(args) > 2 {
				step := text(2)
				if strings.HasPrefix(step, "-") {
					out = text(0) + ".." + more(text(1))
				}
				out += " by " + step
			}
			return out
		}
	}
	if len(ns) == 2 && ns[0].is("enumerate") && ns[1].class == group {
		return written(r.value(ns[1].kids))
	}
	step := ""
	if at := index(ns, "step", "by"); at > 0 {
		step = " by " + written(r.value(ns[at+1:]))
		ns = ns[:at]
	}
	if at := index(ns, "to", "downto", "until", "...", "..=", "..<", "through", "bis", "hasta", "tot"); at > 0 && at+1 < len(ns) {
		from, to := written(r.value(ns[:at])), written(r.value(ns[at+1:]))
		if ns[at].is("..<") {
			to = less(to)
		}
		if ns[at].is("downto") && step == "" {
			step = " by -1"
		}
		return from + ".." + to + step
	}
	out := written(r.value(ns)) + step
	if _, err := strconv.Atoi(out); err == nil {
		return "1.." + out
	}
	return out
}

// less is one less than a number as it is written, and more is one more.
func less(n string) string { return shifted(n, -1) }
func more(n string) string { return shifted(n, 1) }

func shifted(n string, by int) string {
	if i, err := strconv.Atoi(n); err == nil {
		return strconv.Itoa(i + by)
	}
	if by < 0 {
		return n + " - 1"
	}
	return n + " + 1"
}

// isKind reports whether a word is the name of a kind of value elsewhere.
func isKind(word string) bool {
	switch word {
	case "int", "float", "double", "number", "string", "str", "bool", "boolean", "auto", "long", "short", "char", "byte", "void", "i32", "i64", "u32", "u64", "f32", "f64", "usize", "isize", "any",
		"Int", "Integer", "Double", "Float", "String", "Number", "Bool", "Boolean", "Long", "Single", "Any", "Variant":
		return true
	}
	return false
}
