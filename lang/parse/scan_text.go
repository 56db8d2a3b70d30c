package parse

import (
	"strconv"
	"strings"
	"unicode/utf8"

	"wend/lang/diag"
)

func (s *scanner) mark() mark { return mark{s.at, len(s.tokens), len(s.comments), len(s.list)} }

// rewind forgets all that was read since a mark.
func (s *scanner) rewind(m mark) {
	s.at, s.tokens, s.comments = m.at, s.tokens[:m.tokens], s.comments[:m.comments]
	s.forget(m.faults)
	s.inserts = s.inserts[:0]
}

// scanText reads a text from its opening quote to its closing one, or to the
// first insert in it.
func (s *scanner) scanText() {
	m := s.mark()
	s.sign(kindTextOpen, 1)
	s.scanTextRest(m)
}

// scanTextRest goes on inside a text that was opened at a mark.
func (s *scanner) scanTextRest(opened mark) {
	start := s.at
	part := func() {
		if s.at > start {
			s.emit(kindTextPart, start, s.at)
			s.checkHidden(start, s.at)
		}
	}
	for s.at < len(s.text) {
		switch c := s.text[s.at]; {
		case c == '"':
			part()
			s.sign(kindTextClose, 1)
			return
		case c == '{' && s.at >= s.plainBefore:
			part()
			s.inserts = append(s.inserts, insert{mark: opened, open: s.at})
			s.sign(kindInsertOpen, 1)
			return
		case c == '\\':
			s.scanEscape()
		case c == '\n' || c == '\r':
			s.endOfLineInText(opened)
			return
		default:
			s.at++
		}
	}
	s.endOfLineInText(opened)
}

func (s *scanner) scanEscape() {
	start := s.at
	s.at++
	switch s.peek(0) {
	case 'n', '"', '\\', '{':
		s.at++
	case 'u':
		s.at++
		s.scanCodePoint(start)
	case '\n', '\r', 0:
		// The line ends here: the missing quote is the fault to report.
	default:
		_, size := utf8.DecodeRuneInString(s.text[s.at:])
		s.at += size
		span := s.span(start, s.at)
		s.add(rankGrammar, diag.New("unknown-escape", span, diag.Args{"found": span.Text()}).
			WithEdit(s.span(start, start+1), `\\`, false))
	}
}

// scanCodePoint reads the {…} of \u{…}.
func (s *scanner) scanCodePoint(start int) {
	end := s.at
	if s.peek(0) == '{' {
		end++
		for end < len(s.text) && strings.IndexByte("0123456789abcdefABCDEF", s.text[end]) >= 0 {
			end++
		}
		if end < len(s.text) && s.text[end] == '}' {
			digits := s.text[s.at+1 : end]
			s.at = end + 1
			if _, ok := codePoint(digits); ok {
				return
			}
			end++
		} else if i := strings.IndexAny(s.text[end:], "}\"\n\r"); i >= 0 && s.text[end+i] == '}' {
			end += i + 1
		}
	}
	s.at = end
	span := s.span(start, end)
	s.add(rankGrammar, diag.New("faulty-code-point", span, diag.Args{"found": span.Text()}))
}

// codePoint is the character that hexadecimal digits name, if there is one.
func codePoint(digits string) (rune, bool) {
	n, err := strconv.ParseUint(digits, 16, 32)
	if err != nil || n > utf8.MaxRune || !utf8.ValidRune(rune(n)) {
		return 0, false
	}
	return rune(n), true
}

// endOfLineInText decides what is missing when a line ends inside a text.
func (s *scanner) endOfLineInText(opened mark) {
	if len(s.inserts) > 0 {
		s.endOfLineInInsert()
		return
	}
	s.swallowLine(opened)
}

// endOfLineInInsert decides what is missing when a line ends inside an insert:
// with an even number of quotes it is the closing brace, else a quote.
func (s *scanner) endOfLineInInsert() {
	outer := s.inserts[0]
	end := s.lineEnd(outer.mark.at)
	if quotes(s.text[outer.mark.at:end])%2 != 0 {
		s.swallowLine(outer.mark)
		return
	}
	s.rewind(outer.mark)
	s.plainBefore = end
	s.add(rankText, diag.New("unclosed-insert", s.span(outer.open, outer.open+1), nil).
		WithEdit(s.span(outer.open, outer.open), `\`, false))
	s.taintNext = true
	s.scanText()
}

func quotes(text string) int {
	n := 0
	for i := 0; i < len(text); i++ {
		switch text[i] {
		case '\\':
			i++
		case '"':
			n++
		}
	}
	return n
}

// swallowLine takes the rest of a line as the text that was opened at a mark
// and never closed. Brackets in it that have no partner in it still count, or
// a missing quote would look like a missing bracket too.
func (s *scanner) swallowLine(opened mark) {
	s.rewind(opened)
	start, end := s.at, s.lineEnd(s.at)
	inside := s.text[start+1 : end]
	quote := s.span(start, start+1)
	if i := strings.IndexAny(inside, "“”„"); i >= 0 {
		_, size := utf8.DecodeRuneInString(inside[i:])
		s.add(rankText, diag.New("curly-quotes", s.span(start+1+i, start+1+i+size), nil).
			WithEdit(s.span(start+1+i, start+1+i+size), `"`, false).WithRelated(quote, "the text begins here"))
	} else {
		s.add(rankText, diag.New("unclosed-text", quote, nil).
			WithEdit(s.span(end, end), `"`, false))
	}
	s.taintNext = true
	s.sign(kindTextOpen, 1)
	s.emit(kindTextPart, start+1, end)
	s.emit(kindTextClose, end, end)
	s.at = end
	for _, k := range unpaired(inside) {
		s.tokens = append(s.tokens, token{kind: k, tainted: true, virtual: true, start: int32(end), end: int32(end)})
	}
}

// unpaired are the brackets of a text that have no partner in it.
func unpaired(text string) []kind {
	var open []kind
	for i := 0; i < len(text); i++ {
		k := kindEOF
		switch text[i] {
		case '(':
			k = kindGroupOpen
		case '[':
			k = kindListOpen
		case '{':
			k = kindBlockOpen
		case ')':
			k = kindGroupClose
		case ']':
			k = kindListClose
		case '}':
			k = kindBlockClose
		default:
			continue
		}
		if n := len(open); k.closes() && n > 0 && open[n-1].opens() && open[n-1].closer() == k {
			open = open[:n-1]
		} else {
			open = append(open, k)
		}
	}
	return open
}

// unescape gives the text that a plain part of a text literal stands for.
// Escapes that were reported as faulty stay as they are.
func unescape(raw string) string {
	i := strings.IndexByte(raw, '\\')
	if i < 0 {
		return raw
	}
	var b strings.Builder
	for ; i >= 0; i = strings.IndexByte(raw, '\\') {
		b.WriteString(raw[:i])
		raw = raw[i:]
		switch {
		case strings.HasPrefix(raw, `\n`):
			b.WriteByte('\n')
			raw = raw[2:]
		case len(raw) > 1 && strings.IndexByte(`"\{`, raw[1]) >= 0:
			b.WriteByte(raw[1])
			raw = raw[2:]
		case strings.HasPrefix(raw, `\u{`):
			digits, rest, _ := strings.Cut(raw[3:], "}")
			if r, ok := codePoint(digits); ok {
				b.WriteRune(r)
				raw = rest
				continue
			}
			fallthrough
		default:
			b.WriteByte('\\')
			raw = raw[1:]
		}
	}
	b.WriteString(raw)
	return b.String()
}
