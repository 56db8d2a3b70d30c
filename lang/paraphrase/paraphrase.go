// Package paraphrase reads a program that is written in the manner of another
// language, and says it in wend.
//
// It reads leniently: what opens and ends a block elsewhere (curly brackets,
// what is set in, a word at the end, round brackets around everything), how
// variables, loops, choices and functions are written, in which order a sign
// and its values stand. It knows no single language but the union of their
// manners; a statement that is in none of them stays as it is, to the letter.
// Nothing is promised of the result: who asks tries it.
package paraphrase

import (
	"slices"
	"strings"

	"wend/internal/expression"
)

// Vocabulary is what is known of wend's words.
type Vocabulary struct {
	Head     func(word string) bool // begins a statement of wend: ahead, draw, loop
	Function func(word string) bool // gives a value: sqrt, map
	Theme    func(word string) bool // is a theme of the library: curves
	Takes    func(function string) int
}

type reader struct {
	Vocabulary
	own       map[string]bool // names that the program defines
	functions map[string]bool // those of them that are functions or figures
	params    map[string]int  // and how many parameters they have
	declared  map[string]bool // variables that have been made so far
	numeric   map[string]bool // variables that were made with a number
	lists     map[string]bool // with a list
	points    map[string]bool // with a point
	from0     map[string]bool // names that have the index 0 somewhere
	zero      map[string]bool // variables of loops that begin at 0 and end before their end
	counts0   map[string]bool // variables that are an index somewhere, and grow by one
	fields    map[string]bool // fields of records
	tools     map[string]bool // names that only stand before a dot and a statement: tool.ahead(20)
	statement bool            // what is read is a whole statement
	letting   bool            // a word says that a variable is made
	work      int             // words that were looked at
}

// Text is the program as wend would write it. A text that a reading so lenient
// trips over stays as it is.
func Text(text string, v Vocabulary) (out string) {
	defer func() {
		if recover() != nil {
			out = text
		}
	}()
	return read(text, v)
}

func read(text string, v Vocabulary) string {
	r := &reader{Vocabulary: v, own: map[string]bool{}, functions: map[string]bool{}, params: map[string]int{}, declared: map[string]bool{}, numeric: map[string]bool{}, lists: map[string]bool{}, points: map[string]bool{}, from0: map[string]bool{}, zero: map[string]bool{}}
	text = r.renamed(text)
	for _, m := range index0.FindAllStringSubmatch(text, -1) {
		r.from0[m[1]] = true
	}
	r.counts0, r.fields = map[string]bool{}, map[string]bool{}
	for _, m := range grows.FindAllStringSubmatch(text, -1) {
		r.counts0[m[1]] = strings.Contains(text, "["+m[1]+"]")
	}
	lines := entry(linesOf(text))
	r.learn(lines)
	r.tools = toolsOf(lines, r)
	return r.blocks(lines)
}

// line is a line of a program, and those that go on with it in round brackets.
type line struct {
	text    string
	indent  string
	nodes   []node
	comment string
	note    bool // it is a comment and nothing else
}

func (l *line) blank() bool { return len(l.nodes) == 0 }

func linesOf(text string) []line {
	var out []line
	raw := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
	numbered := withNumbers(raw)
	for i := 0; i < len(raw); i++ {
		l := line{text: raw[i]}
		l.indent = raw[i][:len(raw[i])-len(strings.TrimLeft(raw[i], " \t"))]
		body := strings.TrimSpace(raw[i])
		if numbered {
			body = strings.TrimLeft(body, "0123456789")
			body = strings.TrimSpace(body)
		}
		for _, mark := range []string{`"""`, `'''`} {
			if !strings.HasPrefix(body, mark) {
				continue
			}
			said := body[3:]
			for !strings.Contains(said, mark) && i+1 < len(raw) {
				i++
				said += " " + strings.TrimSpace(raw[i])
				l.text += "\n" + raw[i]
			}
			body = "# " + strings.TrimSpace(strings.TrimSuffix(said, mark))
		}
		if first, rest, _ := strings.Cut(body, " "); strings.EqualFold(first, "rem") {
			body = "# " + rest
		}
		all, comment := words(body)
		// Round brackets that are still open go on in the next line, unless a
		// block begins.
		for i+1 < len(raw) && open(all) > 0 && all[len(all)-1].text != "{" && len(l.text) < 4000 {
			i++
			more, note := words(strings.TrimSpace(raw[i]))
			if len(more) > 0 {
				more[0].space = all[len(all)-1].text != "(" && all[len(all)-1].text != "["
			}
			all = append(all, more...)
			comment += note
			l.text += "\n" + raw[i]
		}
		all, i = arms(all, raw, i, &l)
		// A value that stands below its sign, set in.
		if n := len(all); n > 2 && all[n-1].is("=") && i+1 < len(raw) && indentOf(raw[i+1]) > len(l.indent) && (i+2 >= len(raw) || indentOf(raw[i+2]) <= len(l.indent)) {
			i++
			more, note := words(strings.TrimSpace(raw[i]))
			if len(more) > 0 {
				more[0].space = true
			}
			all = append(all, more...)
			comment += note
			l.text += "\n" + raw[i]
		}
		l.nodes, l.comment = withoutKinds(nested(namespaces(all))), comment
		l.note = len(all) == 0 && comment != ""
		if body != strings.TrimSpace(raw[i]) && !strings.Contains(l.text, "\n") && numbered {
			l.text = l.indent + body
		}
		out = append(out, l)
	}
	return out
}

// namespaces writes a dot for the sign between a library and a name of it
// (std::sqrt), where nothing stands between.
func namespaces(all []node) []node {
	for i := 1; i+1 < len(all); i++ {
		if all[i].is("::") && !all[i].space && !all[i+1].space && all[i-1].class == name {
			all[i].text = "."
		}
	}
	return all
}

func indentOf(line string) int { return len(line) - len(strings.TrimLeft(line, " \t")) }

// open is how many round and square brackets are open behind some words.
func open(all []node) int {
	depth := 0
	for _, w := range all {
		if w.class != sign {
			continue
		}
		switch w.text {
		case "(", "[":
			depth++
		case ")", "]":
			depth--
		}
	}
	return depth
}

// withNumbers reports whether every line begins with a number that only counts
// the lines.
func withNumbers(raw []string) bool {
	counted := 0
	for i, l := range raw {
		l = strings.TrimSpace(l)
		if l == "" || i == 0 && strings.HasPrefix(l, "begin") {
			continue
		}
		digits := len(l) - len(strings.TrimLeft(l, "0123456789"))
		if digits == 0 || digits == len(l) || l[digits] != ' ' {
			return false
		}
		counted++
	}
	return counted > 1
}

// renamed writes names with a hyphen, a sign at their end, or of two words, as
// one word, wherever they stand.
func (r *reader) renamed(text string) string {
	for _, m := range hyphened.FindAllStringSubmatch(text, -1) {
		for _, old := range m[1:] {
			if strings.Contains(old, "-") {
				text = glued(text, old, strings.ReplaceAll(old, "-", "_"))
			}
		}
	}
	for _, m := range twoWords.FindAllStringSubmatch(text, -1) {
		if strings.HasPrefix(strings.TrimSpace(m[0]), "let") && strings.Count(text, m[1]+" "+m[2]) < 2 {
			continue // let square n = n * n
		}
		if !isKind(m[1]) && !slices.Contains([]string{"rec", "mutable", "mut", "fn", "figure"}, m[1]) {
			text = glued(text, m[1]+" "+m[2], m[1]+"_"+m[2])
		}
	}
	return text
}

// grows finds i += 1, i++ and i = i + 1.
var grows = expression.Of(`(?m)\b([\pL_][\pL\pN_]*)\s*(?:\+=\s*1\b|\+\+|=\s*[\pL_][\pL\pN_]*\s*\+\s*1\b)`)

var index0 = expression.Of(`([\pL_][\pL\pN_]*)\[0\]`)

// learn gathers the names that the program defines.
func (r *reader) learn(lines []line) {
	for _, l := range lines {
		r.learnFrom(l.nodes)
	}
}

func (r *reader) learnFrom(ns []node) {
	if k := r.bareParameters(ns); k > 0 {
		r.own[ns[0].text], r.functions[ns[0].text], r.params[ns[0].text] = true, true, k
		ns = ns[k+1:]
	}
	for i, n := range ns {
		if n.class == group {
			r.learnFrom(n.kids)
		}
		if n.class == name && i+1 < len(ns) && ns[i+1].is(":") { // {size: 9}
			r.fields[n.text] = true
		}
		if i+1 >= len(ns) {
			continue
		}
		next := ns[i+1]
		define := func(params int) {
			r.own[next.text], r.functions[next.text], r.params[next.text] = true, true, params
		}
		switch {
		case n.class != name || next.class != name && next.class != group:
		case n.is(functionHeads...) && next.class == name:
			params := 0
			if i+2 < len(ns) && ns[i+2].class == group {
				params = count(ns[i+2].kids)
			} else {
				for k := i + 2; k < len(ns) && ns[k].class == name; k++ {
					params++
				}
			}
			define(params)
		case n.is("define", "defun") && next.class == group && len(next.kids) > 0: // (define (f x) …)
			next = next.kids[0]
			define(len(ns[i+1].kids) - 1)
		case n.is("let", "rec") && next.class == name && !next.is("rec", "mutable", "mut"):
			params := 0
			for k := i + 2; k < len(ns) && (ns[k].class == name && !ns[k].is("be", "to", "is", "as", "in", "of") || ns[k].class == group && ns[k].text == "(" && len(ns[k].kids) > 0); k++ {
				params++
			}
			if at := index(ns, "="); params > 0 && (at == i+2+params || at > i+2+params && ns[i+2+params].is(":")) {
				define(params)
			} else {
				r.own[next.text] = true
				if at > 0 && at+1 < len(ns) && (index(ns[at:], "=>", "->", "lambda") > 0 || ns[at+1].is("fn", "fun", "function", "func")) {
					r.functions[next.text], r.params[next.text] = true, 9
				}
			}
		case n.is(variableHeads...) && next.class == name:
			r.own[next.text] = true
			if at := index(ns, "="); at > 0 && at+1 < len(ns) && (index(ns[at:], "=>", "->") > 0 || ns[at+1].is("function")) {
				r.functions[next.text], r.params[next.text] = true, 9
			}
		}
	}
	if index(ns, "::") == 1 && ns[0].class == name { // double :: Int -> Int
		r.own[ns[0].text], r.functions[ns[0].text], r.params[ns[0].text] = true, true, max(1, len(parts(ns, "->"))-1)
	}
	for i, n := range ns {
		if n.class == name && i+1 < len(ns) && ns[i+1].is("=", ":=", "<-") && i == 0 {
			r.own[n.text] = true
			if i+2 < len(ns) && ns[i+2].is("lambda", "function", "fn") {
				r.functions[n.text], r.params[n.text] = true, 9
			}
		}
	}
}

// bareParameters is how many parameters a function has whose definition begins
// with its name alone: half x = x / 2, sign x | x < 0 = 1 | otherwise = 2.
func (r *reader) bareParameters(ns []node) int {
	at := index(ns, "=")
	if guard := index(ns, "|"); guard > 1 && guard < at {
		at = guard
	}
	if at < 2 || at+1 >= len(ns) || ns[0].class != name || r.Head(ns[0].text) || r.Function(ns[0].text) || ns[0].is("for", "set", "make", "loop", "repeat") || ns[0].is(functionHeads...) {
		return 0
	}
	for _, n := range ns[1:at] {
		if n.class != name || n.is("is", "be", "to") {
			return 0
		}
	}
	if ns[0].is(variableHeads...) || isKind(ns[0].text) {
		// A kind, unless the value is made of what would be its variable:
		// double x = x * 2.
		if at != 2 || r.own[ns[1].text] && !r.functions[ns[0].text] || !mentions(ns[at:], ns[1].text) || ns[0].is("let", "var", "const", "my", "local", "set", "define", "val", "dim") {
			return 0
		}
	}
	return at - 1
}

func count(ns []node) int {
	if len(ns) == 0 {
		return 0
	}
	if n := len(parts(ns, ",")); n > 1 {
		return n
	}
	names := 0
	for _, n := range ns {
		if n.class == name {
			names++
		}
	}
	return max(1, min(names, len(ns)))
}
