package mend

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"wend/internal/expression"
	"wend/lang/words"
)

// misfits are values of one kind where another is wanted: what was meant is
// often plain from the two.
func misfits(l *line) []rewrite {
	ws := l.statement()
	if len(ws) == 0 {
		return nil
	}
	switch l.fault.Code {
	case "wrong-kind":
		return l.wrongKind(ws)
	case "not-a-condition":
		return l.condition()
	case "no-items":
		return l.pointPart()
	case "unknown-argument":
		return l.argumentName(ws)
	case "missing-argument":
		return l.lacking(ws)
	case "too-many-arguments", "no-such-form":
		return l.listed(ws)
	case "stray-comma":
		return l.placed(ws)
	case "unclosed-bracket":
		return l.closedBeforeAt(ws)
	}
	return nil
}

// wrongKind takes the word that the value of a statement would go with: to a
// point one reaches, a path is drawn. A record with an x and a y is no point,
// but its parts are coordinates.
func (l *line) wrongKind(ws []word) []rewrite {
	var out []rewrite
	if l.heads.library[ws[0].text] && len(ws) > 1 {
		for _, head := range []string{"reach", "draw"} {
			if head != ws[0].text && (head == "reach" || ws[0].text == "ahead" || ws[0].text == "follow") {
				out = append(out, l.replace(ws[:1], head, false))
			}
		}
	}
	span := l.fault.Span
	if span.End > len(l.text) {
		return out
	}
	out = append(out, l.swapped(ws)...)
	value := l.text[span.Start:span.End]
	if !plainValue.MatchString(value) {
		return out
	}
	pair := value + ".x, " + value + ".y"
	if span.Start > 0 && slices.Contains([]string{"reach", "begin", "sneak", "shift"}, ws[0].text) && len(ws) > 1 && ws[1].start == span.Start {
		out = append(out, rewrite{start: span.Start, end: span.End, text: pair, rule: true})
	} else {
		out = append(out, rewrite{start: span.Start, end: span.End, text: "(" + pair + ")", rule: true})
	}
	return out
}

// swapped gives the two arguments of a call the other way round.
func (l *line) swapped(ws []word) []rewrite {
	for i := len(ws) - 2; i >= 0; i-- {
		if ws[i].class != name || ws[i+1].text != "(" || ws[i].end != ws[i+1].start {
			continue
		}
		shut := l.closing(ws, i+1)
		if shut < i+4 || l.fault.Span.Start < ws[i+1].end || l.fault.Span.End > ws[shut].start {
			continue
		}
		if args := l.arguments(ws[i+2 : shut]); len(args) == 2 {
			return []rewrite{l.replace(ws[i+2:shut], args[1]+", "+args[0], false)}
		}
		return nil
	}
	return nil
}

var plainValue = expression.Of(`^[\pL_][\pL\pN_]*(?:\[[^\[\]]*\]|\.[\pL_][\pL\pN_]*)*$`)

// condition makes a condition of what counts as one elsewhere: a number that is
// not 0, a text or a list that holds something.
func (l *line) condition() []rewrite {
	span := l.fault.Span
	if span.End > len(l.text) {
		return nil
	}
	value := l.text[span.Start:span.End]
	write := func(text string) rewrite {
		return rewrite{start: span.Start, end: span.End, text: text, rule: true}
	}
	if n, err := strconv.ParseFloat(value, 64); err == nil {
		return []rewrite{write(strconv.FormatBool(n != 0))}
	}
	return []rewrite{write(value + " != 0"), write(value + ` != ""`), write(value + ".length > 0")}
}

var partOf = expression.Of(`^\s*\[\s*([012])\s*\]`)

// pointPart is p.x for p[1].
func (l *line) pointPart() []rewrite {
	at := min(l.fault.Span.End, len(l.text))
	g := partOf.FindStringSubmatchIndex(l.text[at:l.end])
	if g == nil {
		return nil
	}
	parts := []string{".x", ".y"}
	if l.text[at+g[2]:at+g[3]] == "2" {
		parts = parts[1:]
	}
	var out []rewrite
	for _, p := range parts {
		out = append(out, rewrite{start: at, end: at + g[1], text: p, rule: true})
		if l.text[at+g[2]:at+g[3]] != "1" {
			break
		}
	}
	return out[:1]
}

// argumentName puts the name of a parameter in place of an everyday one, or
// takes the name away.
func (l *line) argumentName(ws []word) []rewrite {
	for i, w := range ws {
		if w.start != l.fault.Span.Start || i+1 == len(ws) || ws[i+1].text != ":" {
			continue
		}
		var out []rewrite
		for _, name := range words.Parameters(w.text) {
			out = append(out, l.replace(ws[i:i+1], name, false))
		}
		if i+2 < len(ws) {
			out = append(out, rewrite{start: w.start, end: ws[i+2].start, rule: true})
		}
		return out
	}
	return nil
}

// lacking gives a call with brackets one more argument; 20 stands for it.
func (l *line) lacking(ws []word) []rewrite {
	for i := 1; i+1 < len(ws); i++ {
		if ws[i].class != name || ws[i].end != l.fault.Span.End || ws[i+1].text != "(" || ws[i+1].start != ws[i].end {
			continue
		}
		if shut := l.closing(ws, i+1); shut == i+2 {
			return []rewrite{{start: ws[shut].start, end: ws[shut].start, text: "20", rule: true}}
		} else if shut > 0 {
			return []rewrite{{start: ws[shut].start, end: ws[shut].start, text: ", 20", rule: true}}
		}
	}
	return nil
}

// listed makes one list of arguments that are too many, or that are too many
// behind the first.
func (l *line) listed(ws []word) []rewrite {
	var out []rewrite
	if l.heads.library[ws[0].text] && len(ws) > 1 {
		if args := l.arguments(ws[1:]); len(args) > 1 {
			out = append(out, l.replace(ws[1:], "["+strings.Join(args, ", ")+"]", false))
		}
	}
	for i := 0; i+1 < len(ws); i++ {
		if ws[i].class != name || ws[i+1].text != "(" || ws[i].end != ws[i+1].start {
			continue
		}
		shut := l.closing(ws, i+1)
		if shut < i+3 || l.fault.Span.Start < ws[i].start || l.fault.Span.Start > ws[shut].end {
			continue
		}
		if args := l.arguments(ws[i+2 : shut]); len(args) > 1 {
			out = append(out, l.replace(ws[i+2:shut], "["+strings.Join(args, ", ")+"]", false))
		}
	}
	return out
}

// placed writes `at` for a comma, `in` or `on` before the place of a path.
func (l *line) placed(ws []word) []rewrite {
	if ws[0].text != "draw" {
		return nil
	}
	for i := len(ws) - 2; i > 1; i-- {
		if ws[i].text == "," && ws[i].start >= l.fault.Span.Start && ws[i].start <= l.fault.Span.End {
			at := ws[i+1:]
			place := l.source(at)
			if args := l.arguments(at); len(args) == 2 {
				place = "(" + args[0] + ", " + args[1] + ")"
			}
			return []rewrite{{start: ws[i-1].end, end: at[len(at)-1].end, text: " at " + place, rule: true}}
		}
	}
	return nil
}

// closedBeforeAt puts a round bracket that is missing before the `at` of a
// drawing.
func (l *line) closedBeforeAt(ws []word) []rewrite {
	if ws[0].text != "draw" {
		return nil
	}
	for i := 1; i < len(ws); i++ {
		if ws[i].text == "at" {
			return []rewrite{{start: ws[i-1].end, end: ws[i-1].end, text: ")", rule: true}}
		}
	}
	return nil
}

// unfed gives a figure or function of the program the arguments that it lacks;
// 20 stands for each.
func unfed(l *line) []rewrite {
	if l.fault.Code != "missing-argument" {
		return nil
	}
	ws := l.statement()
	if len(ws) == 0 || !l.heads.own[ws[0].text] || l.fault.Span.Start > ws[0].end {
		return nil
	}
	head := regexp.MustCompile(`\b(?:figure|fn)\s+` + regexp.QuoteMeta(ws[0].text) + `\(([^()]*)\)`).FindStringSubmatch(l.text)
	if head == nil {
		return nil
	}
	given := ws[1:]
	inner, glued := unwrapped(given, "(", ")")
	if glued {
		given = inner
	}
	args := l.arguments(given)
	for i, p := range strings.Split(head[1], ",") {
		if i >= len(args) && !strings.Contains(p, "=") {
			args = append(args, "20")
		}
	}
	text := ws[0].text + " " + strings.Join(args, ", ")
	if glued {
		text = ws[0].text + "(" + strings.Join(args, ", ") + ")"
	}
	return []rewrite{l.replace(ws, text, false)}
}
