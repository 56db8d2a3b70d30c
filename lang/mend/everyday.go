package mend

import (
	"strings"

	"wend/lang/diag"
	"wend/lang/words"
)

// everyday puts an everyday word or phrase that begins a statement into wend's.
func everyday(l *line) []rewrite {
	ws := l.statement()
	if len(ws) == 0 || ws[0].class != name || l.heads.own[ws[0].text] {
		return nil
	}
	if l.heads.library[ws[0].text] && len(ws) < 2 {
		return nil
	}
	for n := min(len(ws), words.LongestPhrase); n > 0; n-- {
		phrase := phraseOf(ws[:n])
		m := words.Statement(phrase)
		if first, rest, ok := strings.Cut(phrase, " "); ok && m == nil && leading[strings.ToLower(first)] {
			m = words.Statement(rest) // please draw a circle, move forwards
		}
		if m == nil || n == 1 && (l.heads.library[phrase] || phrase == "draw") {
			continue
		}
		rest := ws[n:]
		// What follows a phrase may be a filler: go forward *by* 50, turn left *for* 90.
		for len(rest) > 1 && fillers[strings.ToLower(rest[0].text)] {
			rest = rest[1:]
		}
		var at string
		for i, w := range rest {
			if w.class == name && w.text == "at" {
				at, rest = " at "+l.source(rest[i+1:]), rest[:i]
				break
			}
		}
		r := rewrite{start: ws[0].start, end: ws[len(ws)-1].end, rule: true, everyday: phrase, said: ws[0].start, why: m.Why, thing: m.Thing}
		switch {
		case m.Lifts && l.lifted(&r):
			return []rewrite{r}
		case m.Write == "":
			r.start, r.end = l.withoutLine(ws)
			return []rewrite{r}
		case strings.HasSuffix(m.Write, "{"):
			if !l.block() {
				return nil
			}
			args := l.source(rest)
			if inner, ok := unwrapped(rest, "(", ")"); ok {
				args = l.source(inner)
			}
			for _, w := range rest { // repeat 4 times
				if w.class == name && (fillers[w.text] || w.text == "times" || w.text == "mal" || w.text == "fois" || w.text == "veces" || w.text == "razy" || w.text == "keer") {
					args = strings.TrimSpace(strings.Replace(args, w.text, "", 1))
				}
			}
			if args == "" && strings.Contains(m.Write, "$1") {
				args = "4"
			}
			r.text = strings.TrimSuffix(strings.TrimSpace(strings.TrimSuffix(strings.Replace(m.Write, "$1", args, 1), "{")), " ")
			r.certain = m.Certain && len(rest) > 0
		default:
			args := l.arguments(rest)
			if len(args) > m.Takes() && m.Write != "note $1" {
				continue // there is more than this says
			}
			if len(args) > 1 && m.Write == "note $1" {
				args = []string{l.source(rest)}
			}
			r.text, r.certain = m.Fill(args)
			if at != "" {
				if !strings.HasPrefix(r.text, "draw ") {
					continue
				}
				r.text += at
			}
			if quoteless := len(rest) > 0 && (strings.HasPrefix(m.Write, "note") || strings.HasPrefix(m.Write, "draw text")) && rest[0].class == name && l.plainWords(rest); quoteless {
				text, _ := m.Fill([]string{`"` + l.source(rest) + `"`})
				alone := r
				alone.text, alone.certain = text, false
				r.now, _, _ = strings.Cut(r.text, " ")
				alone.now = r.now
				return []rewrite{r, alone}
			}
		}
		if !m.None {
			r.now, _, _ = strings.Cut(r.text, " ")
			if first, _, ok := strings.Cut(phrase, " "); ok && first == r.now {
				r.now = r.text // turn right is turn -90, not turn
			}
		}
		return []rewrite{r}
	}
	return nil
}

// misspeltEveryday reads an everyday word with a letter wrong, where no word of
// wend or of the program is near: forwrd 50.
func misspeltEveryday(l *line) []rewrite {
	ws := l.statement()
	if l.followed || l.fault.Code != "unknown-word" || len(l.fault.Edits) > 0 || len(ws) == 0 || ws[0].start != l.fault.Span.Start || len(ws[0].text) < 5 {
		return nil
	}
	near := diag.Nearest(strings.ToLower(ws[0].text), words.Single(), 1)
	if len(near) == 0 {
		return nil
	}
	m := words.Statement(near[0])
	if m.Write == "" || strings.HasSuffix(m.Write, "{") || len(l.arguments(ws[1:])) > m.Takes() {
		return nil
	}
	text, _ := m.Fill(l.arguments(ws[1:]))
	now, _, _ := strings.Cut(text, " ")
	r := l.replace(ws, text, false)
	r.everyday, r.now, r.why, r.thing = near[0], now, m.Why, m.Thing
	if m.None {
		r.now = ""
	}
	return []rewrite{r}
}

// plainWords reports whether there are only names.
func (l *line) plainWords(ws []word) bool {
	for _, w := range ws {
		if w.class != name {
			return false
		}
	}
	return true
}

var fillers = map[string]bool{"by": true, "for": true, "of": true, "with": true, "about": true, "um": true, "von": true, "mit": true, "de": true, "con": true, "o": true, "met": true, "a": true, "the": true, "to": true, "size": true, "radius": true}

// leading are words that may stand before an everyday word and add nothing.
var leading = map[string]bool{"please": true, "now": true, "then": true, "first": true, "go": true, "move": true, "make": true, "do": true, "just": true, "bitte": true, "jetzt": true, "dann": true, "gehe": true, "geh": true, "maintenant": true, "va": true, "ahora": true, "ve": true, "teraz": true, "nu": true, "ga": true}

// withoutLine is the stretch to take out so that a statement is gone: the whole
// line if nothing else stands on it.
func (l *line) withoutLine(ws []word) (start, end int) {
	if len(ws) == len(l.all) {
		if end := min(l.end+1, len(l.text)); end > l.end || l.start == 0 {
			return l.start, end
		}
		return l.start - 1, l.end
	}
	start, end = ws[0].start, ws[len(ws)-1].end
	if l.to < len(l.all) && l.all[l.to].text == ";" {
		end = l.all[l.to].end
	}
	return start, end
}

// numberWords puts number words into digits.
func numberWords(l *line) []rewrite {
	var out []rewrite
	ws := l.statement()
	for i, w := range ws {
		if i > 0 && i+1 < len(ws) && w.class == name && ws[i+1].class == name {
			if n, ok := words.NumberOf(w.text, ws[i+1].text); ok && !l.heads.own[w.text] { // twenty five
				out = append(out, l.replace(ws[i:i+2], n, true))
				continue
			}
		}
		if n, ok := words.Number(w.text); ok && w.class == name && i > 0 && !l.heads.own[w.text] {
			out = append(out, rewrite{start: w.start, end: w.end, text: n, certain: true, rule: true})
		}
	}
	return out
}

// foreignValue puts words for values into wend's.
func foreignValue(l *line) []rewrite {
	var out []rewrite
	ws := l.statement()
	for i := range ws {
		if ws[i].class != name || l.heads.own[ws[i].text] {
			continue
		}
		taken := ws[i : i+1]
		if i+2 < len(ws) && ws[i+1].text == "." {
			taken = ws[i : i+3]
		}
		v, ok := words.Value(l.source(taken))
		if !ok && len(taken) == 3 {
			taken = ws[i : i+1]
			v, ok = words.Value(ws[i].text)
		}
		if ok && v != "" && i > 0 && (ws[i-1].text != "." || len(taken) == 3) {
			out = append(out, l.replace(taken, v, false))
		}
		// math.sqrt(…) is sqrt(…)
		if len(taken) == 1 && strings.EqualFold(ws[i].text, "math") && i+2 < len(ws) && ws[i+1].text == "." {
			out = append(out, rewrite{start: ws[i].start, end: ws[i+2].end, text: strings.ToLower(ws[i+2].text), certain: true, rule: true})
		}
	}
	return out
}
