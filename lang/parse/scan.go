package parse

import (
	"unicode"
	"unicode/utf8"

	"wend/lang/ast"
	"wend/lang/diag"
	"wend/lang/source"
)

// scanner cuts a text into tokens, newlines included. It never stops: what it
// cannot read becomes a fault, and the token that was most likely meant.
type scanner struct {
	faults
	text     string
	at       int
	tokens   []token
	comments []ast.Comment

	// inserts are the texts whose { } inserts the scanner is inside of,
	// outermost first.
	inserts []insert
	// plainBefore is an offset: in texts before it, { is an ordinary
	// character, since an insert on that line was found to have no end.
	plainBefore int
	taintNext   bool
	// deep is how many brackets are open, roughly: none is matched yet.
	deep int
	// over is why reading stopped, if a limit was passed.
	over *diag.Diagnostic
	// noCommentEnd is set once no */ is left in the text.
	noCommentEnd bool
}

// insert is a { } in a text that is not closed yet.
type insert struct {
	mark   mark // the state at the opening quote of the text
	braces int  // { of blocks open inside the insert
	open   int  // offset of its {
}

// mark is a state to which the scanner can go back.
type mark struct{ at, tokens, comments, faults int }

func scan(src *source.File) *scanner {
	s := &scanner{faults: faults{src: src}, text: src.Text}
	s.tokens = make([]token, 0, len(src.Text)/3+8)
	if len(s.text) >= 3 && s.text[:3] == "\uFEFF" {
		s.at = 3 // a byte order mark at the very start is harmless
	}
	for s.at < len(s.text) {
		s.scanToken()
	}
	for len(s.inserts) > 0 {
		s.endOfLineInInsert()
		for s.at < len(s.text) {
			s.scanToken()
		}
	}
	s.emit(kindNewline, len(s.text), len(s.text))
	return s
}

// maxTokens and maxOpen bound what a text can cost, whatever it holds: so many
// words and signs take half a gigabyte until the line is drawn, and so many
// brackets inside one another were never written by hand. They act while the
// text is read.
const (
	maxTokens = 1_000_000
	maxOpen   = 10_000
)

// stop ends the reading of a text that passes a limit.
func (s *scanner) stop(start, end int) {
	d := diag.New("text-too-long", s.span(start, end), diag.Args{"limit": maxTokens})
	if s.deep > maxOpen {
		d = diag.New("nested-too-deep", s.span(start, end), diag.Args{"limit": maxNesting})
	}
	s.over = &d
	s.text = s.text[:end]
}

func (s *scanner) emit(k kind, start, end int) {
	s.tokens = append(s.tokens, token{kind: k, start: int32(start), end: int32(end), tainted: s.taintNext})
	switch {
	case k.opens():
		s.deep++
	case k.closes():
		s.deep = max(0, s.deep-1)
	}
	if s.over == nil && (len(s.tokens) > maxTokens || s.deep > maxOpen) {
		s.stop(start, end)
	}
	s.taintNext = false
}

func (s *scanner) peek(ahead int) byte {
	if s.at+ahead < len(s.text) {
		return s.text[s.at+ahead]
	}
	return 0
}

// sign emits a token of n bytes and steps over it.
func (s *scanner) sign(k kind, n int) {
	s.emit(k, s.at, s.at+n)
	s.at += n
}

// glued reports whether the character here touches a name, a text, ), ] or }, so
// that a bracket means a call or an index.
func (s *scanner) glued() bool {
	if len(s.tokens) == 0 {
		return false
	}
	last := s.tokens[len(s.tokens)-1]
	if int(last.end) != s.at {
		return false
	}
	switch last.kind {
	case kindName, kindTextClose, kindGroupClose, kindListClose, kindBlockClose:
		return true
	}
	return last.kind.keyword() && len(s.tokens) > 1 && s.tokens[len(s.tokens)-2].kind == kindDot // a field's name
}

func (s *scanner) scanToken() {
	c := s.text[s.at]
	switch {
	case c == ' ' || c == '\t':
		s.at++
	case c == '\n' || c == '\r':
		if len(s.inserts) > 0 {
			s.endOfLineInInsert()
			return
		}
		n := 1
		if c == '\r' && s.peek(1) == '\n' {
			n = 2
		}
		s.sign(kindNewline, n)
	case c == '_' || 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z':
		s.scanName()
	case '0' <= c && c <= '9':
		s.scanNumber()
	case c == '"':
		s.scanText()
	case c == '#':
		s.scanComment(1)
	case c < utf8.RuneSelf:
		s.scanSign(c)
	default:
		s.scanWide()
	}
}

func (s *scanner) scanName() {
	start := s.at
	s.at = s.nameEnd(s.at)
	word := s.text[start:s.at]
	k, keyword := keywords[word]
	if !keyword {
		k = kindName
	}
	s.emit(k, start, s.at)
}

// nameEnd is where the run of name characters from an offset ends.
func (s *scanner) nameEnd(at int) int {
	for at < len(s.text) {
		c := s.text[at]
		if c < utf8.RuneSelf {
			if !continuesName(rune(c)) {
				break
			}
			at++
			continue
		}
		r, size := utf8.DecodeRuneInString(s.text[at:])
		if !continuesName(r) {
			break
		}
		at += size
	}
	return at
}

func (s *scanner) scanComment(signLength int) {
	start := s.at
	s.at = s.lineEnd(s.at + signLength)
	s.comments = append(s.comments, ast.Comment{Spanned: ast.Spanned{Span: s.span(start, s.at)}})
	s.checkHidden(start, s.at)
}

// lineEnd is the offset of the line break at or after an offset, or the end.
func (s *scanner) lineEnd(at int) int {
	for at < len(s.text) && s.text[at] != '\n' && s.text[at] != '\r' {
		at++
	}
	return at
}

func (s *scanner) scanSign(c byte) {
	next := s.peek(1)
	switch c {
	case '(':
		if s.glued() {
			s.sign(kindCallOpen, 1)
		} else {
			s.sign(kindGroupOpen, 1)
		}
	case ')':
		s.sign(kindGroupClose, 1)
	case '[':
		if s.glued() {
			s.sign(kindIndexOpen, 1)
		} else {
			s.sign(kindListOpen, 1)
		}
	case ']':
		s.sign(kindListClose, 1)
	case '{':
		if n := len(s.inserts); n > 0 {
			s.inserts[n-1].braces++
		}
		if s.recordFollows() {
			s.sign(kindRecordOpen, 1)
			return
		}
		s.sign(kindBlockOpen, 1)
	case '}':
		if n := len(s.inserts); n > 0 {
			if s.inserts[n-1].braces == 0 {
				s.sign(kindInsertClose, 1)
				in := s.inserts[n-1]
				s.inserts = s.inserts[:n-1]
				s.scanTextRest(in.mark)
				return
			}
			s.inserts[n-1].braces--
		}
		s.sign(kindBlockClose, 1)
	case ',':
		s.sign(kindComma, 1)
	case ':':
		if next == '=' {
			s.foreign(kindAssign, 2, "=")
			return
		}
		s.sign(kindColon, 1)
	case ';':
		s.sign(kindSemicolon, 1)
	case '.':
		switch {
		case next == '.' && s.peek(2) == '.':
			s.foreign(kindRange, 3, "..")
		case next == '.':
			s.sign(kindRange, 2)
		case '0' <= next && next <= '9':
			s.scanPointNumber()
		default:
			s.sign(kindDot, 1)
		}
	case '+':
		s.scanAdditive(kindPlus, '+', next)
	case '-':
		if next == '>' {
			s.arrow()
			return
		}
		s.scanAdditive(kindMinus, '-', next)
	case '*':
		switch next {
		case '*':
			s.foreign(kindCaret, 2, "^")
		case '=':
			s.sign(kindChange, 2)
		default:
			s.sign(kindStar, 1)
		}
	case '/':
		switch next {
		case '/':
			s.foreignComment()
		case '*':
			s.foreignBlockComment()
		case '=':
			s.sign(kindChange, 2)
		default:
			s.sign(kindSlash, 1)
		}
	case '^':
		s.sign(kindCaret, 1)
	case '=':
		switch {
		case next == '=' && s.peek(2) == '=':
			s.foreign(kindEqual, 3, "==")
		case next == '=':
			s.sign(kindEqual, 2)
		case next == '<':
			s.foreign(kindLessEqual, 2, "<=")
		case next == '>':
			s.arrow()
		default:
			s.sign(kindAssign, 1)
		}
	case '<':
		switch next {
		case '=':
			s.sign(kindLessEqual, 2)
		case '>':
			s.foreign(kindNotEqual, 2, "!=")
		default:
			s.sign(kindLess, 1)
		}
	case '>':
		if next == '=' {
			s.sign(kindGreaterEqual, 2)
			return
		}
		s.sign(kindGreater, 1)
	case '!':
		switch {
		case next == '=' && s.peek(2) == '=':
			s.foreign(kindNotEqual, 3, "!=")
		case next == '=':
			s.sign(kindNotEqual, 2)
		default:
			s.foreign(kindNot, 1, "not")
		}
	case '&', '|':
		k, word := kindAnd, "and"
		if c == '|' {
			k, word = kindOr, "or"
		}
		n := 1
		if next == c {
			n = 2
		}
		s.foreign(k, n, word)
	case '%':
		s.percent()
	case '\'':
		s.foreignText("'", "'")
	case '`':
		s.foreignText("`", "`")
	default:
		if unicode.IsControl(rune(c)) {
			s.hidden(rune(c), 1)
			return
		}
		s.stray(1)
	}
}

func (s *scanner) scanAdditive(k kind, c, next byte) {
	switch {
	case next == '=':
		s.sign(kindChange, 2)
	case next == c && c == '+' && s.targetBefore() != "":
		s.stepSign()
	default:
		s.sign(k, 1)
	}
}

// scanWide reads what does not begin with an ASCII character.
func (s *scanner) scanWide() {
	r, size := utf8.DecodeRuneInString(s.text[s.at:])
	switch {
	case r == utf8.RuneError && size == 1:
		s.notUTF8()
	case startsName(r):
		s.scanName()
	default:
		s.foreignRune(r, size)
	}
}

func (s *scanner) stray(size int) {
	char := s.text[s.at : s.at+size]
	if !s.echo(rankBracket, s.at) {
		s.add(rankBracket, diag.New("stray-character", s.span(s.at, s.at+size), diag.Args{"char": char}))
	}
	s.at += size
	s.taint()
}

// taint marks the tokens next to a fault, so that what follows from it stays
// unsaid.
func (s *scanner) taint() {
	if n := len(s.tokens); n > 0 && s.tokens[n-1].kind != kindNewline {
		s.tokens[n-1].tainted = true
		return
	}
	s.taintNext = true
}
