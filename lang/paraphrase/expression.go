package paraphrase

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"wend/internal/expression"
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
		r.matched, r.prefixed, r.listed, r.lambdas, r.choices, r.members, r.signs, r.piped, r.applied, r.quotients, r.within, r.joined,
	} {
		ns = rule(ns)
	}
	return ns
}

var inner = expression.Of(`\{([^{}"]+)\}`)

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
		behind := i > 0 && ns[i-1].is(".")
		if n.class != name || behind && r.fields[n.text] {
			continue
		}
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
