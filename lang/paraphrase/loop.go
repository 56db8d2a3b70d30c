package paraphrase

import (
	"strconv"
	"strings"
)

// loop writes the head of a loop.
func (w *writer) loop(i int, l *line, ns, head, rest []node) bool {
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
			return w.block(i, l, text, behind)
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
		if !w.block(i, l, "loop while true", rest) {
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
		return w.block(i, l, "loop while "+written(w.condition(head[1:])), rest)
	}
	if head[0].is("until") {
		return w.block(i, l, "loop while not ("+written(w.condition(head[1:]))+")", rest)
	}
	if first.is("loop") && head[0].is("while") {
		if rest == nil {
			return false
		}
		return w.block(i, l, "loop while "+written(w.condition(head[1:])), rest)
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
			head, rest = head[:k], head[k:]
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
		return w.block(i, l, "loop "+head[0].text, rest)
	}
	variable, over, ok := w.loopOver(w.apart(i, l, head, rest))
	if !ok {
		if first.is("loop", "repeat") {
			return w.block(i, l, "loop "+written(w.value(head)), rest)
		}
		return false
	}
	return w.block(i, l, "loop "+variable+" in "+over, rest)
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
	if len(values) > 1 && values[0].is("range") && values[1].class != group { // for _, s := range xs
		values = values[1:]
		if len(all) == 2 && all[0] == "_" {
			all = all[1:]
		}
	}
	if len(all) == 2 {
		// enumerate(xs), xs.entries()
		if n := len(values); n > 2 && values[n-1].class == group && len(values[n-1].kids) == 0 && values[n-2].is("entries", "enumerate", "each_with_index", "items") {
			values = values[:n-3]
		}
	}
	over = w.span(values)
	if first, _, ok := strings.Cut(over, ".."); ok && len(all) == 1 {
		w.zero[all[0]] = first == "0"
	}
	return strings.Join(all, ", "), over, true
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
	steps := []string{"by", "step"}
	if r.own["step"] {
		steps = steps[:1]
	}
	if at := index(ns, steps...); at > 0 {
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
