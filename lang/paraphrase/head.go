package paraphrase

import (
	"slices"
	"strconv"
	"strings"
)

// begins writes a line that begins a block: a loop, a choice, a definition.
func (w *writer) begins(i int, l *line) bool {
	ns := trimmed(l.nodes)
	if len(ns) == 0 {
		return false
	}
	if ns[0].class == number && len(ns) > 1 && ns[1].is("times") {
		_, rest, mark := w.divided(slices.Concat([]node{ns[0]}, ns[2:]))
		return w.block(i, l, "loop "+ns[0].text, rest, mark, false)
	}
	if k := index(ns, "times"); k > 1 && ns[k-1].class == number && ns[0].is("do", "repeat", "loop", "now", "please", "again") { // do this 3 times
		_, rest, mark := w.divided(slices.Concat([]node{ns[k-1]}, ns[k+1:]))
		return w.block(i, l, "loop "+ns[k-1].text, rest, mark, false)
	}
	if w.bareFunction(l, ns) {
		return true
	}
	if ns[0].class != name || w.own[ns[0].text] && !ns[0].is("to") || len(ns) > 1 && ns[1].is("=", ".", ":=", "+=") {
		return w.overEach(i, l, ns)
	}
	head, rest, mark := w.divided(ns[1:])
	switch {
	case ns[0].is("if", "when"):
		if len(head) == 0 {
			return false
		}
		if rest == nil {
			head, rest = w.bareBody(head)
		}
		return w.block(i, l, "if "+written(w.condition(head)), rest, mark, false)
	case ns[0].is("unless"):
		return len(head) > 0 && w.block(i, l, "if not ("+written(w.condition(head))+")", rest, mark, false)
	case ns[0].is("while"):
		return len(head) > 0 && w.block(i, l, "loop while "+written(w.condition(head)), rest, mark, false)
	case ns[0].is("until"):
		return len(head) > 0 && w.block(i, l, "loop while not ("+written(w.condition(head))+")", rest, mark, false)
	case ns[0].is("for", "foreach", "loop", "repeat", "do", "dotimes"):
		return w.loop(i, l, ns, head, rest, mark)
	case ns[0].is("switch", "match", "select", "case") && (len(rest) == 0 || rest[0].is("{")):
		return w.chooses(l, ns)
	}
	return w.defines(i, l, ns)
}

// bareFunction writes half x = x / 2.
func (w *writer) bareFunction(l *line, ns []node) bool {
	at := index(ns, "=")
	if at < 2 || at+1 >= len(ns) || !w.functions[ns[0].text] || ns[0].is(variableHeads...) || ns[0].is(functionHeads...) {
		return false
	}
	for _, n := range ns[1:at] {
		if n.class != name {
			return false
		}
	}
	for _, n := range ns[1:at] {
		w.own[n.text], w.declared[n.text] = true, true
	}
	w.emit(l, "fn "+ns[0].text+"("+w.names(ns[1:at])+") = "+written(w.value(ns[at+1:])))
	return true
}

// bareBody parts the condition of a choice from a statement that stands behind
// it with nothing between: if i = 3 ahead 20.
func (w *writer) bareBody(ns []node) (head, rest []node) {
	for k := 1; k < len(ns); k++ {
		if ns[k].class == name && ns[k].space && (w.Head(ns[k].text) || w.functions[ns[k].text] && k+1 < len(ns) && ns[k+1].class == number) && !ns[k].is("if", "not") && ns[k-1].class != sign {
			return ns[:k], ns[k:]
		}
	}
	return ns, nil
}

// loop writes the head of a loop.
func (w *writer) loop(i int, l *line, ns, head, rest []node, mark string) bool {
	first := ns[0]
	// for (let i = 0; i < 5; i++), and without brackets
	if first.is("for") && len(ns) > 1 {
		inside, behind := ns[1:], rest
		if ns[1].class == group {
			inside, behind = ns[1].kids, ns[2:]
		} else if len(head) > 0 {
			inside = head
		}
		if p := parts(inside, ";"); len(p) == 3 {
			text, ok := w.counted(p)
			if !ok {
				return false
			}
			if len(behind) == 0 {
				mark = ""
			}
			return w.block(i, l, text, behind, mark, false)
		}
	}
	if first.is("do", "repeat") && len(head) == 0 && (len(rest) == 0 || rest[0].is("{")) {
		w.own["while"] = w.own["while"] || false
		at := len(w.open)
		if len(rest) == 0 {
			by, ok := w.endingOrUntil(i)
			if !ok || !w.asksLater(i, len(l.indent)) {
				return false
			}
			w.open = append(w.open, frame{indent: len(l.indent), by: by, asks: true})
			w.emit(l, "loop while true {")
			return true
		}
		if rest[0].class == group || !w.asksLater(i, len(l.indent)) {
			return false
		}
		if !w.block(i, l, "loop while true", rest, mark, false) {
			return false
		}
		if len(w.open) > at {
			w.open[at].asks = true
		}
		return true
	}
	if len(head) == 0 {
		return false
	}
	if !first.is("loop", "for") && head[0].is("while") {
		return w.block(i, l, "loop while "+written(w.condition(head[1:])), rest, mark, false)
	}
	if head[0].is("until") {
		return w.block(i, l, "loop while not ("+written(w.condition(head[1:]))+")", rest, mark, false)
	}
	if first.is("loop") && head[0].is("while") {
		if rest == nil {
			return false
		}
		return w.block(i, l, "loop while "+written(w.condition(head[1:])), rest, mark, false)
	}
	if head[0].class == group && head[0].text == "(" && len(head) == 1 { // for (const s of sizes)
		head = head[0].kids
	}
	for len(head) > 1 && (head[0].is("each", "let", "const", "var", "all", "every", "my", "auto", "local", "val", "final", "with") || isKind(head[0].text)) {
		head = head[1:]
	}
	if rest == nil && len(head) > 0 {
		// loop 2 step 20, loop 4 (ahead 20) (turn 90)
		if k := w.bareLoop(head); k > 0 {
			head, rest, mark = head[:k], head[k:], "do"
			rest = statementsInBrackets(rest)
		}
	}
	if n := len(head); n > 1 && head[n-1].is("times") {
		head = head[:n-1]
	}
	if len(head) == 0 {
		return false
	}
	if len(head) == 1 && head[0].class != group { // repeat 4, loop n
		return w.block(i, l, "loop "+head[0].text, rest, mark, false)
	}
	variable, over, ok := w.loopOver(head)
	if !ok {
		if first.is("loop", "repeat") {
			return w.block(i, l, "loop "+written(w.value(head)), rest, mark, false)
		}
		return false
	}
	return w.block(i, l, "loop "+variable+" in "+over, rest, mark, false)
}

// statementsInBrackets takes the round brackets from around statements.
func statementsInBrackets(ns []node) []node {
	var out []node
	for _, n := range ns {
		if n.class != group || n.text != "(" {
			return ns
		}
		if len(out) > 0 {
			out = append(out, node{class: sign, text: ";"})
		}
		out = append(out, n.kids...)
	}
	return out
}

// bareLoop is where the body of a loop begins that has no bracket.
func (w *writer) bareLoop(head []node) int {
	if head[0].class != number && !(head[0].class == name && w.own[head[0].text]) || len(head) < 2 {
		return 0
	}
	k := 1
	if head[1].is("times") {
		k = 2
	}
	if k < len(head) && (head[k].class == name && (w.Head(head[k].text) || w.functions[head[k].text]) || head[k].class == group && head[k].text == "(" && head[k].space && len(head[k].kids) > 0 && w.Head(head[k].kids[0].text)) {
		return k
	}
	return 0
}

// loopOver reads what a loop's variable is, and what it goes through.
func (w *writer) loopOver(head []node) (variable, over string, ok bool) {
	at := index(head, "in", "of", "=", ":=", "from", ":", "<-", "over", "de", "von", "on")
	if at <= 0 || at+1 >= len(head) {
		return "", "", false
	}
	names := head[:at]
	if len(names) == 1 && names[0].class == group {
		names = names[0].kids
	}
	if len(names) > 1 && names[len(names)-2].is(":", "as") { // i as integer
		names = names[:len(names)-2]
	}
	var all []string
	for _, p := range parts(names, ",") {
		if len(p) != 1 || p[0].class != name {
			return "", "", false
		}
		all = append(all, p[0].text)
		w.own[p[0].text], w.declared[p[0].text] = true, true
	}
	values := head[at+1:]
	if len(all) == 2 {
		// enumerate(xs), xs.entries()
		if n := len(values); n > 2 && values[n-1].class == group && len(values[n-1].kids) == 0 && values[n-2].is("entries", "enumerate", "each_with_index", "items") {
			values = values[:n-3]
		}
	}
	if len(values) == 2 && values[0].is("range") {
		over = w.span(values)
		w.zero[all[0]] = strings.HasPrefix(over, "0..")
	}
	return strings.Join(all, ", "), w.span(values), true
}

// counted writes for (i = a; i < b; i++).
func (w *writer) counted(p [][]node) (string, bool) {
	start, cond, step := p[0], p[1], p[2]
	for len(start) > 0 && (start[0].is("let", "var", "const", "auto") || isKind(start[0].text)) {
		start = start[1:]
	}
	at := index(start, "=", ":=")
	to := index(cond, "<", "<=", ">", ">=", "!=", "!==", "<>")
	if at != 1 || to != 1 || !strings.EqualFold(start[0].text, cond[0].text) || to+1 >= len(cond) {
		return "", false
	}
	variable := start[0].text
	w.own[variable], w.declared[variable] = true, true
	if len(start) == 3 && start[2].is("0") {
		w.zero[variable] = true
	}
	from, end := written(w.value(start[2:])), written(w.value(cond[2:]))
	by := ""
	switch {
	case index(step, "++") >= 0:
	case index(step, "--") >= 0:
		by = "-1"
	case index(step, "+=") > 0:
		by = written(w.value(step[index(step, "+=")+1:]))
	case index(step, "-=") > 0:
		by = "-" + written(w.value(step[index(step, "-=")+1:]))
	case index(step, "=") == 1 && len(step) == 5 && step[3].is("+", "-"):
		by = strings.TrimPrefix(step[3].text, "+") + step[4].text
	default:
		return "", false
	}
	switch cond[1].text {
	case "<", "!=", "!==", "<>":
		// The last pass is the one before the end.
		if by != "" && by != "1" && !strings.HasPrefix(by, "-") {
			end = nearest(from, end, by)
		} else if strings.HasPrefix(by, "-") {
			end = more(end)
		} else {
			end = less(end)
		}
	case ">":
		end = more(end)
	}
	text := "loop " + variable + " in " + from + ".." + end
	if by != "" && by != "1" {
		text += " by " + by
	}
	return text, true
}

// nearest is the last number below an end that a loop comes to.
func nearest(from, end, by string) string {
	a, err := strconv.ParseFloat(from, 64)
	b, err2 := strconv.ParseFloat(end, 64)
	s, err3 := strconv.ParseFloat(by, 64)
	if err != nil || err2 != nil || err3 != nil || s <= 0 || b <= a {
		return less(end)
	}
	n := int((b - a) / s)
	if a+float64(n)*s >= b {
		n--
	}
	return strconv.FormatFloat(a+float64(n)*s, 'f', -1, 64)
}

// asksLater reports whether the block that line i begins ends with a condition.
func (w *writer) asksLater(i, indent int) bool {
	for k := i + 1; k < len(w.lines); k++ {
		l := &w.lines[k]
		if l.blank() || len(l.indent) > indent {
			continue
		}
		ns := l.nodes
		if ns[0].is("}") && len(ns) > 1 {
			ns = ns[1:]
		}
		return ns[0].is("until", "while") || ns[0].is("loop") && len(ns) > 1 && ns[1].is("until", "while")
	}
	return false
}

func (w *writer) endingOrUntil(i int) (ending, bool) {
	own := len(w.lines[i].indent)
	for k := i + 1; k < len(w.lines); k++ {
		if l := &w.lines[k]; !l.blank() && len(l.indent) <= own {
			return word, true
		}
	}
	return bracket, false
}

// overEach writes xs.forEach(s => …), xs.each { |s| … } and the like.
func (w *writer) overEach(i int, l *line, ns []node) bool {
	at := index(ns, "forEach", "each", "for_each", "iter", "iterate")
	if at < 2 || !ns[at-1].is(".") || at+1 >= len(ns) {
		return false
	}
	over := written(w.value(ns[:at-1]))
	inside := ns[at+1:]
	call := false
	if inside[0].class == group && inside[0].text == "(" && len(inside) == 1 {
		inside = inside[0].kids
	} else if inside[0].is("(") { // the bracket ends on a later line
		inside, call = inside[1:], true
	} else if inside[0].class == group && inside[0].text == "{" {
		inside = inside[0].kids
	}
	if len(ns) > 2 && ns[0].is("List", "Array", "Seq") && at == 2 {
		return w.iterated(i, l, ns[at+1:])
	}
	variable, body, ok := w.functionParts(inside)
	if !ok {
		return false
	}
	w.own[variable], w.declared[variable] = true, true
	if call {
		if len(body) != 1 || !body[0].is("{") {
			return false
		}
		w.open = append(w.open, frame{indent: len(l.indent), call: true})
		w.emit(l, "loop "+variable+" in "+over+" {")
		return true
	}
	if len(body) == 1 && body[0].class == group && body[0].text == "{" {
		w.emit(l, "loop "+variable+" in "+over+" { "+w.body(body[0].kids)+" }")
		return true
	}
	w.emit(l, "loop "+variable+" in "+over+" { "+w.statements(body)+" }")
	return true
}

// iterated writes List.iter (fun s -> …) xs.
func (w *writer) iterated(i int, l *line, ns []node) bool {
	if len(ns) != 2 || ns[0].class != group {
		return false
	}
	variable, body, ok := w.functionParts(ns[0].kids)
	if !ok {
		return false
	}
	w.own[variable], w.declared[variable] = true, true
	w.emit(l, "loop "+variable+" in "+written(w.value(ns[1:]))+" { "+w.statements(body)+" }")
	return true
}

// functionParts is the parameter and the body of a function that is a value.
func (w *writer) functionParts(ns []node) (variable string, body []node, ok bool) {
	at := index(ns, "=>", "->")
	from := 0
	switch {
	case at > 0:
		body, ns = ns[at+1:], ns[:at]
	case len(ns) > 2 && ns[0].is("function", "fn", "func", "fun") && ns[1].class == group:
		body, ns = ns[2:], ns[1:2]
		if body[0].is("=") {
			body = body[1:]
		}
	case len(ns) > 3 && ns[0].is("|") && ns[2].is("|"):
		body, ns = ns[3:], ns[1:2]
	default:
		return "", nil, false
	}
	if len(ns) > 1 && ns[0].is("fun", "fn", "func", "function", "\\") {
		from = 1
	}
	if len(ns) <= from || len(body) == 0 {
		return "", nil, false
	}
	variable = w.names(ns[from:])
	return variable, body, variable != "" && !strings.Contains(variable, ",")
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
		return w.block(i, l, w.drawn(i, l, called)+called+"("+w.names(params)+")", rest[len(rest)-1:], "{", false)
	}
	// What is given back has a kind elsewhere.
	if len(rest) > 1 && rest[0].is("->", ":", "as") && rest[1].class == name && (len(rest) == 2 || rest[2].is("=", "{", ":") || rest[2].class == group && rest[2].text == "{") && (isKind(rest[1].text) || len(rest) > 2) {
		rest = rest[2:]
	}
	head2 := called + "(" + params + ")"
	if len(rest) > 0 && rest[0].is("=", "->", "=>") && len(rest) > 1 {
		body := rest[1:]
		if body[0].class == group && body[0].text == "{" && len(body) == 1 { // = { … }
			return w.block(i, l, w.drawn(i, l, called)+head2, body, "{", false)
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
	mark := ""
	if len(rest) > 0 && rest[0].is(":") {
		rest, mark = rest[1:], ":"
	} else if len(rest) > 0 && !rest[0].is("{") && !(rest[0].class == group && rest[0].text == "{") {
		return false
	}
	if head.is("to") && len(rest) == 0 && len(names) == 0 {
		if _, ok := w.ending(i); !ok {
			return false
		}
	}
	before := len(w.open)
	kindOf := w.drawn(i, l, called)
	if !w.block(i, l, kindOf+head2, rest, mark, false) {
		return false
	}
	if len(w.open) > before {
		w.open[len(w.open)-1].named = called
	}
	return true
}

// open2 reports whether a function that is a value goes on in the next line.
func open2(rest []node) bool {
	return index(rest, "=>", "->") > 0 || len(rest) > 1 && rest[1].is("function", "fn", "fun", "func")
}

// drawn is figure for a body that draws, and fn for one that gives a value.
func (w *writer) drawn(i int, l *line, called string) string {
	if first := l.nodes[0]; first.is("figure") {
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

// chooses begins a choice among values, chosen writes its cases.
func (w *writer) chooses(l *line, ns []node) bool {
	subject := ns[1:]
	for len(subject) > 0 && subject[len(subject)-1].is("{", "with", "of", ":") {
		subject = subject[:len(subject)-1]
	}
	if len(subject) > 1 && subject[0].is("case") { // select case n
		subject = subject[1:]
	}
	if len(subject) == 1 && subject[0].class == group && subject[0].text == "(" {
		subject = subject[0].kids
	}
	if len(subject) == 0 || len(subject) > 4 {
		return false
	}
	f := frame{indent: len(l.indent), chooses: written(w.value(subject)), by: word}
	if last := l.nodes[len(l.nodes)-1]; last.is("{") {
		f.by = bracket
	}
	w.open = append(w.open, f)
	return true
}

// chosen writes a case of a choice among values, and its end.
func (w *writer) chosen(l *line) bool {
	top := w.top()
	if top.chooses == "" {
		return false
	}
	ns := trimmed(l.nodes)
	end := func() {
		if top.cases > 0 {
			w.out = append(w.out, strings.Repeat(" ", top.indent)+"}")
		}
		w.open = w.open[:len(w.open)-1]
	}
	begins := ns[0].is("case", "|", "when") || ns[0].is("default", "else", "otherwise") || ns[0].is("_") || index(ns, "=>") == 1
	switch {
	case ns[0].is("}") && len(ns) == 1, ns[0].is(closers...):
		end()
		return true
	case !begins && len(l.indent) <= top.indent:
		end()
		return false
	case !begins:
		if ns[0].is("break") {
			return true
		}
		return false
	}
	if ns[0].is("case", "|", "when") {
		ns = ns[1:]
	}
	at := index(ns, ":", "->", "=>", "then")
	value, body := ns, []node(nil)
	if at > 0 {
		value, body = ns[:at], ns[at+1:]
	}
	text := ""
	if top.cases > 0 {
		text = "} else "
	}
	if len(value) == 0 || !value[0].is("default", "_", "else", "otherwise") {
		var conds []string
		for _, v := range parts(value, ",", "|") {
			conds = append(conds, top.chooses+" == "+written(w.value(v)))
		}
		text += "if " + strings.Join(conds, " or ") + " "
	}
	text += "{"
	indent := strings.Repeat(" ", top.indent)
	w.out = append(w.out, indent+text)
	top.cases++
	for _, s := range parts(trimmed(body), ";") {
		if len(s) == 0 || s[0].is("break") {
			continue
		}
		if len(s) == 1 && s[0].class == group && s[0].text == "{" {
			w.out = append(w.out, indent+"  "+w.body(s[0].kids))
			continue
		}
		w.out = append(w.out, indent+"  "+w.statements(s))
	}
	return true
}
