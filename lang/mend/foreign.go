package mend

import (
	"slices"
	"strconv"
	"strings"
)

// header is the text of a statement up to its block, without what other
// languages put before one.
func (l *line) header() (text string, end int) {
	ws := l.statement()
	if len(ws) == 0 {
		return "", l.end
	}
	for len(ws) > 1 && slices.Contains([]string{":", "do", "then"}, ws[len(ws)-1].text) {
		ws = ws[:len(ws)-1]
	}
	return strings.TrimSuffix(l.source(ws), " do"), ws[len(ws)-1].end
}

// form is a header of another language and its like in wend. The named groups
// of the pattern are put in.
type form struct {
	pattern expression
	write   func(g []string) string
}

const (
	word1 = `([\pL_][\pL\pN_]*)`
	value = `(.+?)`
)

var loopForms = []form{
	// for (let i = 0; i < 5; i++): the whole line is looked at.
	{expressionOf(`^for\s*\(?\s*(?:let |var |int |const )?` + word1 + `\s*=\s*` + value + `\s*;\s*[\pL_][\pL\pN_]*\s*(<=|<)\s*` + value + `\s*;[^){]*\)?$`), func(g []string) string {
		if g[3] == "<" {
			return "loop " + g[1] + " in " + g[2] + ".." + less(g[4])
		}
		return "loop " + g[1] + " in " + g[2] + ".." + g[4]
	}},
	{expressionOf(`^(?:for|foreach|loop|repeat)\s+(?:each\s+)?` + word1 + `\s+in\s+range\(` + value + `\)$`), func(g []string) string { return "loop " + g[1] + " in " + rangeOf(g[2]) }},
	{expressionOf(`^(?:for|loop|repeat)\s+` + word1 + `\s*(?:=|:=|from|in|von|de)\s*` + value + `\s+(?:to|until|bis|à|a|do|tot)\s+` + value + `(?:\s+(?:step|by|schritt|pas)\s+` + value + `)?$`), func(g []string) string {
		if g[4] != "" {
			return "loop " + g[1] + " in " + g[2] + ".." + g[3] + " by " + g[4]
		}
		return "loop " + g[1] + " in " + g[2] + ".." + g[3]
	}},
	{expressionOf(`^(?:for|foreach|loop|repeat)\s*\(?\s*(?:each\s+|let |var |const )?` + word1 + `\s*(?:in|of|=|:|on|over)\s*` + value + `\)?$`), func(g []string) string {
		values := strings.TrimSuffix(g[2], ")")
		if strings.Count(g[2], "(") == strings.Count(g[2], ")") {
			values = g[2]
		}
		values = stepWord.ReplaceAllString(strings.ReplaceAll(values, "...", ".."), " by ")
		if _, err := strconv.Atoi(values); err == nil {
			values = "1.." + values
		}
		return "loop " + g[1] + " in " + values
	}},
	{expressionOf(`^(?:loop|repeat)\s+(\d+)\s*\.\.\s*(\d+)$`), func(g []string) string {
		from, _ := strconv.Atoi(g[1])
		to, _ := strconv.Atoi(g[2])
		return "loop " + strconv.Itoa(max(0, to-from+1))
	}},
	{expressionOf(`^(?:while)\s*\((.+)\)$`), func(g []string) string { return "loop while " + g[1] }},
	{expressionOf(`^(?:while)\s+` + value + `$`), func(g []string) string { return "loop while " + g[1] }},
	{expressionOf(`^until\s+` + value + `$`), func(g []string) string { return "loop while not (" + g[1] + ")" }},
	{expressionOf(`^unless\s+` + value + `$`), func(g []string) string { return "if not " + bracketed(g[1]) }},
	{expressionOf(`^(?:if|wenn|si)\s*\((.+)\)$`), func(g []string) string { return "if " + g[1] }},
	{expressionOf(`^(?:for|repeat)\s+(\d+)(?:\s+times)?$`), func(g []string) string { return "loop " + g[1] }},
	{expressionOf(`^(\d+)\s+(?:times|mal|fois|veces|razy|keer)$`), func(g []string) string { return "loop " + g[1] }},
	{expressionOf(`^do\s+(\d+)\s+times$`), func(g []string) string { return "loop " + g[1] }},
}

var stepWord = expressionOf(`\s+(?:step|schritt)\s+`)

func bracketed(e string) string {
	if strings.HasPrefix(e, "(") && strings.HasSuffix(e, ")") {
		return e
	}
	return "(" + e + ")"
}

// less is one less than a whole number as it is written.
func less(n string) string {
	if i, err := strconv.Atoi(n); err == nil {
		return strconv.Itoa(i - 1)
	}
	return n + " - 1"
}

// rangeOf is the range that range(a), range(a, b) or range(a, b, step) counts
// through: its end is left out.
func rangeOf(args string) string {
	parts := strings.Split(args, ",")
	for i := range parts {
		parts[i] = strings.TrimSpace(parts[i])
	}
	switch len(parts) {
	case 1:
		return "0.." + less(parts[0])
	case 2:
		return parts[0] + ".." + less(parts[1])
	}
	return parts[0] + ".." + less(parts[1]) + " by " + parts[2]
}

// foreignLoop writes the header of a loop or choice of another language.
func foreignLoop(l *line) []rewrite {
	ws := l.statement()
	if len(ws) == 0 {
		return nil
	}
	// The semicolons of for (…; …; …) are no ends of statements.
	first := l.from
	for first > 0 && l.all[first-1].text == ";" {
		first--
		for first > 0 && l.all[first-1].text != ";" && l.all[first-1].text != "{" && l.all[first-1].text != "}" {
			first--
		}
	}
	if l.all[first].text != "for" {
		first = l.from
	}
	last := first
	depth := 0
	for last < len(l.all) && l.all[last].text != "{" && (l.all[last].text != ";" || depth > 0) {
		switch l.all[last].text {
		case "(":
			depth++
		case ")":
			depth--
		}
		last++
	}
	body := l.all[first:last]
	tail := ""
	for len(body) > 1 && slices.Contains([]string{":", "do", "then"}, body[len(body)-1].text) {
		tail = ":"
		body = body[:len(body)-1]
	}
	if len(body) == 0 {
		return nil
	}
	header := l.source(body)
	for _, f := range loopForms {
		g := f.pattern.FindStringSubmatch(header)
		if g == nil {
			continue
		}
		if text := f.write(g); text != header {
			return []rewrite{{start: body[0].start, end: body[len(body)-1].end, text: text, certain: tail == "", rule: true}}
		}
	}
	return nil
}

var headForms = []form{
	{expressionOf(`^(?:define|procedure|sub|proc|void|def|function|func|fun|funktion|fonction|función|funkcja|functie)\s+` + word1 + `\s*(\(.*\))?\s*(?:->\s*[\pL_]+)?\s*$`), func(g []string) string {
		params := g[2]
		if params == "" {
			params = "()"
		}
		return g[1] + params
	}},
}

var returns = expressionOf(`(?m)\breturn\s+\S`)

// foreignHead writes the head of a definition of another language.
func foreignHead(l *line) []rewrite {
	header, end := l.header()
	ws := l.statement()
	if len(ws) == 0 {
		return nil
	}
	for _, f := range headForms {
		if g := f.pattern.FindStringSubmatch(header); g != nil {
			// It computes if it returns a value before the next definition, and
			// draws otherwise.
			body := l.text[end:]
			if next := definition.FindStringIndex(body); next != nil {
				body = body[:next[0]]
			}
			figure := rewrite{start: ws[0].start, end: end, text: "figure " + f.write(g), rule: true}
			fn := figure
			fn.text = "fn " + f.write(g)
			if returns.MatchString(body) {
				return []rewrite{fn, figure}
			}
			return []rewrite{figure, fn}
		}
	}
	return nil
}

// parameterList finds a figure's or function's head without its brackets.
var bareHead = expressionOf(`^(figure|fn)\s+` + word1 + `((?:[\s,]+[\pL_][\pL\pN_]*)*)$`)

// definitions mends heads of figures and functions, and functions that draw.
func definitions(l *line) []rewrite {
	var out []rewrite
	ws := l.statement()
	if len(ws) < 2 {
		return nil
	}
	header, end := l.header()
	if g := bareHead.FindStringSubmatch(header); g != nil {
		names := strings.FieldsFunc(g[3], func(r rune) bool { return r == ' ' || r == ',' || r == '\t' })
		out = append(out, rewrite{start: ws[0].start, end: end, text: g[1] + " " + g[2] + "(" + strings.Join(names, ", ") + ")", certain: len(names) == 0, rule: true})
	}
	if ws[0].text == "figure" || ws[0].text == "fn" {
		// A number for a parameter's name: the name stands for it in the body.
		for i := 2; i < len(ws); i++ {
			if ws[i].class == number {
				out = append(out, l.replace(ws[i:i+1], "size", false))
				break
			}
		}
	}
	switch l.fault.Code {
	case "draws-in-function", "return-missing", "stylus-in-function":
		// The function around draws, so it is a figure.
		before := l.text[:min(l.fault.Span.End, len(l.text))]
		if all := functionHead.FindAllStringIndex(before, -1); len(all) > 0 {
			at := all[len(all)-1]
			out = append(out, rewrite{start: at[0], end: at[0] + 2, text: "figure", rule: true})
		}
	}
	if l.fault.Code == "return-missing" || l.fault.Code == "value-not-used" || l.fault.Code == "loose-value" || l.fault.Code == "return-values" {
		// fn twice(x) { x * 2 }
		for i, w := range l.all {
			if w.text == "{" && i > 0 && l.all[i-1].text == ")" && l.all[0].text == "fn" && i+1 < len(l.all) && l.all[i+1].text != "return" {
				out = append(out, rewrite{start: l.all[i+1].start, end: l.all[i+1].start, text: "return ", rule: true})
			}
		}
	}
	return out
}

var functionHead = expressionOf(`(?m)\bfn\s+[\pL_][\pL\pN_]*\(`)

var letForms = []form{
	{expressionOf(`^(?:var|const|val|int|float|double|number|string|bool|boolean|auto|dim|local|my|set|put|sei|soit|sea)\s+` + word1 + `\s*(?:=|:=|to|be|auf|as)\s*(.+)$`), func(g []string) string { return "let " + g[1] + " = " + g[2] }},
	{expressionOf(`^` + word1 + `\s*:=\s*(.+)$`), func(g []string) string { return "let " + g[1] + " = " + g[2] }},
	{expressionOf(`^let\s+` + word1 + `\s*:\s*[\pL_]+\s*=\s*(.+)$`), func(g []string) string { return "let " + g[1] + " = " + g[2] }},
	{expressionOf(`^let\s+` + word1 + `\s+(?:be|to|is|equals|as)\s+(.+)$`), func(g []string) string { return "let " + g[1] + " = " + g[2] }},
	{expressionOf(`^` + word1 + `\s*\+\+$`), func(g []string) string { return g[1] + " += 1" }},
	{expressionOf(`^` + word1 + `\s*--$`), func(g []string) string { return g[1] + " -= 1" }},
	{expressionOf(`^(?:call|execute|do|gosub)\s+(.+)$`), func(g []string) string { return g[1] }},
	{expressionOf(`^draw\s+(?:a|an|the)\s+(.+)$`), func(g []string) string { return "draw " + g[1] }},
}

var letList = expressionOf(`^let\s+` + word1 + `\s*=\s*([^,()\[\]]+),\s*` + word1 + `\s*=\s*([^,()\[\]]+)$`)

// lets writes how other languages make and change variables.
func lets(l *line) []rewrite {
	ws := l.statement()
	if len(ws) == 0 {
		return nil
	}
	text := l.source(ws)
	if g := letList.FindStringSubmatch(text); g != nil {
		return []rewrite{l.replace(ws, "let "+g[1]+" = "+g[2]+"; let "+g[3]+" = "+g[4], true)}
	}
	for _, f := range letForms {
		if g := f.pattern.FindStringSubmatch(text); g != nil {
			return []rewrite{l.replace(ws, f.write(g), false)}
		}
	}
	return nil
}
