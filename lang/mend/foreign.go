package mend

import (
	"slices"
	"strconv"
	"strings"

	"wend/internal/expression"
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

const word1 = `([\pL_][\pL\pN_]*)`

var returns = expression.Of(`(?m)\breturn\s+\S`)

// parameterList finds a figure's or function's head without its brackets.
var bareHead = expression.Of(`^(figure|fn)\s+` + word1 + `((?:[\s,]+[\pL_][\pL\pN_]*)*)$`)

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

var functionHead = expression.Of(`(?m)\bfn\s+[\pL_][\pL\pN_]*\(`)

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

// less is one less than a whole number as it is written.
func less(n string) string {
	if i, err := strconv.Atoi(n); err == nil {
		return strconv.Itoa(i - 1)
	}
	return n + " - 1"
}
