package paraphrase

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

type class uint8

const (
	name class = iota
	number
	quote
	sign
	group // a pair of brackets with what stands within
)

// node is a word, or a pair of brackets with what stands within.
type node struct {
	class
	text  string // the word; of a group its opening bracket
	shut  string // the closing bracket of a group
	kids  []node
	space bool // there is space before it
	other bool // it was written otherwise
	inner bool // there is space before the closing bracket
}

// The signs of several characters, longest first.
var signs = []string{"===", "!==", "...", "..=", "..<", "..", "==", "!=", "<=", ">=", "=>", "->", "<-", ":=", "+=", "-=", "*=", "/=", "++", "--", "**", "//", "&&", "||", "|>", "<|", "<>", "=/=", "::", ">>"}

// words cuts a line into words and signs; what stands behind a comment sign of
// some language is given back as its comment.
func words(line string) (all []node, comment string) {
	space, other := false, false
	for i := 0; i < len(line); {
		rest := line[i:]
		r, size := utf8.DecodeRuneInString(rest)
		n := size
		class := sign
		text := ""
		switch {
		case unicode.IsSpace(r):
			i += size
			space = true
			continue
		case r == '#' && !strings.HasPrefix(rest, "#t") && !strings.HasPrefix(rest, "#f"):
			return all, strings.TrimSpace(rest[1:])
		case r == '#':
			class, n, text = name, 2, map[byte]string{'t': "true", 'f': "false"}[rest[1]]
		case strings.HasPrefix(rest, "/*") && strings.Contains(rest, "*/"):
			end := strings.Index(rest, "*/")
			if strings.TrimSpace(rest[end+2:]) == "" {
				return all, strings.TrimSpace(rest[2:end])
			}
			i += end + 2
			other = true
			continue
		case strings.HasPrefix(rest, "//") && (len(all) == 0 || !divides(all, rest[2:])),
			strings.HasPrefix(rest, "--") && (len(all) == 0 || space && strings.HasPrefix(rest, "-- ")),
			strings.HasPrefix(rest, ";;"):
			return all, strings.TrimSpace(strings.TrimLeft(rest, "/-;"))
		case r == '\'' && (len(all) == 0 || strings.Count(rest, "'") == 1) && !strings.HasPrefix(rest, "'(") && !strings.HasPrefix(rest, "'["),
			r == ';' && len(all) == 0:
			return all, strings.TrimSpace(rest[1:])
		case r == '\'' && (strings.HasPrefix(rest, "'(") || strings.HasPrefix(rest, "'[")):
			i++
			other = true
			continue // a list that is quoted
		case (r == '$' || r == '@') && len(rest) > 1 && (rest[1] == '_' || rest[1]|0x20 >= 'a' && rest[1]|0x20 <= 'z'):
			i++
			other = true
			continue // a sign before a variable's name
		case r == '"' || r == '\'' || r == '`':
			class, n = quote, quoted(rest)
			text = inDoubleQuotes(rest[:n])
		case unicode.IsDigit(r):
			class, n = number, digits(rest)
		case r == '_' || unicode.IsLetter(r):
			class = name
			for n < len(rest) {
				r, size := utf8.DecodeRuneInString(rest[n:])
				if r != '_' && !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.Is(unicode.Mn, r) {
					break
				}
				n += size
			}
			if rest[:n] == "let" && strings.HasPrefix(rest[n:], "* (") {
				n, text = n+1, "let" // let*
			}
			if (rest[:n] == "set" || rest[:n] == "for") && (strings.HasPrefix(rest[n:], "! ") || strings.HasPrefix(rest[n:], "-each ")) {
				n = strings.IndexByte(rest, ' ') // set!, for-each
				text = rest[:n]
				if text == "set!" {
					text = "set"
				}
			}
		default:
			for _, s := range signs {
				if strings.HasPrefix(rest, s) {
					n = len(s)
					break
				}
			}
		}
		if text == "" {
			text = rest[:n]
		}
		all = append(all, node{class: class, text: text, space: space, other: other || text != rest[:n]})
		space, other = false, false
		i += n
	}
	return all, ""
}

// divides reports whether a double slash between what stands before it and what
// comes behind is a division with a whole result: a value on both sides, and no
// sentence behind.
func divides(before []node, behind string) bool {
	last := before[len(before)-1]
	if last.class == sign && last.text != ")" && last.text != "]" || last.class == name && last.space && len(before) == 1 {
		return false
	}
	behind = strings.TrimSpace(behind)
	if behind == "" {
		return false
	}
	if r, _ := utf8.DecodeRuneInString(behind); r == '(' || unicode.IsDigit(r) {
		return len(strings.Fields(behind)) == 1 || !unicode.IsLetter([]rune(strings.Fields(behind)[1])[0])
	}
	return len(before) > 1 && len(strings.Fields(behind)) == 1
}

func quoted(rest string) int {
	for i := 1; i < len(rest); i++ {
		switch rest[i] {
		case '\\':
			i++
		case rest[0]:
			return i + 1
		}
	}
	return len(rest)
}

// inDoubleQuotes writes a text of another language with wend's quotes, and what
// is put in by a sign and curly brackets with the brackets alone.
func inDoubleQuotes(text string) string {
	mark := text[0]
	if mark == '"' {
		return text
	}
	inner := strings.TrimSuffix(text[1:], string(mark))
	if mark == '`' {
		inner = strings.ReplaceAll(inner, "${", "{")
	}
	return `"` + strings.ReplaceAll(strings.ReplaceAll(inner, `\'`, `'`), `"`, `\"`) + `"`
}

func digits(rest string) int {
	point := false
	for i := 0; i < len(rest); i++ {
		c := rest[i]
		next := i+1 < len(rest) && rest[i+1] >= '0' && rest[i+1] <= '9'
		switch {
		case c >= '0' && c <= '9' || c == '_':
		case c == '.' && !point && next:
			point = true
		case (c == 'e' || c == 'E') && next:
		default:
			return i
		}
	}
	return len(rest)
}

var partner = map[string]string{"(": ")", "[": "]", "{": "}"}

// nested puts words into groups. Brackets without a partner stay words.
func nested(all []node) []node {
	type open struct {
		bracket node
		outer   []node
	}
	var list []node
	var stack []open
	flatten := func() {
		top := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		list = append(append(top.outer, top.bracket), list...)
	}
	for _, w := range all {
		switch {
		case w.class == sign && partner[w.text] != "":
			stack = append(stack, open{w, list})
			list = nil
		case w.class == sign && (w.text == ")" || w.text == "]" || w.text == "}"):
			k := len(stack) - 1
			for k >= 0 && partner[stack[k].bracket.text] != w.text {
				k--
			}
			if k < 0 {
				list = append(list, w)
				continue
			}
			for len(stack)-1 > k {
				flatten()
			}
			top := stack[k]
			stack = stack[:k]
			g := top.bracket
			g.class, g.shut, g.kids, g.inner = group, w.text, list, w.space
			list = append(top.outer, g)
		default:
			list = append(list, w)
		}
	}
	for len(stack) > 0 {
		flatten()
	}
	return list
}

// reworded reports whether a word was put otherwise when it was read.
func reworded(ns []node) bool {
	return slices.ContainsFunc(ns, func(n node) bool { return n.other || reworded(n.kids) })
}

// written is nodes as text, without the space before the first.
func written(ns []node) string {
	var b strings.Builder
	for i, n := range ns {
		if i > 0 && n.space {
			b.WriteByte(' ')
		}
		n.write(&b)
	}
	return b.String()
}

func (n node) write(b *strings.Builder) {
	b.WriteString(n.text)
	if n.class != group {
		return
	}
	for i, kid := range n.kids {
		if kid.space || i == 0 && n.text == "{" {
			b.WriteByte(' ')
		}
		kid.write(b)
	}
	if n.inner || n.text == "{" && len(n.kids) > 0 {
		b.WriteByte(' ')
	}
	b.WriteString(n.shut)
}

// as is a node that stands for a text which is right as it is.
func as(text string, space bool) node { return node{class: name, text: text, space: space} }

// is reports whether a node is one of some words, in capitals or not.
func (n node) is(texts ...string) bool {
	if n.class == group || n.class == quote {
		return false
	}
	for _, t := range texts {
		if strings.EqualFold(n.text, t) {
			return true
		}
	}
	return false
}

// index is the place of the first of some words, outside all brackets, or -1.
func index(ns []node, texts ...string) int {
	for i, n := range ns {
		if n.is(texts...) {
			return i
		}
	}
	return -1
}

// parts are the stretches between some signs, outside all brackets.
func parts(ns []node, signs ...string) [][]node {
	var out [][]node
	from := 0
	for i, n := range ns {
		if n.class == sign && n.is(signs...) {
			out = append(out, ns[from:i])
			from = i + 1
		}
	}
	return append(out, ns[from:])
}
