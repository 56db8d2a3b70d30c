package mend

import (
	"slices"
	"strconv"
	"strings"

	"wend/internal/expression"
	"wend/lang/words"
)

// calls writes calls as wend does: with their brackets, under their name.
func calls(l *line) []rewrite {
	var out []rewrite
	ws := l.statement()
	for i := 0; i < len(ws); i++ {
		w := ws[i]
		if w.class != name {
			continue
		}
		next := word{}
		if i+1 < len(ws) {
			next = ws[i+1]
		}
		glued := next.text == "(" && next.start == w.end
		afterDot := i > 0 && ws[i-1].text == "."
		if to, ok := words.Function(w.text); ok && !afterDot && !l.heads.own[w.text] && l.Library.Lookup(w.text) == nil && i > 0 {
			if shut := l.closing(ws, i+1); glued && shut > 0 {
				inner := l.source(ws[i+2 : shut])
				if strings.HasPrefix(to, ".") || strings.HasPrefix(to, "[") {
					out = append(out, rewrite{start: w.start, end: ws[shut].end, text: inner + to, certain: true, rule: true})
				} else if to != w.text && to != "^" {
					out = append(out, l.replace(ws[i:i+1], to, false))
				}
			}
		}
		// A name that a theme of the library has: rose(…) is curves.rose(…).
		if !afterDot && l.Library.Lookup(w.text) == nil && !l.heads.own[w.text] {
			for _, theme := range l.Library.Modules {
				if slices.Contains(l.Members(theme), w.text) {
					r := l.replace(ws[i:i+1], theme+"."+w.text, true)
					if i == 0 {
						r.text = "draw " + r.text
					}
					out = append(out, r)
				}
			}
		}
		// sqrt 16, text "Mia", curves.circle 20: brackets around what follows.
		if next.class != sign && i+1 < len(ws) && next.start > w.end && l.calls(ws, i) {
			until := len(ws)
			for k := i + 1; k < len(ws); k++ {
				if ws[k].text == "at" || ws[k].text == "," && i > 0 && !slices.Contains([]string{"draw", "text", "let"}, ws[0].text) && ws[1].text != "=" {
					until = k
					break
				}
			}
			if until > i+1 {
				r := rewrite{start: w.end, end: ws[until-1].end, text: "(" + strings.Join(l.arguments(ws[i+1:until]), ", ") + ")", certain: true, rule: true}
				out = append(out, r)
				if short := i + 2; short < until {
					out = append(out, rewrite{start: w.end, end: ws[i+1].end, text: "(" + ws[i+1].text + ")", rule: true})
				}
			}
		}
		// draw circle, with the size left out.
		if ws[0].text == "draw" && (i == len(ws)-1 || next.text == "at") && i > 0 {
			if l.calls(ws, i) || afterDot && i > 1 && slices.Contains(l.Library.Modules, ws[i-2].text) {
				out = append(out, rewrite{start: w.end, end: w.end, text: "(20)", rule: true})
			}
			if l.heads.own[w.text] {
				out = append(out, rewrite{start: w.end, end: w.end, text: "()", rule: true})
			}
		}
	}
	return out
}

// calls reports whether word i is the name of a function or figure.
func (l *line) calls(ws []word, i int) bool {
	if i >= 2 && ws[i-1].text == "." && slices.Contains(l.Library.Modules, ws[i-2].text) {
		return slices.Contains(l.Members(ws[i-2].text), ws[i].text)
	}
	if b := l.Library.Lookup(ws[i].text); b != nil {
		return !b.Value && !l.heads.library[ws[i].text]
	}
	return l.heads.own[ws[i].text] && i > 0
}

// closing is the index of the bracket that closes the one at i, or -1.
func (l *line) closing(ws []word, i int) int {
	depth := 0
	for k := i; k < len(ws); k++ {
		switch ws[k].text {
		case "(", "[", "{":
			depth++
		case ")", "]", "}":
			depth--
			if depth == 0 {
				return k
			}
		}
	}
	return -1
}

// methods writes what other languages write after a dot.
func methods(l *line) []rewrite {
	var out []rewrite
	ws := l.statement()
	for i := 2; i < len(ws); i++ {
		if ws[i-1].text != "." || ws[i].class != name {
			continue
		}
		glued := i+1 < len(ws) && ws[i+1].text == "("
		shut := -1
		if glued {
			shut = l.closing(ws, i+1)
		}
		if words.Appends(ws[i].text) && shut == len(ws)-1 && shut > i+2 {
			target, item := l.source(ws[:i-1]), l.source(ws[i+2:shut])
			out = append(out, l.replace(ws, target+" += ["+item+"]", true))
		}
		if to, ok := words.Function(ws[i].text); ok && strings.HasPrefix(to, ".") && to != "."+ws[i].text {
			end := ws[i].end
			if shut == i+2 {
				end = ws[shut].end
			}
			out = append(out, rewrite{start: ws[i-1].start, end: end, text: to, certain: true, rule: true})
		}
		// xs.sort() alone: it gives a new list.
		if l.fault.Code == "value-not-used" && shut == len(ws)-1 && i == 2 {
			out = append(out, l.replace(ws, ws[0].text+" = "+l.source(ws), true))
		}
	}
	// xs += 3 of a list.
	if l.fault.Code == "list-plus" || l.fault.Code == "operator-kinds" {
		if g := appended.FindStringSubmatch(l.source(ws)); g != nil {
			out = append(out, l.replace(ws, g[1]+" "+g[2]+" ["+g[3]+"]", false))
		}
	}
	// xs(2) of a list, w(3) of a number.
	if l.fault.Code == "not-a-function" {
		for i, w := range ws {
			if w.class == name && i+1 < len(ws) && ws[i+1].text == "(" && ws[i+1].start == w.end && w.start >= l.fault.Span.Start && w.start <= l.fault.Span.End {
				if shut := l.closing(ws, i+1); shut > 0 {
					inner := l.source(ws[i+2 : shut])
					index := rewrite{start: w.end, end: ws[shut].end, text: "[" + inner + "]", rule: true}
					times := rewrite{start: w.end, end: ws[shut].end, text: " * " + inner, rule: true}
					if _, err := strconv.ParseFloat(inner, 64); err != nil && strings.ContainsAny(inner, " +-") {
						times.text = " * (" + inner + ")"
					}
					out = append(out, index, times)
				}
			}
		}
	}
	return out
}

var appended = expression.Of(`^([\pL_][\pL\pN_]*)\s*(\+=)\s*([^\[].*)$`)

var (
	arrow    = expression.Of(`\(?\b([\pL_][\pL\pN_]*(?:\s*,\s*[\pL_][\pL\pN_]*)*)\)?\s*[=-]>\s*`)
	lambda   = expression.Of(`\blambda\s+([\pL_][\pL\pN_]*(?:\s*,\s*[\pL_][\pL\pN_]*)*)\s*:\s*`)
	ternary  = expression.Of(`^((?:let\s+)?[\pL_][\pL\pN_]*\s*=\s*|[\pL_][\pL\pN_]*\s+)?(.+?)\s*\?\s*(.+?)\s*:\s*(.+)$`)
	textArg  = expression.Of(`^(note\s+)\(?"([^"]*)"\s*,\s*([^,()]+?)\)?$`)
	slashes  = expression.Of(`/\*\s*(.*?)\s*\*/`)
	imports  = expression.Of(`^(?:import|from|include|require|using)\b.*$`)
	triple   = expression.Of(`===`)
	bang     = expression.Of(`!\s*([\pL_(])`)
	isWord   = expression.Of(`\s+(?:is|equals|ist)\s+(not\s+)?`)
	power    = expression.Of(`\s*\*\*\s*`)
	arrowGE  = expression.Of(`=>`)
	arrowLE  = expression.Of(`=<`)
	modulo   = expression.Of(`([\pL_][\pL\pN_]*|\d+(?:\.\d+)?|\([^()]*\))\s*%\s*([\pL_][\pL\pN_]*|\d+(?:\.\d+)?|\([^()]*\))`)
	stepZero = expression.Of(`\bby\s+0\b`)
)

// signsOfArithmetic are signs that are written by hand and in print.
var signsOfArithmetic = strings.NewReplacer("×", "*", "·", "*", "÷", "/", "≥", ">=", "≤", "<=", "≠", "!=", "−", "-", "²", "^2", "³", "^3", "√", "sqrt")

// between finds x or : between two numbers.
var between = expression.Of(`(\d)\s*(x|X|:)\s*(\d)`)

// quotes and the rest of what is written within a value elsewhere.
func quotes(l *line) []rewrite {
	var out []rewrite
	ws := l.statement()
	if len(ws) == 0 {
		return nil
	}
	text := l.source(ws)
	whole := func(to string, certain bool) {
		if to != text {
			out = append(out, l.replace(ws, to, certain))
		}
	}
	if g := textArg.FindStringSubmatch(text); g != nil {
		whole(g[1]+`"`+g[2]+"{"+g[3]+`}"`, false)
	}
	if lambda.MatchString(text) {
		whole(lambda.ReplaceAllString(text, "fn($1) = "), true)
	}
	condition := ws[0].text == "if" || ws[0].text == "loop" || ws[0].text == "while" || ws[0].text == "else"
	if !condition && arrow.MatchString(text) {
		whole(arrow.ReplaceAllString(text, "fn($1) = "), true)
	}
	if condition {
		whole(arrowGE.ReplaceAllString(text, ">="), true)
		whole(arrowLE.ReplaceAllString(text, "<="), true)
		whole(isWord.ReplaceAllStringFunc(text, func(s string) string {
			if strings.Contains(s, "not") {
				return " != "
			}
			return " == "
		}), false)
	}
	whole(triple.ReplaceAllString(text, "=="), true)
	whole(power.ReplaceAllString(text, " ^ "), true)
	if strings.Contains(text, "!") && !strings.Contains(text, "!=") {
		whole(bang.ReplaceAllString(text, "not $1"), true)
	}
	whole(modulo.ReplaceAllString(text, "mod($1, $2)"), true)
	if g := ternary.FindStringSubmatch(text); g != nil && strings.Contains(text, "?") {
		whole(g[1]+"if "+g[2]+" { "+g[3]+" } else { "+g[4]+" }", true)
	}
	used := len(ws) > 1 && ws[0].text == "use" && len(l.Members(ws[1].text)) > 0 && (len(ws) == 2 || len(ws) == 4 && ws[3].text == ws[1].text)
	if imports.MatchString(text) && ws[0].text != "use" || used { // use curves, use curves as curves
		start, end := l.withoutLine(ws)
		out = append(out, rewrite{start: start, end: end, rule: true, why: "the library's themes are always there"})
	}
	if strings.Contains(l.text[l.start:l.end], "/*") {
		first, last := l.start, l.end
		out = append(out, rewrite{start: first, end: last, text: slashes.ReplaceAllString(l.text[first:last], "# $1"), certain: true, rule: true})
	}
	// text(Mia), text(hello there)
	for i := 0; i+1 < len(ws); i++ {
		if shut := l.closing(ws, i+1); ws[i].text == "text" && ws[i+1].text == "(" && shut > i+2 && l.plainWords(ws[i+2:shut]) && (shut > i+3 || l.fault.Code == "unknown-name") {
			out = append(out, l.replace(ws[i+2:shut], `"`+l.source(ws[i+2:shut])+`"`, false))
		}
	}
	if l.fault.Code == "unknown-name" && ws[0].text == "note" && len(ws) > 1 && l.plainWords(ws[1:]) {
		out = append(out, l.replace(ws[1:], `"`+l.source(ws[1:])+`"`, false))
	}
	// f"hello {x}"
	for i := 0; i+1 < len(ws); i++ {
		if ws[i+1].class == quote && ws[i].end == ws[i+1].start && ws[i].class == name && len(ws[i].text) <= 2 {
			out = append(out, rewrite{start: ws[i].start, end: ws[i].end, certain: true, rule: true})
		}
	}
	whole(signsOfArithmetic.Replace(text), true)
	if g := between.FindStringSubmatchIndex(text); g != nil && l.fault.Code != "unknown-name" {
		sign := " * "
		if text[g[4]:g[5]] == ":" {
			sign = " / "
		}
		whole(text[:g[3]]+sign+text[g[6]:], false)
	}
	// A number in quotes where a number is wanted.
	switch l.fault.Code {
	case "draw-kind", "wrong-kind", "compare-kinds", "operator-kinds", "loop-values", "argument-kind", "text-plus":
		for i, w := range ws {
			if w.class == quote && len(w.text) > 2 && l.fault.Code != "text-plus" {
				inner := strings.Trim(w.text, `"'`)
				if _, err := strconv.ParseFloat(inner, 64); err == nil {
					out = append(out, l.replace(ws[i:i+1], inner, false))
				}
			}
		}
		if ws[0].text == "draw" && len(ws) > 1 && (ws[1].class == quote || ws[1].class == number && len(ws) == 2) {
			if ws[1].class == quote {
				out = append(out, rewrite{start: ws[1].start, end: ws[len(ws)-1].end, text: "text(" + l.source(ws[1:]) + ")", rule: true})
			} else {
				out = append(out, l.replace(ws[:1], "ahead", false))
			}
		}
	}
	return out
}

// usual are arguments that stand for missing ones.
var usual = map[string][]string{
	"ahead": {"20"}, "turn": {"90"}, "face": {"90"}, "arc": {"20", "90"}, "reach": {"70", "50"}, "shift": {"20", "0"}, "sneak": {"70", "50"},
	"begin": {"page.center"}, "note": {`"hello"`}, "pause": {`"go on?"`}, "seed": {"1"},
}

// missing gives a word the arguments that it lacks.
func missing(l *line) []rewrite {
	ws := l.statement()
	if len(ws) == 0 {
		return nil
	}
	switch l.fault.Code {
	case "missing-argument", "no-such-form", "missing-value", "wrong-kind":
	default:
		return nil
	}
	args := usual[ws[0].text]
	given := l.arguments(ws[1:])
	if l.fault.Code == "wrong-kind" && (len(ws) != 2 || ws[1].class != number) {
		return nil // reach 90: one number where a point is wanted
	}
	if len(args) == 0 || len(given) >= len(args) {
		return nil
	}
	all := append(slices.Clone(given), args[len(given):]...)
	return []rewrite{l.replace(ws, ws[0].text+" "+strings.Join(all, ", "), false)}
}

// surplus takes away arguments that are too many.
func surplus(l *line) []rewrite {
	ws := l.statement()
	var out []rewrite
	switch l.fault.Code {
	case "too-many-arguments", "no-such-form":
		first, last := l.fault.Span.Start, l.fault.Span.End
		for i, w := range ws {
			if w.start >= first && i > 0 && ws[i-1].text == "," && w.start <= last {
				out = append(out, rewrite{start: ws[i-1].start, end: max(last, w.end), rule: true})
				break
			}
		}
	}
	// One word that nothing is known of, behind a whole statement.
	if n := len(ws); n > 2 && l.heads.library[ws[0].text] && ws[n-1].class == name && (ws[n-2].class == number || ws[n-3].class == number && ws[n-3].end == ws[n-2].start) && ws[n-2].end < ws[n-1].start {
		out = append(out, rewrite{start: ws[n-2].end, end: ws[n-1].end, rule: true})
	}
	if stepZero.MatchString(l.text[l.start:l.end]) {
		at := stepZero.FindStringIndex(l.text[l.start:l.end])
		out = append(out, rewrite{start: l.start + at[0], end: l.start + at[1], text: "by 1", rule: true})
	}
	return out
}
