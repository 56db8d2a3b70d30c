package paraphrase

import (
	"slices"
	"strconv"
	"strings"

	everyday "wend/lang/words"
)

// statements writes the statements of a stretch, with semicolons between.
func (r *reader) statements(ns []node) string {
	var texts []string
	all := parts(ns, ";")
	for k := 0; k < len(all); k++ {
		s := all[k]
		if len(s) == 0 {
			continue
		}
		// print "side "; s
		if k+1 < len(all) && len(all[k+1]) == 1 && shows(s[0]) && !s[0].is("note") {
			s = slices.Concat(s, []node{{class: sign, text: ";"}}, all[k+1])
			k++
		}
		if t := r.one(s); t != dropped {
			texts = append(texts, t)
		}
	}
	if len(texts) == 0 {
		return dropped
	}
	return strings.Join(texts, "; ")
}

// one writes one statement.
func (r *reader) one(ns []node) string {
	for len(ns) > 1 && (ns[0].is("call", "gosub", "execute", "invoke") || ns[0].is("do", "perform") && r.functions[ns[1].text]) && !r.own[ns[0].text] {
		ns = ns[1:]
	}
	for _, form := range []func([]node) (string, bool){r.leftOut, r.shown, r.made, r.changed, r.appended, r.again, r.placed, r.given} {
		if text, ok := form(ns); ok {
			return text
		}
	}
	head := ns[0]
	if head.class == name && !r.own[head.text] && !r.Head(head.text) && everyday.Statement(head.text) != nil && !(len(ns) > 1 && ns[1].is(".")) {
		return written(ns) // an everyday word is not a matter of another language
	}
	if head.class == name && !r.own[head.text] && !r.Head(head.text) && r.Head(strings.ToLower(head.text)) {
		ns = slices.Clone(ns)
		ns[0].text = strings.ToLower(head.text)
	}
	if ns[0].class == name && r.Head(ns[0].text) && len(ns) > 1 && ns[1].space {
		// A word with its arguments beside it.
		rest := r.value(ns[1:])
		if len(rest) > 0 {
			rest[0].space = true
		}
		rest = r.beside(ns[0].text, rest)
		return written(append([]node{ns[0]}, rest...))
	}
	r.statement = true
	out := r.value(ns)
	r.statement = false
	return written(out)
}

// beside puts commas between arguments that stand side by side.
func (r *reader) beside(head string, ns []node) []node {
	if r.functions[head] || index(ns, ",") >= 0 || len(ns) < 2 {
		return ns
	}
	for i, n := range ns {
		if n.class != number || i > 0 && !n.space {
			return ns
		}
	}
	out := sideBySide(ns)
	out[0].space = true
	return out
}

// leftOut are statements that wend does without.
func (r *reader) leftOut(ns []node) (string, bool) {
	head := ns[0]
	if head.class != name || r.own[head.text] {
		return "", false
	}
	switch {
	case head.is("pass", "begin") && len(ns) == 1 && !head.is("begin"):
		return dropped, true
	case head.is("import", "from", "include", "require", "using", "package", "module", "open") && len(ns) > 1 && ns[1].class != sign && ns[1].class != group:
		return dropped, true
	case head.is("end", "stop", "option") && len(ns) <= 2 && (len(ns) == 1 || ns[1].is("explicit", "program")):
		return dropped, true
	case index(ns, "::") == 1:
		return dropped, true // double :: Number -> Number
	}
	return "", false
}

// shows reports whether a word shows something elsewhere.
func shows(n node) bool {
	if n.class != name {
		return false
	}
	m := everyday.Statement(n.text)
	return n.is("note") || m != nil && m.Write == "note $1"
}

// shown writes what is printed: several values as one text.
func (r *reader) shown(ns []node) (string, bool) {
	head, rest := ns[0], ns[1:]
	if head.class != name || r.own[head.text] {
		return "", false
	}
	if len(ns) > 3 && ns[1].is(".") && head.is("console", "system", "out", "sys", "io", "stdout", "fmt", "debug") { // console.log(…)
		for len(rest) > 1 && rest[0].is(".") {
			rest = rest[2:]
		}
	} else if !shows(head) || len(rest) == 0 {
		return "", false
	}
	if len(rest) == 1 && rest[0].class == group && rest[0].text == "(" {
		rest = rest[0].kids
	}
	if len(rest) > 0 && rest[0].is("f") && len(rest) > 1 && rest[1].class == quote {
		rest = rest[1:]
	}
	items, between := parts(rest, ","), " "
	if semis := parts(rest, ";"); len(items) == 1 && len(semis) > 1 {
		items, between = semis, ""
	}
	if len(items) == 1 && len(rest) > 1 && rest[0].class == quote && rest[1].space && rest[1].class != sign && !rest[1].is("and", "or", "if") {
		items, between = [][]node{rest[:1], rest[1:]}, " "
	}
	if len(items) == 1 {
		if head.is("note") && written(r.value(rest)) == written(rest) || len(rest) == 0 || !head.is("note") && r.plainWords(rest) {
			return "", false
		}
		return "note " + written(r.value(slices.Concat([]node{as("=", false)}, rest))[1:]), true
	}
	if head.is("note") && index(rest, ";") >= 0 {
		return "", false
	}
	if conversion.MatchString(items[0][0].text) && items[0][0].class == quote { // printf("%d mm", n)
		text := items[0][0].text
		for _, item := range items[1:] {
			text = replaceOnce(text, "{"+written(r.value(item))+"}")
		}
		return "note " + text, true
	}
	var text strings.Builder
	for i, item := range items {
		if len(item) == 0 {
			continue
		}
		if i > 0 && between != "" && !strings.HasSuffix(text.String(), " ") {
			text.WriteString(between)
		}
		if len(item) == 1 && item[0].class == quote {
			text.WriteString(strings.Trim(r.inText(item[0].text), `"`))
			continue
		}
		text.WriteString("{" + written(r.value(item)) + "}")
	}
	return `note "` + text.String() + `"`, true
}

func replaceOnce(text, value string) string {
	at := conversion.FindStringIndex(text)
	if at == nil {
		return text
	}
	return text[:at[0]] + value + text[at[1]:]
}

// plainWords reports whether there are several words that the program does not
// define: a sentence.
func (r *reader) plainWords(ns []node) bool {
	for _, n := range ns {
		if n.class != name || r.own[n.text] || r.Function(n.text) {
			return false
		}
	}
	return true
}

// made writes how variables are made.
func (r *reader) made(ns []node) (string, bool) {
	head := ns[0]
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

// changed writes i++ and the like.
func (r *reader) changed(ns []node) (string, bool) {
	if len(ns) == 2 && ns[1].is("++", "--") && ns[0].class == name {
		return ns[0].text + " " + ns[1].text[:1] + "= 1", true
	}
	if len(ns) == 2 && ns[0].is("++", "--") && ns[1].class == name {
		return ns[1].text + " " + ns[0].text[:1] + "= 1", true
	}
	if len(ns) > 2 && ns[0].is("increase", "increment", "decrease", "decrement", "add", "subtract") && !r.own[ns[0].text] && ns[1].class == name {
		by := "1"
		if at := index(ns, "by"); at > 0 {
			by = written(r.value(ns[at+1:]))
		}
		op := "+"
		if ns[0].is("decrease", "decrement") {
			op = "-"
		}
		return ns[1].text + " " + op + "= " + by, true
	}
	return "", false
}

// appended writes how an item is put at the end of a list.
func (r *reader) appended(ns []node) (string, bool) {
	n := len(ns)
	if n > 3 && ns[n-1].class == group && ns[n-3].is(".") && everyday.Appends(ns[n-2].text) && len(ns[n-1].kids) > 0 && !r.own[ns[n-2].text] {
		return written(ns[:n-3]) + " += [" + written(r.value(ns[n-1].kids)) + "]", true
	}
	if n == 2 && everyday.Appends(ns[0].text) && ns[1].class == group && !r.own[ns[0].text] { // push(xs, v)
		if args := parts(ns[1].kids, ","); len(args) == 2 {
			return written(args[0]) + " += [" + written(r.value(args[1])) + "]", true
		}
	}
	return "", false
}

// again gives a list its new value, where it would be changed in place
// elsewhere: xs.sort().
func (r *reader) again(ns []node) (string, bool) {
	if n := len(ns); n == 4 && ns[1].is(".") && ns[3].class == group && !ns[3].space && r.own[ns[0].text] && ns[2].is("sort", "reverse", "shuffle") {
		return ns[0].text + " = " + written(r.value(ns)), true
	}
	return "", false
}

// placed writes how a path is drawn at a place.
func (r *reader) placed(ns []node) (string, bool) {
	if !ns[0].is("draw", "follow") || len(ns) < 2 {
		return "", false
	}
	rest := ns[1:]
	if n := len(rest); n > 3 && rest[n-1].class == group && rest[n-2].is("at") && rest[n-3].is(".") { // draw c.at(30, 30)
		return "draw " + written(r.value(rest[:n-3])) + " at " + asPoint(r.value(rest[n-1].kids)), true
	}
	if len(rest) == 1 && rest[0].class == group && !rest[0].space { // draw(c, 30, 30), draw(c)
		args := parts(rest[0].kids, ",")
		switch {
		case len(args) == 1 && len(args[0]) > 0:
			return "draw " + written(r.value(args[0])), true
		case len(args) == 2:
			return "draw " + written(r.value(args[0])) + " at " + written(r.value(args[1])), true
		case len(args) == 3:
			return "draw " + written(r.value(args[0])) + " at (" + written(r.value(args[1])) + ", " + written(r.value(args[2])) + ")", true
		}
	}
	at := index(rest, "at")
	drawn, place := rest, []node(nil)
	if at > 0 {
		drawn, place = rest[:at], rest[at+1:]
	}
	text := written(r.value(drawn))
	if len(drawn) == 1 && drawn[0].class == quote {
		text = "text(" + text + ")"
	}
	if ns[0].is("follow") && at > 0 {
		return "draw " + text + " at " + asPoint(r.value(place)), true
	}
	if at < 0 {
		if n := len(rest); n > 2 && rest[0].class == quote && index(rest, ",") == 1 { // draw "Mia", 10, 10
			return "draw text(" + rest[0].text + ") at " + asPoint(r.value(rest[2:])), true
		}
		return "draw " + text, len(drawn) == 1 && drawn[0].class == quote
	}
	return "draw " + text + " at " + asPoint(r.value(place)), true
}

// asPoint writes two coordinates as a point.
func asPoint(ns []node) string {
	if len(ns) == 1 && ns[0].class == group && ns[0].text == "[" {
		return "(" + written(ns[0].kids) + ")"
	}
	if len(ns) == 1 && ns[0].class == group && ns[0].text == "{" { // {x: 40, y: 40}
		if f := parts(ns[0].kids, ","); len(f) == 2 && len(f[0]) > 2 && len(f[1]) > 2 {
			return "(" + written(f[0][2:]) + ", " + written(f[1][2:]) + ")"
		}
	}
	if p := parts(ns, ","); len(p) == 2 {
		return "(" + written(p[0]) + ", " + written(p[1]) + ")"
	}
	if len(ns) == 2 && ns[0].class == number && ns[1].class == number {
		return "(" + ns[0].text + ", " + ns[1].text + ")"
	}
	return written(ns)
}

// given writes the value of a function that is given by its name, and return
// with round brackets.
func (r *reader) given(ns []node) (string, bool) {
	if ns[0].is("return") && len(ns) > 1 {
		return "return " + written(r.value(ns[1:])), true
	}
	return "", false
}

var _ = strconv.Itoa
