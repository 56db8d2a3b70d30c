package paraphrase

import (
	"slices"
	"strings"

	"wend/internal/expression"
	everyday "wend/lang/words"
)

// conversion is where the C library writes a value into a text, such as %d or %.2f
// (ISO C, fprintf).
var conversion = expression.Of(`%[-+0-9.]*[dsfgi]`)

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
