package parse

import (
	"strings"

	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"

	"wend/lang/ast"
	"wend/lang/diag"
	"wend/lang/source"
)

// maxNesting bounds brackets, blocks and prefix signs inside one another, and
// maxHeight the length of a chain such as a + b + c + …: whoever walks the
// tree later may recurse.
const (
	maxNesting = 250
	maxHeight  = 5000
)

// session is the reading of one file.
type session struct {
	*reading
	g  *grammar
	at int // index of the next token

	// What participle reads: the tokens from peekFrom up to peekEnd, at or
	// before the next token when a statement begins.
	peek              *lexer.PeekingLexer
	peekFrom, peekEnd int

	stmt        int           // index of the statement's first token
	faulty      bool          // the statement was reported
	before      int           // index of the first token of the statement before, or -1
	beforeFault bool          // that one was reported
	inCond      bool          // inside a condition, where = is a slip for ==
	misused     map[kind]bool // keywords that were taken for names somewhere
	nesting     int
	height      int // of the expression read last
}

func (s *session) kind() kind { return s.tokens[s.at].kind }

func (s *session) kindAt(i int) kind {
	if i < len(s.tokens) {
		return s.tokens[i].kind
	}
	return kindEOF
}

func (s *session) text(i int) string { return tokenText(s.src.Text, s.tokens[i]) }

func (s *session) tokenSpan(i int) source.Span {
	return s.span(int(s.tokens[i].start), int(s.tokens[i].end))
}

// prevEnd is the offset just after the token before the next one.
func (s *session) prevEnd() int {
	if s.at == 0 {
		return int(s.tokens[0].start)
	}
	return int(s.tokens[s.at-1].end)
}

// here is the empty place just after what was read.
func (s *session) here() source.Span { return s.span(s.prevEnd(), s.prevEnd()) }

// from spans from the start of a token to the end of what was read.
func (s *session) from(index int) ast.Spanned { return s.spanned(int(s.tokens[index].start)) }

func (s *session) spanned(start int) ast.Spanned {
	return ast.Spanned{Span: s.span(start, max(start, s.prevEnd()))}
}

// complain reports a fault of the statement at hand, unless it is the second
// one or follows from one that was found in its brackets or quotes.
//
// A closing bracket too many is the exception: what it closed is missing
// before it, and a fault on an earlier line shows where.
func (s *session) complain(d diag.Diagnostic) {
	if s.faulty {
		return
	}
	s.faulty = true
	tainted, cut := s.tainted(s.stmt)
	if tainted {
		return
	}
	if cut >= 0 {
		if s.src.LineOf(d.Span.Start) >= s.src.LineOf(cut) {
			return
		}
		s.withdraw(cut)
	}
	s.add(rankGrammar, d)
}

// tainted reports whether a fault of a statement's own brackets or quotes, not
// of the blocks in it, was reported already; cut is the offset of a closing
// bracket that was left out of it, or -1.
func (s *session) tainted(start int) (tainted bool, cut int) {
	cut = -1
	for i := start; ; i++ {
		t := s.tokens[i]
		if t.cut > 0 && cut < 0 {
			cut = int(t.cut) - 1
		}
		if t.tainted {
			return true, cut
		}
		switch t.kind {
		case kindEnd, kindEOF, kindBlockClose:
			return false, cut
		case kindBlockOpen:
			i = int(t.pair)
			if t := s.tokens[i]; t.cut > 0 && cut < 0 {
				cut = int(t.cut) - 1
			}
		}
	}
}

// atEnd reports whether the statement is over.
func (s *session) atEnd() bool { return s.endsStatement(s.at) }

func (s *session) endsStatement(i int) bool {
	switch s.tokens[i].kind {
	case kindEnd, kindEOF, kindBlockClose:
		return true
	}
	return false
}

// statements reads up to the end of the block, or of the file.
func (s *session) statements() []ast.Stmt {
	var list []ast.Stmt
	outer := *s
	s.before, s.inCond = -1, false
	for {
		for s.kind() == kindEnd {
			s.at++
		}
		if s.kind() == kindEOF || s.kind() == kindBlockClose {
			break
		}
		s.stmt, s.faulty = s.at, false
		goesOn := s.goesOn()
		if stmt := s.statement(); stmt != nil {
			list = append(list, stmt)
		}
		s.finishStatement()
		if s.faulty && goesOn {
			s.beforeFault = true // one fault for all lines of a statement that goes on
			continue
		}
		s.before, s.beforeFault = s.stmt, s.faulty
		if !s.faulty {
			tainted, cut := s.tainted(s.stmt)
			s.beforeFault = tainted || cut >= 0
		}
	}
	s.stmt, s.faulty, s.before, s.beforeFault = outer.stmt, outer.faulty, outer.before, outer.beforeFault
	s.inCond = outer.inCond
	return list
}

// finishStatement goes to where the next statement begins.
func (s *session) finishStatement() {
	if s.atEnd() {
		return
	}
	if s.tokens[s.at-1].kind == kindBlockClose && s.startsAnew() {
		if !s.faulty {
			s.complain(diag.New("missing-line-break", s.tokenSpan(s.at), diag.Args{"found": s.text(s.at)}).
				WithEdit(s.tokenSpan(s.at).Head(), "\n", true))
		}
		return
	}
	if !s.faulty {
		s.complainAfter(inStatement)
	}
	s.skip()
}

// startsAnew reports whether a new statement could begin here.
func (s *session) startsAnew() bool { return s.kind().startsStatement() || s.kind() == kindName }

// skip leaves what remains of a faulty statement unread, but for the blocks in
// it, whose faults are worth knowing. The first block is returned.
func (s *session) skip() *ast.Block {
	var first *ast.Block
	for !s.atEnd() {
		if b := s.skipToBlock(); b != nil && first == nil {
			first = b
		}
	}
	return first
}

// skipToBlock skips up to and including the next block of the statement.
func (s *session) skipToBlock() *ast.Block {
	for !s.atEnd() {
		if s.kind() == kindBlockOpen {
			return s.braces()
		}
		if s.kind().opens() {
			s.lookInto(int(s.tokens[s.at].pair))
			continue
		}
		s.at++
	}
	return nil
}

// lookInto skips a bracket up to a closing one, but reads the blocks in it.
func (s *session) lookInto(end int) {
	for s.at < end {
		if s.kind() == kindBlockOpen {
			s.braces()
			continue
		}
		s.at++
	}
	s.at = end + 1
}

// braces reads a block; the next token is its {.
func (s *session) braces() *ast.Block {
	start := s.at
	end := int(s.tokens[start].pair)
	b := &ast.Block{}
	s.at++
	if s.deeper() {
		b.Stmts = s.statements()
	}
	s.nesting--
	s.at = end + 1
	b.Spanned = s.from(start)
	return b
}

// deeper counts one level of nesting and reports whether it is within bounds.
// The caller counts it down again in any case.
func (s *session) deeper() bool {
	s.nesting++
	if s.nesting <= maxNesting {
		return true
	}
	s.complain(diag.New("nested-too-deep", s.tokenSpan(max(s.at-1, 0)), diag.Args{"limit": maxNesting}))
	return false
}

// readForm runs the grammar of one kind of statement from the next token on. The
// form holds what could be read; ok reports whether that is all of it. If not,
// the next token is the one at which the grammar stopped.
func readForm[P any](s *session, p *participle.Parser[P]) (form *P, ok bool) {
	if s.at >= s.peekEnd {
		s.upgrade()
	}
	if s.at > s.peekFrom {
		s.peek.FastForward(lexer.RawCursor(s.at - s.peekFrom - 1))
	}
	form, err := p.ParseFromLexer(s.peek, participle.AllowTrailing(true))
	if err == nil {
		s.at = s.peekFrom + int(s.peek.RawCursor())
		return form, true
	}
	if stopped, isPlaced := err.(participle.Error); isPlaced {
		s.at = max(s.stmt, stopped.Position().Line)
	}
	return form, false
}

// upgrade makes the tokens of the statement at hand, with all that is nested
// in it, ready for the grammar.
func (s *session) upgrade() {
	end := s.at
	for !s.endsStatement(end) {
		if s.tokens[end].kind.opens() {
			end = int(s.tokens[end].pair)
		}
		end++
	}
	peek, err := lexer.Upgrade(&stream{text: s.src.Text, tokens: s.tokens[:end+1], next: s.at})
	if err != nil {
		panic(err) // the stream has no errors
	}
	s.peek, s.peekFrom, s.peekEnd = peek, s.at, end+1
}

// ident makes an Ident of a name the grammar captured.
func (s *session) ident(t lexer.Token) ast.Ident {
	if t.Value == "" {
		return ast.Ident{Spanned: ast.Spanned{Span: s.here()}}
	}
	span := s.span(t.Pos.Offset, t.Pos.Offset+len(t.Value))
	return ast.Ident{Spanned: ast.Spanned{Span: span}, Name: normal(t.Value)}
}

// lineBroken reports whether a line break lies between two tokens.
func (s *session) lineBroken(a, b int) bool {
	return strings.ContainsAny(s.src.Text[s.tokens[a].end:s.tokens[b].start], "\n\r")
}

func (s *session) indent(i int) int {
	line := s.src.LineOf(int(s.tokens[i].start))
	text := s.src.Text[s.src.LineStart(line):]
	return len(text) - len(strings.TrimLeft(text, " \t"))
}
