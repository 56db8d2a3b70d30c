package parse

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"wend/lang/diag"
)

// foreign reads a sign of n bytes that other notations use for what wend
// writes as wanted.
func (s *scanner) foreign(k kind, n int, wanted string) {
	span := s.span(s.at, s.at+n)
	text := wanted
	if isWord := wanted[0] >= 'a' && wanted[0] <= 'z'; isWord {
		if s.at > 0 && s.text[s.at-1] != ' ' && wanted != "not" {
			text = " " + text
		}
		if s.peek(n) != ' ' {
			text += " "
		}
	}
	s.add(rankGrammar, diag.New("foreign-sign", span, diag.Args{"found": span.Text(), "wanted": wanted}).
		WithEdit(span, text, true))
	s.sign(k, n)
}

// arrow reads => or ->: elsewhere it stands between the parameters of a
// function and its value, and => may be a slip for >=.
func (s *scanner) arrow() {
	switch {
	case s.afterParams():
		s.foreign(kindAssign, 2, "=")
	case len(s.tokens) > 0 && s.tokens[len(s.tokens)-1].kind == kindGroupClose:
		s.add(rankGrammar, diag.New("foreign-sign", s.span(s.at, s.at+2), diag.Args{"found": s.text[s.at : s.at+2], "wanted": "="}).
			WithHint("a function that is a value is written `fn(t) = …`"))
		s.taint()
		s.sign(kindAssign, 2)
	default:
		s.foreign(kindGreaterEqual, 2, ">=")
	}
}

// afterParams reports whether the token before is the bracket that closes the
// parameters of a fn.
func (s *scanner) afterParams() bool {
	depth := 0
	const farthest = 200 // tokens
	for i := len(s.tokens) - 1; i >= max(0, len(s.tokens)-farthest); i-- {
		switch s.tokens[i].kind {
		case kindGroupClose:
			depth++
		case kindGroupOpen, kindCallOpen:
			depth--
		case kindNewline:
			return false
		}
		if depth == 0 {
			return i > 0 && s.tokens[i].kind != kindName && (s.tokens[i-1].kind == kindFn ||
				i > 1 && s.tokens[i-1].kind == kindName && s.tokens[i-2].kind == kindFn)
		}
	}
	return false
}

// stepSign reads `++` behind a name or an item.
func (s *scanner) stepSign() {
	span := s.span(s.at, s.at+2)
	gap := " "
	if s.at > 0 && s.text[s.at-1] == ' ' {
		gap = ""
	}
	s.add(rankGrammar, diag.New("step-sign", span, diag.Args{"found": "++"}).WithEdit(span, gap+"+= 1", true))
	s.sign(kindChange, 2)
}

// targetBefore is the name or item on this line before the sign here, if
// nothing else is.
func (s *scanner) targetBefore() string {
	const longest = 100 // bytes; longer ones are better not repeated
	start := s.at
	for start > 0 && s.at-start <= longest && strings.IndexByte("\n\r;{}", s.text[start-1]) < 0 {
		start--
	}
	target := strings.TrimSpace(s.text[start:s.at])
	if len(target) >= longest || strings.ContainsAny(target, " \t()\"#") {
		return ""
	}
	return target
}

func (s *scanner) percent() {
	s.add(rankGrammar, diag.New("percent-sign", s.span(s.at, s.at+1), nil))
	s.at++
	s.taint()
	s.taintNext = true
}

func (s *scanner) foreignComment() {
	start := s.at
	s.at = s.lineEnd(s.at)
	s.add(rankGrammar, diag.New("foreign-comment", s.span(start, start+2), diag.Args{"found": "//"}).
		WithEdit(s.span(start, start+2), "#", true))
}

func (s *scanner) foreignBlockComment() {
	start := s.at
	line := s.lineEnd(start)
	end := line
	if !s.noCommentEnd {
		length := strings.Index(s.text[start:], "*/")
		end = start + length + 2
		if s.noCommentEnd = length < 0; s.noCommentEnd {
			end = line
		}
	}
	s.at = end
	d := diag.New("foreign-comment", s.span(start, start+2), diag.Args{"found": "/*"})
	if end <= line && strings.TrimSpace(s.text[end:line]) == "" {
		inside := strings.TrimSuffix(s.text[start+2:end], "*/")
		d = d.WithEdit(s.span(start, end), "#"+strings.TrimRight(inside, " "), true)
	}
	s.add(rankGrammar, d)
	if end > line {
		s.emit(kindNewline, end, end)
	}
}

// foreignText reads a text in quotes that are not wend's. If it has no end on
// the line, its opening quote is a stray character.
func (s *scanner) foreignText(open, closers string) {
	start := s.at
	inner := start + len(open)
	length := strings.IndexAny(s.text[inner:], closers+"\n\r")
	if length < 0 || s.text[inner+length] == '\n' || s.text[inner+length] == '\r' {
		s.stray(len(open))
		return
	}
	closeAt := inner + length
	_, size := utf8.DecodeRuneInString(s.text[closeAt:])
	end := closeAt + size
	code := diag.Code("curly-quotes")
	if open == "'" || open == "`" {
		code = "single-quotes"
	}
	meant := strings.NewReplacer(`"`, `\"`, `{`, `\{`).Replace(s.text[inner:closeAt])
	s.add(rankText, diag.New(code, s.span(start, inner), nil).WithEdit(s.span(start, end), `"`+meant+`"`, true))
	s.emit(kindTextOpen, start, inner)
	if closeAt > inner {
		s.emit(kindTextPart, inner, closeAt)
	}
	s.emit(kindTextClose, closeAt, end)
	s.at = end
}

func (s *scanner) notUTF8() {
	start := s.at
	for s.at < len(s.text) {
		r, size := utf8.DecodeRuneInString(s.text[s.at:])
		if r != utf8.RuneError || size != 1 {
			break
		}
		s.at++
	}
	s.add(rankBracket, diag.New("not-text", s.span(start, s.at), nil))
	s.taint()
}

// lookalikes are characters that people's keyboards and word processors put in
// place of a sign.
var lookalikes = map[rune]struct {
	kind   kind
	wanted string
}{
	'−': {kindMinus, "-"}, '–': {kindMinus, "-"}, '—': {kindMinus, "-"},
	'×': {kindStar, "*"}, '·': {kindStar, "*"}, '⋅': {kindStar, "*"}, '∗': {kindStar, "*"}, '÷': {kindSlash, "/"},
	'≤': {kindLessEqual, "<="}, '≥': {kindGreaterEqual, ">="}, '≠': {kindNotEqual, "!="}, '…': {kindRange, ".."},
	'，': {kindComma, ","}, '：': {kindColon, ":"}, '；': {kindSemicolon, ";"}, '＝': {kindAssign, "="},
	'（': {kindGroupOpen, "("}, '）': {kindGroupClose, ")"}, '［': {kindListOpen, "["}, '］': {kindListClose, "]"},
	'｛': {kindBlockOpen, "{"}, '｝': {kindBlockClose, "}"}, '＋': {kindPlus, "+"}, '－': {kindMinus, "-"},
	'→': {kindAssign, "="}, '⇒': {kindAssign, "="}, '¬': {kindNot, "not"}, '∧': {kindAnd, "and"}, '∨': {kindOr, "or"},
}

// foreignRune reads a character beyond ASCII that is not part of a name.
func (s *scanner) foreignRune(r rune, size int) {
	span := s.span(s.at, s.at+size)
	switch {
	case strings.ContainsRune("“”„‟«»", r):
		s.foreignText(span.Text(), "“”„‟«»\"")
	case strings.ContainsRune("‘’‚‛", r):
		s.foreignText(span.Text(), "‘’‚‛'")
	case unicode.Is(unicode.Zs, r) || r == '\u2028' || r == '\u2029' || r == '\u0085':
		s.add(rankGrammar, diag.New("odd-space", span, diag.Args{"code": codeName(r)}).WithEdit(span, " ", true))
		s.at += size
	case unicode.Is(unicode.Cf, r) || unicode.IsControl(r):
		s.hidden(r, size)
	case r == '°':
		d := diag.New("foreign-sign", span, diag.Args{"found": "°", "wanted": "deg"})
		if n := len(s.tokens); n > 0 && s.tokens[n-1].kind == kindNumber && int(s.tokens[n-1].end) == s.at {
			d = d.WithEdit(span, "deg", true)
		}
		s.add(rankGrammar, d)
		s.at += size
		s.taint()
	default:
		if like, ok := lookalikes[r]; ok {
			// An opening bracket is glued or not whatever its shape.
			k := like.kind
			if k == kindGroupOpen && s.glued() {
				k = kindCallOpen
			} else if k == kindListOpen && s.glued() {
				k = kindIndexOpen
			}
			s.foreign(k, size, like.wanted)
			return
		}
		s.stray(size)
	}
}

func (s *scanner) hidden(r rune, size int) {
	span := s.span(s.at, s.at+size)
	s.add(rankBracket, diag.New("hidden-character", span, diag.Args{"code": codeName(r)}).WithEdit(span, "", true))
	s.at += size
	s.taint()
	s.taintNext = true
}

// checkHidden looks through a comment or a text for what a reader cannot see:
// characters that reorder what is shown (Unicode TR 36 and UTS 55), and bytes
// that are no characters.
func (s *scanner) checkHidden(start, end int) {
	for i := start; i < end; {
		if s.text[i] < utf8.RuneSelf {
			i++
			continue
		}
		r, size := utf8.DecodeRuneInString(s.text[i:])
		span := s.span(i, i+size)
		switch {
		case r == utf8.RuneError && size == 1:
			s.add(rankBracket, diag.New("not-text", span, nil))
			return
		case r >= '\u202A' && r <= '\u202E' || r >= '\u2066' && r <= '\u2069':
			s.add(rankBracket, diag.New("hidden-character", span, diag.Args{"code": codeName(r)}).WithEdit(span, "", true))
		}
		i += size
	}
}

func codeName(r rune) string {
	const digits = "0123456789ABCDEF"
	out := []byte{}
	for shift := 20; shift >= 0; shift -= 4 {
		d := r >> shift & 15
		if d != 0 || len(out) > 0 || shift <= 12 {
			out = append(out, digits[d])
		}
	}
	return "U+" + string(out)
}
