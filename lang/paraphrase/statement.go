package paraphrase

import (
	"slices"
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
	if bare, ok := r.withoutTool(ns); ok {
		if ns = bare; len(ns) == 0 {
			return dropped
		}
	}
	for _, form := range []func([]node) (string, bool){r.leftOut, r.chained, r.often, r.eachOf, r.among, r.shown, r.made, r.changed, r.appended, r.again, r.placed, r.given} {
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

// among writes a choice among values whose cases do something, on one line.
func (r *reader) among(ns []node) (string, bool) {
	all, ok := r.choiceOf(ns)
	if !ok {
		return "", false
	}
	return r.chosenStatements(all), true
}

// chained writes statements that stand in a chain: ahead(20).turn(90).
func (r *reader) chained(ns []node) (string, bool) {
	var links [][]node
	for len(ns) > 1 && ns[0].class == name && r.Head(strings.ToLower(ns[0].text)) && !r.own[ns[0].text] && ns[1].class == group && ns[1].text == "(" && !ns[1].space {
		links = append(links, ns[:2])
		ns = ns[2:]
		if len(ns) < 3 || !ns[0].is(".", ">>", "|>", "&&", "->", "+", "&") {
			break
		}
		ns = ns[1:]
	}
	if len(links) < 2 || len(ns) > 0 {
		return "", false
	}
	var texts []string
	for _, link := range links {
		texts = append(texts, r.one(link))
	}
	return strings.Join(texts, "; "), true
}

// often writes a statement behind which stands how often it is done: ahead 20
// three times, ahead 20 repeat 4.
func (r *reader) often(ns []node) (string, bool) {
	n := len(ns)
	if n < 4 || !r.Head(strings.ToLower(ns[0].text)) && !r.functions[ns[0].text] && !ns[0].is("do") && everyday.Statement(ns[0].text) == nil || ns[0].is("loop") {
		return "", false
	}
	body, count := ns[:n-2], ns[n-2]
	if !everyday.Times(ns[n-1].text) {
		if body, count = ns[:n-2], ns[n-1]; !ns[n-2].is("repeat", "loop", "again") {
			return "", false
		}
	}
	if body[0].is("do", "repeat", "please") {
		body = body[1:]
	}
	times := count.text
	if n, ok := everyday.Number(times); ok {
		times = n
	} else if count.class != number && !r.own[times] {
		return "", false
	}
	return "loop " + times + " { " + r.statements(body) + " }", true
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
	if index(ns, "::") == 1 {
		return dropped, true // double :: Number -> Number
	}
	if head.class != name || r.own[head.text] {
		return "", false
	}
	switch {
	case head.is("pass") && len(ns) == 1:
		return dropped, true
	case head.is("import", "from", "include", "require", "using", "package", "module", "open") && len(ns) > 1 && ns[1].class != sign && ns[1].class != group:
		return dropped, true
	case head.is("end", "stop", "option") && len(ns) <= 2 && (len(ns) == 1 || ns[1].is("explicit", "program")):
		return dropped, true
	}
	return "", false
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
	if ns[0].is("return") && len(ns) == 2 && ns[1].is("0") && r.functions[entryPoint] {
		return dropped, true
	}
	if ns[0].is("return") && len(ns) > 1 {
		return "return " + written(r.value(ns[1:])), true
	}
	return "", false
}
