package parse

import (
	"wend/lang/ast"
	"wend/lang/diag"
)

// choice reads `if c { a } else { b }` where a value begins; the next token is
// its if.
func (s *session) choice() ast.Expr {
	start := s.at
	if s.at > s.stmt && s.wrongJoint() == s.at-1 && !s.elseFollows(start) {
		s.complainJoint(s.at - 1)
	}
	s.at++
	c := &ast.Choice{}
	c.Cond = s.condExpr()
	height := s.height
	outer := s.inCond
	s.inCond = false
	then := s.at
	c.Then = s.branchValue()
	c.ThenSpan = s.from(then).Span
	height = max(height, s.height)
	switch {
	case s.kind() != kindElse:
		s.complain(diag.New("choice-without-else", s.tokenSpan(start), nil))
		c.Else = s.bad()
	case s.kindAt(s.at+1) == kindIf:
		s.at++
		c.Else = s.bad()
		if s.deeper() {
			c.Else = s.choice()
		}
		s.nesting--
	default:
		s.at++
		other := s.at
		c.Else = s.branchValue()
		c.ElseSpan = s.from(other).Span
	}
	s.inCond = outer
	s.height = max(height, s.height) + 1
	c.Spanned = s.from(start)
	return c
}

// branchValue reads the one value in the braces of a choice.
func (s *session) branchValue() ast.Expr {
	switch {
	case s.kind() == kindRecordOpen:
		record := s.tokenSpan(s.at).To(s.tokenSpan(int(s.tokens[s.at].pair)))
		s.complain(diag.New("record-for-block", s.tokenSpan(s.at), nil).
			WithHint("a record that is chosen has braces of its own: `{ {name: 1} }`").
			WithEdit(record, "{ "+record.Text()+" }", false))
		return s.record()
	case s.kind() != kindBlockOpen:
		s.complainExpected("`{`")
		return s.bad()
	}
	closer := int(s.tokens[s.at].pair)
	s.at++
	s.skipEnds()
	if s.at >= closer || s.kind().startsStatement() && !s.kind().startsValue() {
		s.complain(diag.New("choice-value", s.tokenSpan(s.at), diag.Args{"found": s.found(s.at)}))
		s.lookInto(closer)
		return s.bad()
	}
	x := s.expr()
	s.skipEnds()
	if s.at < closer {
		s.complain(diag.New("choice-value", s.tokenSpan(s.at), diag.Args{"found": "more: " + s.found(s.at)}))
		s.lookInto(closer)
		return x
	}
	s.at = closer + 1
	return x
}

// elseFollows reports whether an if has an else behind its first block.
func (s *session) elseFollows(start int) bool {
	for i := start + 1; !s.endsStatement(i); i++ {
		k := s.tokens[i].kind
		if k.opens() {
			i = int(s.tokens[i].pair)
		}
		if k == kindBlockOpen {
			return s.kindAt(i+1) == kindElse
		}
	}
	return false
}

func (s *session) skipEnds() {
	for s.kind() == kindEnd {
		s.at++
	}
}

// holdsValues reports whether a statement `if` has a value, and nothing that is
// done, in its first block, and an else.
func (s *session) holdsValues(start int) bool {
	for i := start + 1; !s.endsStatement(i); i++ {
		k := s.tokens[i].kind
		if k != kindBlockOpen {
			if k.opens() {
				i = int(s.tokens[i].pair)
			}
			continue
		}
		first, closer := i+1, int(s.tokens[i].pair)
		for s.kindAt(first) == kindEnd {
			first++
		}
		k = s.kindAt(first)
		return k.startsValue() && !k.startsStatement() && k != kindName && k != kindPath && k != kindCurve &&
			s.kindAt(closer+1) == kindElse
	}
	return false
}
