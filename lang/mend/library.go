package mend

import (
	"regexp"
	"slices"
	"strings"

	"wend/internal/expression"
	"wend/lang/diag"
	"wend/lang/types"
	"wend/lang/words"
)

// library mends calls of the library that are nearly right: a range where two
// numbers are wanted, a plain value where a function is, a choice without its
// quotes.
func library(l *line) []rewrite {
	ws := l.statement()
	if len(ws) == 0 {
		return nil
	}
	switch l.fault.Code {
	case "wrong-kind":
		return slices.Concat(l.asText(), l.unpacked(ws), l.packed(ws), l.keyed(ws), l.meantFunction(ws))
	case "no-measure":
		return l.measured()
	case "unknown-name":
		return slices.Concat(l.quotedChoice(ws), l.asFunction(ws))
	case "unknown-member":
		return l.shapeOf(ws)
	case "stray-comma":
		return l.pair(ws)
	case "side-by-side":
		return slices.Concat(l.place(ws), l.smallWords(ws))
	case "keyword-as-value":
		return l.smallWords(ws)
	}
	return l.choiceNear(ws)
}

// call is a call around a place of a statement: its name and its arguments.
type call struct {
	name       word
	open, shut int // its brackets
}

// callAround is the innermost call that holds an offset.
func (l *line) callAround(ws []word, at int) (c call, ok bool) {
	for i := len(ws) - 2; i >= 0; i-- {
		if ws[i].class == name && ws[i+1].text == "(" && ws[i].end == ws[i+1].start && ws[i].start <= at {
			if shut := l.closing(ws, i+1); shut > 0 && at < ws[shut].end {
				return call{ws[i], i + 1, shut}, true
			}
		}
	}
	return call{}, false
}

// faulty is the text that the fault is about.
func (l *line) faulty() string {
	return l.text[min(l.fault.Span.Start, len(l.text)):min(l.fault.Span.End, len(l.text))]
}

// inPlace is a rewrite of that text.
func (l *line) inPlace(text string) rewrite {
	return rewrite{start: l.fault.Span.Start, end: min(l.fault.Span.End, len(l.text)), text: text, rule: true}
}

// unpacked gives the ends of a range, or the items of a list, one by one:
// random(3..9), max([1, 2]).
func (l *line) unpacked(ws []word) []rewrite {
	value := l.faulty()
	if _, ok := l.callAround(ws, l.fault.Span.Start); !ok {
		return nil
	}
	if from, to, ok := strings.Cut(value, ".."); ok && !strings.ContainsAny(value, "()[]") {
		return []rewrite{l.inPlace(strings.TrimSpace(from) + ", " + strings.TrimSpace(to))}
	}
	if n := len(value); n > 2 && (value[0] == '[' && value[n-1] == ']' || value[0] == '(' && value[n-1] == ')') {
		return []rewrite{l.inPlace(value[1 : n-1])}
	}
	return nil
}

// asText makes a text of a value where one is wanted: text(2031).
func (l *line) asText() []rewrite {
	if !strings.Contains(l.fault.Message, "needs a text") {
		return nil
	}
	value := l.faulty()
	if strings.Trim(value, "0123456789.") == "" {
		return []rewrite{l.inPlace(`"` + value + `"`)}
	}
	if strings.ContainsAny(value, `"{}`) {
		return nil
	}
	return []rewrite{l.inPlace(`"{` + value + `}"`)}
}

// packed makes one list of what is given one by one: weave(a, b).
func (l *line) packed(ws []word) []rewrite {
	c, ok := l.callAround(ws, l.fault.Span.Start)
	if !ok {
		return nil
	}
	args := ws[c.open+1 : c.shut]
	var out []rewrite
	if all := l.arguments(args); len(all) > 1 && !slices.ContainsFunc(all, func(a string) bool { return named.MatchString(a) }) {
		out = append(out, l.replace(args, "["+strings.Join(all, ", ")+"]", false))
	}
	return append(out, l.inPlace("["+l.faulty()+"]"))
}

var named = expression.Of(`^[\pL_][\pL\pN_]*\s*:`)

// keyed makes a function of the name of a field: sort(trees, "height").
func (l *line) keyed(ws []word) []rewrite {
	value := l.faulty()
	if field := strings.Trim(value, `"`); field != value && identifier.MatchString(field) && strings.Contains(l.fault.Message, "a function") {
		return []rewrite{l.inPlace("fn(item) = item." + field)}
	}
	return nil
}

var identifier = expression.Of(`^[\pL_][\pL\pN_]*$`)

// meantFunction puts one function of the library in place of another that
// people take it for: to fill a shape is to hatch it.
func (l *line) meantFunction(ws []word) []rewrite {
	c, ok := l.callAround(ws, l.fault.Span.Start)
	if !ok {
		return nil
	}
	var out []rewrite
	for _, other := range words.TakenFor(c.name.text) {
		out = append(out, rewrite{start: c.name.start, end: c.name.end, text: other, rule: true})
	}
	return out
}

// measured asks a box for what only a box has: p.width is p.bounds.width.
func (l *line) measured() []rewrite {
	measure := l.faulty()
	at := l.fault.Span.Start
	if at == 0 || l.text[at-1] != '.' {
		return nil
	}
	var out []rewrite
	for _, to := range words.Measure(measure) {
		if strings.HasPrefix(to, "[") {
			out = append(out, rewrite{start: at - 1, end: l.fault.Span.End, text: to, rule: true})
			continue
		}
		out = append(out, l.inPlace(to))
	}
	if b := l.Library.Lookup(measure); b != nil && !b.Value { // p.area
		out = append(out, l.inPlace(measure+"()"))
	}
	return out
}

// quotedChoice gives a choice its quotes: font: brook.
func (l *line) quotedChoice(ws []word) []rewrite {
	for i := 1; i < len(ws); i++ {
		if ws[i].start == l.fault.Span.Start && (ws[i-1].text == ":" || ws[i-1].text == "(" && i > 1 && ws[i-2].text == "text") {
			return []rewrite{l.replace(ws[i:i+1], `"`+ws[i].text+`"`, false)}
		}
	}
	return nil
}

// asFunction makes a function of a value with a name that is nothing's: an item
// of the list is meant by it, as in xs.map(x * 2).
func (l *line) asFunction(ws []word) []rewrite {
	c, ok := l.callAround(ws, l.fault.Span.Start)
	if !ok {
		return nil
	}
	b := l.Library.Lookup(c.name.text)
	if b == nil || !slices.ContainsFunc(b.Forms, func(f types.Form) bool {
		return slices.ContainsFunc(f.Params, func(p types.Param) bool { return p.Kinds&types.Function != 0 })
	}) {
		return nil
	}
	item := l.faulty()
	start, depth := c.open+1, 0
	for i := c.open + 1; i < c.shut; i++ {
		switch ws[i].text {
		case "(", "[", "{":
			depth++
		case ")", "]", "}":
			depth--
		case ",":
			if depth == 0 && ws[i].end <= l.fault.Span.Start {
				start = i + 1
			}
		case "fn":
			return nil
		}
	}
	return []rewrite{{start: ws[start].start, end: ws[start].start, text: "fn(" + item + ") = ", rule: true}}
}

// shapeOf writes a shape that a theme does not have under its own name.
func (l *line) shapeOf(ws []word) []rewrite {
	for i := 2; i+1 < len(ws); i++ {
		if ws[i].start != l.fault.Span.Start || ws[i+1].text != "(" {
			continue
		}
		if to, ok := words.Shape(ws[i].text); ok {
			return []rewrite{{start: ws[i].start, end: ws[i+1].end, text: to, rule: true}}
		}
	}
	return nil
}

// pair puts round brackets around two coordinates: curve t in 0..1 = t, 2 * t.
func (l *line) pair(ws []word) []rewrite {
	from, to := -1, len(ws)
	for i, w := range ws {
		switch {
		case w.text == "=" && w.start < l.fault.Span.Start:
			from = i + 1
		case w.text == "at" && w.start > l.fault.Span.Start:
			to = min(to, i)
		}
	}
	if from < 1 || from >= to {
		return nil
	}
	if args := l.arguments(ws[from:to]); len(args) == 2 {
		return []rewrite{l.replace(ws[from:to], "("+args[0]+", "+args[1]+")", false)}
	}
	return nil
}

// place writes `at` for another word before the place of a drawing: draw p on q.
func (l *line) place(ws []word) []rewrite {
	if ws[0].text != "draw" {
		return nil
	}
	for i := 2; i+1 < len(ws); i++ {
		if words.Places(ws[i].text) && ws[i-1].end < ws[i].start {
			return []rewrite{l.replace(ws[i:i+1], "at", false)}
		}
	}
	return nil
}

// smallWords takes away words of a sentence between a word and its value: begin
// in the middle.
func (l *line) smallWords(ws []word) []rewrite {
	if !l.heads.library[ws[0].text] {
		return nil
	}
	k := 1
	for k < len(ws) && ws[k].class == name && (words.Places(ws[k].text) || fillers[ws[k].text] || adding[ws[k].text]) {
		k++
	}
	if k == 1 || k == len(ws) {
		return nil
	}
	return []rewrite{{start: ws[1].start, end: ws[k].start, rule: true}}
}

// hidden gives a variable another name that hides a word of the library which
// the program needs: let turn = 72, turn turn.
func hidden(l *line) []rewrite {
	word := l.faulty()
	if l.fault.Code != "not-a-function" || l.Library.Lookup(word) == nil || !regexp.MustCompile(`\blet\s+`+regexp.QuoteMeta(word)+`\b`).MatchString(l.text) {
		return nil
	}
	var out strings.Builder
	at := 0
	for start := 0; start < len(l.text); {
		_, end := lineAround(l.text, start)
		ws := scan(l.text, start, end)
		for i, w := range ws {
			begins := i == 0 || slices.Contains([]string{";", "{", "}"}, ws[i-1].text)
			called := i+1 < len(ws) && ws[i+1].text == "(" && ws[i+1].start == w.end
			if w.class != name || w.text != word || called || i > 0 && ws[i-1].text == "." || begins && (i+1 >= len(ws) || ws[i+1].text != "=") {
				continue
			}
			out.WriteString(l.text[at:w.start] + word + "1")
			at = w.end
		}
		start = end + 1
	}
	out.WriteString(l.text[at:])
	return []rewrite{{start: 0, end: len(l.text), text: out.String(), rule: true, hint: "`" + word + "` is a word of wend too: give the variable another name, such as `" + word + "1`"}}
}

var choices = expression.Of("(?:does not know|there is no font) `([^`]+)`")

// choiceNear is the choice that is nearest to one that is not known.
func (l *line) choiceNear(ws []word) []rewrite {
	g := choices.FindStringSubmatch(l.fault.Message)
	if g == nil {
		return nil
	}
	var known []string
	for _, m := range quotedWord.FindAllStringSubmatch(l.fault.Hint, -1) {
		known = append(known, m[1])
	}
	near := diag.Nearest(g[1], known, 1)
	if len(near) == 0 {
		return nil
	}
	best := near[0]
	for _, w := range ws {
		if w.class == quote && w.text == `"`+g[1]+`"` {
			return []rewrite{{start: w.start, end: w.end, text: `"` + best + `"`, rule: true}}
		}
	}
	return nil
}

var quotedWord = expression.Of("`([^`]+)`")
