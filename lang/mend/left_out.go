package mend

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"wend/internal/expression"
)

// leftOut puts in a sign or a word that is missing: the word that the message
// asks for, a quote, a bracket. Where it may stand in several places, each is
// offered, the likeliest first, and what comes of it decides.
func leftOut(l *line) []rewrite {
	switch l.fault.Code {
	case "expected":
		return l.asked()
	case "unclosed-text":
		return l.quoteLeftOut()
	case "extra-bracket", "crossed-brackets":
		return l.openingLeftOut()
	case "unclosed-bracket":
		return l.closingLeftOut()
	case "argument-order":
		return l.endOfCallBefore()
	}
	return nil
}

var wanted = expression.Of("^`([a-z]+|=)`(?: or `[^`]+`)? should come here")

// asked puts in the word that should come here, or in place of another: loop i
// 1..3 { … }, curve t = 0..1 = ….
func (l *line) asked() []rewrite {
	g := wanted.FindStringSubmatch(l.fault.Message)
	if g == nil {
		return nil
	}
	at := min(l.fault.Span.Start, len(l.text))
	return []rewrite{l.inPlace(g[1]), {start: at, end: at, text: g[1] + " ", rule: true}}
}

// quoteLeftOut closes a text before what is no part of it, or opens one where
// only its end is there.
func (l *line) quoteLeftOut() []rewrite {
	text := l.text[l.start:l.end]
	var out []rewrite
	put := func(at int) {
		out = append(out, rewrite{start: l.start + at, end: l.start + at, text: `"`, rule: true})
	}
	inside, opened := false, 0
	for i := 0; i < len(text); i++ {
		switch {
		case inside && text[i] == '\\':
			i++
		case text[i] == '#' && !inside:
			i = len(text)
		case text[i] != '"':
		case inside && begins(text, i):
			l.closings(text, opened, i, put)
			return out
		case inside:
			inside = false
		case begins(text, i):
			inside, opened = true, i
		default: // the end of a text whose beginning is missing
			for k := i - 1; k >= 0; k-- {
				if strings.IndexByte("([,:=", text[k]) >= 0 {
					put(k + 1 + len(text[k+1:]) - len(strings.TrimLeft(text[k+1:], " ")))
				}
				if text[k] == '"' {
					break
				}
			}
			// note hello"
			if first := strings.IndexByte(strings.TrimLeft(text, " \t"), ' '); first > 0 && !strings.ContainsAny(text[:i], `"`) {
				put(indentOf(text) + first + 1)
			}
			return out
		}
	}
	if inside {
		l.closings(text, opened, len(text), put)
	}
	return out
}

// begins reports whether a quote looks like the beginning of a text.
func begins(text string, at int) bool {
	before := strings.TrimRight(text[:at], " \t")
	if before == "" || at+1 == len(text) {
		return before == ""
	}
	next := text[at+1]
	if next == ')' || next == ',' || next == ']' {
		return strings.HasSuffix(text[:at], "(") || strings.HasSuffix(text[:at], " ")
	}
	return len(before) < at || strings.IndexByte("([{,:=", before[len(before)-1]) >= 0
}

// closings are the places between a text's beginning and another offset at which
// it may end.
func (l *line) closings(text string, opened, until int, put func(at int)) {
	inside := text[opened+1 : until]
	for _, end := range []string{")", ", ", " at ", "]", " {", ","} {
		if at := strings.Index(inside, end); at > 0 {
			put(opened + 1 + at)
		}
	}
	put(until)
}

// openingLeftOut puts in the bracket to one that closes nothing: text"Mia"),
// sqrt100), [1, 2], draw curves.circle 20).
func (l *line) openingLeftOut() []rewrite {
	at := l.fault.Span.Start
	if at >= len(l.text) {
		return nil
	}
	bracket := map[byte]string{')': "(", ']': "["}[l.text[at]]
	if bracket == "" {
		return nil
	}
	var out []rewrite
	put := func(at int) { out = append(out, rewrite{start: at, end: at, text: bracket, rule: true}) }
	depth := 0
	for i := len(l.all) - 1; i >= 0; i-- {
		w := l.all[i]
		if w.end > at {
			continue
		}
		switch w.text {
		case ")", "]", "}":
			depth++
		case "(", "[", "{":
			if depth--; depth < 0 {
				return out
			}
		}
		if depth > 0 {
			continue
		}
		if w.class == name {
			for k := len(w.text) - 1; k > 0; k-- { // sqrtx), rowsi]
				if utf8.RuneStart(w.text[k]) && l.known(w.text[:k]) {
					put(w.start + k)
				}
			}
		}
		switch {
		case i == 0:
		case w.class == quote && l.all[i-1].class == name && l.all[i-1].end == w.start: // text"Mia")
			put(w.start)
		case w.class != sign || w.text == "-" || w.text == "[" || w.text == "(":
			if before := l.all[i-1]; before.class == sign && before.text != ")" && before.text != "]" && before.text != "." {
				put(w.start)
			} else if before.class == name && before.end < w.start {
				if l.calls(l.all, i-1) {
					out = append(out, rewrite{start: before.end, end: w.start, text: bracket, rule: true})
				}
				put(w.start)
			}
		}
	}
	return out
}

// known reports whether a word is one of the library, or stands elsewhere in the
// program.
func (l *line) known(word string) bool {
	if l.heads.own[word] || l.Library.Lookup(word) != nil || word == "fn" {
		return true
	}
	for from := 0; ; {
		at := strings.Index(l.text[from:], word)
		if at < 0 {
			return false
		}
		at += from
		before, _ := utf8.DecodeLastRuneInString(l.text[:at])
		behind, _ := utf8.DecodeRuneInString(l.text[at+len(word):])
		if !partOfName(before) && !partOfName(behind) {
			return true
		}
		from = at + len(word)
	}
}

func partOfName(r rune) bool { return r == '_' || unicode.IsLetter(r) || unicode.IsDigit(r) }

// closingLeftOut puts in the bracket to one that is still open, behind any of
// the values that follow it on its line.
func (l *line) closingLeftOut() []rewrite {
	if len(l.fault.Related) == 0 {
		return nil
	}
	opened := l.fault.Related[0].Span.Start
	if opened >= len(l.text) {
		return nil
	}
	bracket := map[byte]string{'(': ")", '[': "]"}[l.text[opened]]
	if bracket == "" {
		return nil
	}
	start, end := lineAround(l.text, opened)
	all := scan(l.text, start, end)
	var out []rewrite
	depth := 0
	for i, w := range all {
		if w.start <= opened {
			continue
		}
		switch w.text {
		case "(", "[", "{":
			depth++
		case ")", "]", "}":
			depth--
		}
		if depth != 0 || w.class == sign && w.text != ")" && w.text != "]" {
			continue
		}
		if i+1 < len(all) && (all[i+1].text == "(" || all[i+1].text == "[") && all[i+1].start == w.end || i+1 < len(all) && all[i+1].text == ":" {
			continue
		}
		out = append(out, rewrite{start: w.end, end: w.end, text: bracket, rule: true})
	}
	if len(all) > 0 && all[len(all)-1].text == "," {
		// The call was to end before the comma of the line.
		last := all[len(all)-1]
		out = append([]rewrite{{start: last.start, end: last.start, text: bracket, rule: true}}, out...)
	}
	return out
}

// endOfCallBefore ends a call before the comma behind which an argument without
// a name follows one that has a name.
func (l *line) endOfCallBefore() []rewrite {
	before := strings.TrimRight(l.text[:min(l.fault.Span.Start, len(l.text))], " \t\r\n")
	if !strings.HasSuffix(before, ",") {
		return nil
	}
	at := len(before) - 1
	return []rewrite{{start: at, end: at, text: ")", rule: true}}
}
