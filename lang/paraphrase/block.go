package paraphrase

import (
	"regexp"
	"slices"
	"strings"

	"wend/internal/expression"
)

// How other languages begin a definition, and a variable.
var (
	functionHeads = []string{"fn", "figure", "def", "function", "func", "fun", "sub", "proc", "procedure", "method", "routine", "defn", "defun", "to", "funktion", "fonction"}
	variableHeads = []string{"let", "var", "const", "val", "dim", "local", "my", "auto", "setq", "define", "final", "static", "int", "float", "double", "string", "bool", "number"}
	closers       = []string{"end", "next", "wend", "done", "fi", "od", "esac", "endif", "endfor", "endwhile", "endsub", "endfunction", "ende", "fin", "finsi", "fsi"}
)

var (
	hyphened = expression.Of(`\b(?:let|var|const|define|figure|fn|def|defun|setq|set!|function|loop)\s+\(?([\pL_][\pL\pN_]*(?:-[\pL_][\pL\pN_]*)+)`)
	twoWords = expression.Of(`(?m)^\s*(?:figure|fn|let)\s+([\pL_][\pL\pN_]*)\s+([\pL_][\pL\pN_]*)\s*(?:\(|=)`)
)

// glued puts one name in place of another, where it stands as a whole.
func glued(text, old, name string) string {
	return regexp.MustCompile(`(^|[^\pL\pN_-])`+regexp.QuoteMeta(old)+`\b`).ReplaceAllString(text, "${1}"+name)
}

// frame is a block that is open.
type frame struct {
	indent  int
	by      ending
	asks    bool   // it repeats until a condition at its end
	chooses string // the value of a switch
	cases   int
	call    bool   // a block that is an argument: its end has a round bracket
	named   string // the function whose name is given its value
}

type ending uint8

const (
	bracket ending = iota // }
	inset                 // the next line that is not set in
	word                  // end, next, done
)

// writer puts the lines together.
type writer struct {
	*reader
	lines []line
	out   []string
	open  []frame
}

func (r *reader) blocks(lines []line) string {
	w := &writer{reader: r, lines: lines}
	for i := range lines {
		w.line(i)
	}
	for len(w.open) > 0 {
		if top := w.open[len(w.open)-1]; top.by == inset || top.by == word {
			w.shut(top.indent)
		}
		w.open = w.open[:len(w.open)-1]
	}
	if w.unclosed() {
		w.shut(0)
	}
	w.out = append(w.out, w.begun()...)
	return strings.Join(w.out, "\n") + "\n"
}

// unclosed reports whether one curly bracket is still open at the end, in a
// program that is not set in: its end was left out there.
func (w *writer) unclosed() bool {
	depth := 0
	for _, l := range w.lines {
		if l.indent != "" && !l.blank() {
			return false
		}
		for i, n := range l.nodes {
			switch {
			case n.is("{") && i+1 < len(l.nodes):
				return false
			case n.is("{"):
				depth++
			case n.is("}"):
				depth--
			}
		}
	}
	return depth == 1
}

// shut ends a block behind the last line that is not empty.
func (w *writer) shut(indent int) {
	at := len(w.out)
	for at > 0 && strings.TrimSpace(w.out[at-1]) == "" {
		at--
	}
	w.out = slices.Insert(w.out, at, strings.Repeat(" ", indent)+"}")
}

func (w *writer) top() *frame {
	if len(w.open) == 0 {
		return &frame{indent: -1}
	}
	return &w.open[len(w.open)-1]
}

func (w *writer) emit(l *line, text string) {
	if l.comment != "" && text != "" {
		text += " # " + l.comment
	} else if l.comment != "" {
		text = "# " + l.comment
	}
	if strings.Contains(l.text, "\n") && squeezed(text) == squeezed(l.text) {
		w.out = append(w.out, l.text) // the same, laid out over several lines
		return
	}
	w.out = append(w.out, l.indent+text)
}

// squeezed is a text without its spaces and line ends.
func squeezed(text string) string { return strings.Join(strings.Fields(text), "") }

// line writes one line.
func (w *writer) line(i int) {
	l := &w.lines[i]
	if l.blank() {
		if l.note && !strings.HasPrefix(strings.TrimSpace(l.text), "#") {
			w.emit(l, "")
			return
		}
		w.out = append(w.out, l.text)
		return
	}
	indent := len(l.indent)
	goesOn := l.nodes[0].is("else", "elif", "elseif", "elsif", "otherwise", "sonst")
	for len(w.open) > 0 && w.top().by == inset && indent <= w.top().indent {
		if goesOn && indent == w.top().indent {
			break
		}
		w.shut(w.top().indent)
		w.open = w.open[:len(w.open)-1]
	}
	if w.lisp(l) || w.ends(l) || w.goesOn(i, l, goesOn) || w.chosen(l) || w.begins(i, l) {
		return
	}
	ns := l.nodes
	for _, f := range w.open { // area = w * h gives the value of the function area
		if f.named != "" && len(ns) > 2 && ns[0].text == f.named && ns[1].is("=") {
			w.emit(l, "return "+written(w.value(trimmed(ns[2:]))))
			return
		}
	}
	shut := ""
	for len(ns) > 0 && ns[0].is("}") {
		shut += "} "
		ns = ns[1:]
	}
	if len(ns) == 0 {
		w.keep(l)
		return
	}
	text := w.statements(ns)
	if text == dropped {
		if shut != "" || l.comment != "" {
			w.emit(l, strings.TrimSpace(shut))
		}
		return
	}
	if text == written(ns) && !reworded(ns) {
		w.keep(l)
		return
	}
	w.emit(l, strings.TrimSpace(shut+text))
}

// keep writes a line as it stands.
func (w *writer) keep(l *line) {
	if l.comment != "" && !strings.Contains(l.text, "#") {
		w.emit(l, written(l.nodes))
		return
	}
	w.out = append(w.out, l.text)
}

// dropped stands for a statement that wend does without.
const dropped = "\x00"

// ends writes the end of a block.
func (w *writer) ends(l *line) bool {
	ns := trimmed(l.nodes)
	if len(ns) == 0 {
		return false
	}
	top := w.top()
	switch {
	case ns[0].is("}") && len(ns) > 1 && ns[1].is(")") && top.call: // });
		w.open = w.open[:len(w.open)-1]
		w.emit(l, "}")
		return true
	case ns[0].is("}") && len(ns) > 2 && ns[1].is("while", "until") && top.asks && top.by == bracket:
		w.asked(l, ns[1:])
		return true
	case ns[0].is("}") && len(ns) == 1 && top.by == bracket && len(w.open) > 0:
		w.open = w.open[:len(w.open)-1]
		w.keep(l)
		return true
	case len(w.open) == 0 || top.by == bracket:
		return false
	case top.asks && (ns[0].is("until", "while") || ns[0].is("loop") && len(ns) > 1 && ns[1].is("until", "while")):
		if ns[0].is("loop") {
			ns = ns[1:]
		}
		w.asked(l, ns)
		return true
	case top.by == word && (ns[0].is(closers...) || ns[0].is("loop", "repeat") && len(ns) == 1) && len(ns) <= 2:
		w.emit(l, "}")
		w.open = w.open[:len(w.open)-1]
		return true
	case top.by == inset && ns[0].is(closers...) && len(ns) <= 2:
		return true
	}
	return false
}

// asked writes the condition at the end of a loop.
func (w *writer) asked(l *line, ns []node) {
	cond := written(w.condition(ns[1:]))
	if ns[0].is("while") {
		if len(ns) != 2 || ns[1].class != group {
			cond = "(" + cond + ")"
		}
		cond = "not " + cond
	}
	w.out = append(w.out, l.indent+"  if "+cond+" { break }", l.indent+"}")
	w.open = w.open[:len(w.open)-1]
}

// goesOn writes the else of a choice whose block ends by words or by what is
// set in, and the brackets of one whose block has some.
func (w *writer) goesOn(i int, l *line, begins bool) bool {
	ns := trimmed(l.nodes)
	if !begins && (len(ns) < 2 || !ns[0].is("}") || !ns[1].is("else", "elif", "elseif", "elsif")) {
		return false
	}
	shut := ""
	if !begins {
		shut, ns = "} ", ns[1:]
	}
	if begins && len(w.open) > 0 && w.top().by != bracket {
		shut = "} "
	}
	head := ns[0]
	ns = ns[1:]
	if head.is("elif", "elseif", "elsif") || len(ns) > 0 && ns[0].is("if") {
		if head.is("else") {
			ns = ns[1:]
		}
		cond, rest := w.divided(ns)
		text := shut + "else if " + written(w.condition(cond))
		return w.block(i, l, text, rest)
	}
	_, rest := w.divided(append([]node{as("x", false)}, ns...))
	return w.block(i, l, shut+"else", rest)
}

// trimmed is a line without a semicolon at its end.
func trimmed(ns []node) []node {
	for len(ns) > 0 && ns[len(ns)-1].is(";") {
		ns = ns[:len(ns)-1]
	}
	return ns
}

// divided parts the head of a block from what is behind it: behind then, do, a
// colon, before a curly bracket, or behind a condition in round brackets.
func (w *writer) divided(ns []node) (head, rest []node) {
	for i, n := range ns {
		if n.is("then", "do", ":") && i > 0 {
			if n.is(":") && i+1 < len(ns) && ns[i-1].class == name && index(ns[:i], "?") >= 0 {
				continue
			}
			return ns[:i], ns[i+1:]
		}
		if n.class == group && n.text == "{" && (i == 0 || !ns[i-1].is("=", "fn") && n.space || i > 0 && ns[i-1].class == group) || n.is("{") {
			return ns[:i], ns[i:]
		}
	}
	if len(ns) > 1 && ns[0].class == group && ns[0].text == "(" && ns[1].class == name && !ns[1].is("and", "or", "is", "mod", "in") {
		return ns[:1], ns[1:]
	}
	return ns, nil
}

// block writes a head and what is behind it, and remembers how it ends.
func (w *writer) block(i int, l *line, head string, rest []node) bool {
	f := frame{indent: len(l.indent)}
	again := strings.HasPrefix(head, "} ")
	push := func(f frame) {
		if again && len(w.open) > 0 {
			w.open[len(w.open)-1] = f
			return
		}
		w.open = append(w.open, f)
	}
	switch {
	case len(rest) > 0 && rest[0].is("{") && len(rest) == 1:
		push(f)
		w.emit(l, head+" {")
	case len(rest) > 0 && rest[0].class == group && rest[0].text == "{":
		inside := w.body(rest[0].kids)
		tail := trimmed(rest[1:])
		text := head + " { " + inside + " }"
		if inside == "" {
			text = head + " { }"
		}
		if len(tail) > 0 && tail[0].is("else", "elif", "elseif", "elsif") {
			more, ok := w.tail(tail)
			if !ok {
				return false
			}
			text += more
		} else if len(tail) > 0 && tail[0].class == name {
			text += "; " + w.statements(tail)
		} else if len(tail) > 0 {
			return false
		}
		if again && len(w.open) > 0 {
			w.open = w.open[:len(w.open)-1]
		}
		w.emit(l, text)
	case len(rest) > 0:
		// A body on the same line, up to an else or a word that ends it.
		body, tail := rest, []node(nil)
		if at := index(rest, "else", "elif", "elseif"); at > 0 {
			body, tail = rest[:at], rest[at:]
		}
		body = trimmed(body)
		if n := len(body); n > 1 && body[n-1].is(closers...) {
			body = trimmed(body[:n-1])
		} else if n > 2 && body[n-2].is(closers...) && body[n-1].class == name {
			body = trimmed(body[:n-2])
		}
		for len(body) > 0 && body[len(body)-1].is(":") {
			body = body[:len(body)-1]
		}
		var texts []string
		for _, s := range parts(body, ":", ";") {
			if t := w.statements(s); t != dropped && t != "" {
				texts = append(texts, t)
			}
		}
		text := head + " { " + strings.Join(texts, "; ") + " }"
		if len(tail) > 0 {
			more, ok := w.tail(tail)
			if !ok {
				return false
			}
			text += more
		}
		if again && len(w.open) > 0 {
			w.open = w.open[:len(w.open)-1]
		}
		w.emit(l, text)
	default:
		by, ok := w.ending(i)
		if !ok {
			return false
		}
		f.by = by
		push(f)
		w.emit(l, head+" {")
	}
	return true
}

// tail writes the else on the line of its if.
func (w *writer) tail(ns []node) (string, bool) {
	ns = trimmed(ns)
	head := ns[0]
	ns = ns[1:]
	text := " else"
	if head.is("elif", "elseif", "elsif") || len(ns) > 0 && ns[0].is("if") {
		if head.is("else") {
			ns = ns[1:]
		}
		cond, rest := w.divided(ns)
		text += " if " + written(w.condition(cond))
		ns = rest
	}
	for len(ns) > 0 && ns[0].is(":", "then") {
		ns = ns[1:]
	}
	if n := len(ns); n > 1 && ns[n-1].is(closers...) {
		ns = ns[:n-1]
	}
	if len(ns) == 0 {
		return "", false
	}
	if ns[0].class == group && ns[0].text == "{" {
		text += " { " + w.body(ns[0].kids) + " }"
		if rest := trimmed(ns[1:]); len(rest) > 0 {
			if !rest[0].is("else", "elif") {
				return "", false
			}
			more, ok := w.tail(rest)
			return text + more, ok
		}
		return text, true
	}
	if at := index(ns, "else"); at > 0 {
		more, ok := w.tail(ns[at:])
		return text + " { " + w.statements(ns[:at]) + " }" + more, ok
	}
	return text + " { " + w.statements(ns) + " }", true
}

// ending finds out how the block ends that a line begins without a bracket.
func (w *writer) ending(i int) (ending, bool) {
	own := len(w.lines[i].indent)
	first := -1
	for k := i + 1; k < len(w.lines); k++ {
		l := &w.lines[k]
		if l.blank() {
			continue
		}
		if first < 0 {
			first = k
			if l.nodes[0].is("{") {
				return bracket, false
			}
		}
		if len(l.indent) > own {
			continue
		}
		if l.nodes[0].is(closers...) || l.nodes[0].is("until") || l.nodes[0].is("loop") && (len(l.nodes) == 1 || l.nodes[1].is("until", "while")) {
			if len(l.indent) == own {
				return word, true
			}
		}
		if l.nodes[0].is("else", "elif", "elseif", "elsif") && len(l.indent) == own {
			continue
		}
		break
	}
	if first >= 0 && len(w.lines[first].indent) > own {
		return inset, true
	}
	// Not set in, but with a word at the end.
	depth := 0
	for k := i + 1; k < len(w.lines); k++ {
		l := &w.lines[k]
		if l.blank() {
			continue
		}
		if l.nodes[0].is(closers...) {
			if depth == 0 {
				return word, true
			}
			depth--
		} else if l.nodes[0].is("for", "while", "if", "def", "sub", "function", "repeat", "loop") && index(l.nodes, "{") < 0 {
			depth++
		}
	}
	return bracket, false
}

// body is what stands between the curly brackets of a block on one line.
func (r *reader) body(kids []node) string {
	var texts []string
	for len(kids) > 0 {
		// A statement with a block of its own ends at that block.
		end := len(kids)
		for k, n := range kids {
			if n.is(";") {
				end = k
				break
			}
			if n.class == group && n.text == "{" && k+1 < len(kids) && kids[k+1].class == name && !kids[k+1].is("else", "elif") && !kids[0].is("let", "var", "const", "return") {
				end = k + 1
				break
			}
		}
		if t := r.inline(kids[:end]); t != dropped && t != "" {
			texts = append(texts, t)
		}
		kids = kids[end:]
		for len(kids) > 0 && kids[0].is(";") {
			kids = kids[1:]
		}
	}
	return strings.Join(texts, "; ")
}

// inline writes a statement within a line, with its block if it has one.
func (r *reader) inline(ns []node) string {
	if len(ns) == 0 {
		return ""
	}
	w := &writer{reader: r}
	l := &line{nodes: ns}
	w.lines = []line{*l}
	if w.begins(0, l) && len(w.out) == 1 {
		return w.out[0]
	}
	return r.statements(ns)
}
