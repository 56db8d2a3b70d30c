package parse

import (
	"strings"

	"wend/lang/ast"
	"wend/lang/diag"
)

// Precedence, loosest first. Unary minus and ^ bind tighter still, calls,
// items and fields tightest.
const (
	levelOr = iota + 1
	levelAnd
	levelNot
	levelCompare
	levelRange
	levelAdd
	levelMul
)

var levels = [kindNewline + 1]int8{
	kindOr: levelOr, kindAnd: levelAnd,
	kindEqual: levelCompare, kindNotEqual: levelCompare, kindLess: levelCompare,
	kindLessEqual: levelCompare, kindGreater: levelCompare, kindGreaterEqual: levelCompare,
	kindRange: levelRange, kindPlus: levelAdd, kindMinus: levelAdd, kindStar: levelMul, kindSlash: levelMul,
}

var binaryOps = map[kind]ast.BinaryOp{
	kindPlus: ast.Add, kindMinus: ast.Sub, kindStar: ast.Mul, kindSlash: ast.Div, kindCaret: ast.Pow,
	kindAnd: ast.And, kindOr: ast.Or,
}

var compareOps = map[kind]ast.CompareOp{
	kindEqual: ast.Equal, kindNotEqual: ast.NotEqual, kindLess: ast.Less, kindLessEqual: ast.LessEqual,
	kindGreater: ast.Greater, kindGreaterEqual: ast.GreaterEqual,
}

// expr reads an expression. What cannot be read as one is reported and gives
// a Bad node; nothing of it is skipped.
func (s *session) expr() ast.Expr {
	x := s.bad()
	if s.deeper() {
		x = s.binary(levelOr)
	}
	s.nesting--
	return x
}

// condExpr reads an expression in which = is a slip for ==.
func (s *session) condExpr() ast.Expr {
	outer := s.inCond
	s.inCond = true
	x := s.expr()
	s.inCond = outer
	return x
}

// bad is a node for what is missing here.
func (s *session) bad() ast.Expr {
	s.height = 1
	return &ast.Bad{Spanned: ast.Spanned{Span: s.here()}}
}

// badFrom is a node for what could not be read since an offset.
func (s *session) badFrom(start int) ast.Expr {
	s.height = 1
	return &ast.Bad{Spanned: s.spanned(start)}
}

func (s *session) binary(min int) ast.Expr {
	x := s.prefix(min)
	start := x.Place().Start
	for {
		k := s.kind()
		level := int(levels[k])
		if k == kindAssign && s.inCond {
			level = levelCompare
		}
		if level < min || level == 0 {
			return x
		}
		height := s.height
		op := s.at
		switch level {
		case levelCompare:
			x = s.compare(x)
		case levelRange:
			s.at++
			x = s.rangeFrom(x)
		default:
			s.at++
			y := s.binary(level + 1)
			x = &ast.Binary{Spanned: s.spanned(start), Op: binaryOps[k], OpSpan: s.tokenSpan(op), X: x, Y: y}
		}
		if !s.taller(height) {
			return s.badFrom(start)
		}
	}
}

// taller counts one more node over the one just read and another of a given
// height, and reports whether that is within bounds.
func (s *session) taller(other int) bool {
	s.height = max(s.height, other) + 1
	if s.height <= maxHeight {
		return true
	}
	s.complain(diag.New("chain-too-long", s.tokenSpan(s.at-1), diag.Args{"limit": maxHeight}))
	for !s.atEnd() && !s.kind().closes() && s.kind() != kindComma {
		if s.kind().opens() {
			s.at = int(s.tokens[s.at].pair)
		}
		s.at++
	}
	return false
}

func (s *session) prefix(min int) ast.Expr {
	start := s.at
	switch s.kind() {
	case kindNot:
		if min > levelNot {
			s.complain(diag.New("not-inside", s.tokenSpan(start), nil))
		}
		s.at++
		x := s.bad()
		if s.deeper() {
			x = s.binary(levelNot)
		}
		s.nesting--
		s.height++
		return &ast.Unary{Spanned: s.from(start), Op: ast.Not, X: x}
	case kindMinus:
		s.at++
		x := s.bad()
		if s.deeper() {
			x = s.prefix(levelMul + 1)
		}
		s.nesting--
		s.height++
		return &ast.Unary{Spanned: s.from(start), Op: ast.Minus, X: x}
	}
	return s.power()
}

func (s *session) power() ast.Expr {
	x := s.postfix(s.primary())
	if s.kind() != kindCaret {
		return x
	}
	height := s.height
	op := s.at
	s.at++
	y := s.bad()
	if s.deeper() {
		y = s.prefix(levelMul + 1)
	}
	s.nesting--
	s.height = max(height, s.height) + 1
	return &ast.Binary{Spanned: s.spanned(x.Place().Start), Op: ast.Pow, OpSpan: s.tokenSpan(op), X: x, Y: y}
}

// compare reads the rest of a comparison, or of a chain of them.
func (s *session) compare(first ast.Expr) ast.Expr {
	c := &ast.Compare{Operands: []ast.Expr{first}}
	height := s.height
	for {
		op, ok := compareOps[s.kind()]
		if !ok {
			if s.kind() != kindAssign || !s.inCond {
				break
			}
			s.complain(diag.New("assign-in-condition", s.tokenSpan(s.at), nil).WithEdit(s.tokenSpan(s.at), "==", true))
			op = ast.Equal
		}
		if n := len(c.Ops); n > 0 && !chains(c.Ops[n-1], op) {
			s.complain(diag.New("mixed-chain", s.tokenSpan(s.at), diag.Args{"first": c.Ops[n-1], "second": op}).
				WithEdit(s.tokenSpan(s.at), "and "+strings.TrimSpace(c.Operands[n].Place().Text())+" "+string(op), false))
		}
		c.Ops = append(c.Ops, op)
		c.OpSpans = append(c.OpSpans, s.tokenSpan(s.at))
		s.at++
		c.Operands = append(c.Operands, s.binary(levelRange))
		height = max(height, s.height)
	}
	s.height = height
	c.Spanned = s.spanned(first.Place().Start)
	return c
}

// chains reports whether one comparison may follow another: all one way.
func chains(a, b ast.CompareOp) bool {
	if a == ast.Equal || a == ast.NotEqual || b == ast.Equal || b == ast.NotEqual {
		return false
	}
	return a[0] == b[0]
}

// rangeFrom reads the rest of a range; its .. was read.
func (s *session) rangeFrom(from ast.Expr) ast.Expr {
	r := &ast.Range{From: from}
	height := s.height
	r.To = s.binary(levelAdd)
	height = max(height, s.height)
	if s.kind() == kindBy {
		s.at++
		r.By = s.binary(levelAdd)
		height = max(height, s.height)
	}
	if s.kind() == kindRange {
		s.complain(diag.New("range-of-range", s.tokenSpan(s.at), nil).
			WithEdit(s.span(s.prevEnd(), int(s.tokens[s.at].end)), " by ", false))
	}
	s.height = height
	r.Spanned = s.spanned(from.Place().Start)
	return r
}

// postfix reads the calls, items and fields that follow a value.
func (s *session) postfix(x ast.Expr) ast.Expr {
	for {
		next, more := s.link(x)
		if !more {
			break
		}
		x = next
	}
	if k := s.kind(); (k == kindGroupOpen || k == kindListOpen) && callable(x) && !s.lineBroken(s.at-1, s.at) {
		return s.postfix(s.spaced(x))
	}
	return x
}

func callable(x ast.Expr) bool {
	switch x.(type) {
	case *ast.NameExpr, *ast.Field:
		return true
	}
	return false
}

// spaced reads a call or an item whose bracket is not glued to the name, which
// inside an expression can only be a slip.
func (s *session) spaced(x ast.Expr) ast.Expr {
	gap := s.span(s.prevEnd(), int(s.tokens[s.at].start))
	code := diag.Code("spaced-call")
	if s.kind() == kindListOpen {
		code = "spaced-index"
	}
	s.complain(diag.New(code, s.tokenSpan(s.at), diag.Args{"name": x.Place().Text()}).
		WithEdit(gap, "", false).WithEdit(gap, ", ", false))
	if s.kind() == kindListOpen {
		return s.index(x)
	}
	return s.call(x)
}

// link reads one call, item or field, if one follows.
func (s *session) link(x ast.Expr) (ast.Expr, bool) {
	height := s.height
	switch s.kind() {
	case kindDot:
		s.at++
		f := &ast.Field{X: x, Name: s.fieldName()}
		f.Spanned = s.spanned(x.Place().Start)
		x = f
	case kindCallOpen:
		x = s.call(x)
	case kindIndexOpen:
		x = s.index(x)
	default:
		return x, false
	}
	if !s.taller(height) {
		return s.badFrom(x.Place().Start), false
	}
	return x, true
}

func (s *session) call(fn ast.Expr) ast.Expr {
	c := &ast.Call{Fn: fn, Glued: true}
	height := s.height
	s.items(inArguments, func() {
		c.Args = append(c.Args, s.arg())
		height = max(height, s.height)
	})
	s.height = height
	c.Spanned = s.spanned(fn.Place().Start)
	return c
}

func (s *session) index(x ast.Expr) ast.Expr {
	i := &ast.Index{X: x}
	closer := int(s.tokens[s.at].pair)
	s.at++
	i.I = s.expr()
	s.closeAt(closer, inIndex)
	i.Spanned = s.spanned(x.Place().Start)
	return i
}

// closeAt goes past a closing bracket; what is left before it is reported.
func (s *session) closeAt(closer int, in setting) {
	if s.at < closer {
		s.complainAfter(in)
		s.lookInto(closer)
		return
	}
	s.at = closer + 1
}

// items reads what stands in brackets with commas between; the next token is
// the opening bracket. A comma after the last one is fine before a line break.
func (s *session) items(in setting, item func()) {
	closer := int(s.tokens[s.at].pair)
	s.at++
	for s.at < closer {
		before := s.at
		item()
		if s.at >= closer {
			break
		}
		if s.kind() != kindComma {
			s.complainAfter(in)
			break
		}
		s.at++
		if s.at == closer && !s.lineBroken(s.at-1, s.at) {
			s.complainMissing()
		}
		if s.at == before {
			break
		}
	}
	s.lookInto(closer)
}

// arg reads an argument, with its name if it has one.
func (s *session) arg() ast.Arg {
	start := s.at
	k := s.kind()
	next := s.kindAt(s.at + 1)
	if (k == kindName || k.keyword()) && (next == kindColon || k == kindName && next == kindAssign && !s.inCond) {
		id := s.name("argument")
		if next == kindAssign {
			s.complain(diag.New("named-argument", s.tokenSpan(s.at), diag.Args{"name": id.Name}).
				WithEdit(s.span(s.prevEnd(), int(s.tokens[s.at].end)), ":", true))
		}
		s.at++
		value := s.expr()
		return ast.Arg{Spanned: s.from(start), Name: &id, Value: value}
	}
	value := s.expr()
	return ast.Arg{Spanned: ast.Spanned{Span: value.Place()}, Value: value}
}

// name reads a name. A keyword in its place is taken for it and reported.
func (s *session) name(role string) ast.Ident {
	switch k := s.kind(); {
	case k == kindName:
	case k.keyword():
		s.complain(s.keywordAsName(s.at))
	case k == kindTextOpen:
		s.complain(diag.New("expected", s.nextSpan(), diag.Args{"wanted": "a name", "found": s.found(s.at)}).
			WithHint("texts are joined with `+`"))
		return ast.Ident{Spanned: ast.Spanned{Span: s.here()}}
	default:
		s.complainExpected("a name")
		return ast.Ident{Spanned: ast.Spanned{Span: s.here()}}
	}
	s.at++
	return ast.Ident{Spanned: s.from(s.at - 1), Name: normal(s.text(s.at - 1))}
}

func (s *session) primary() ast.Expr {
	start := s.at
	s.height = 1
	switch s.kind() {
	case kindNumber:
		s.at++
		return s.number(start)
	case kindName:
		s.at++
		return &ast.NameExpr{Spanned: s.from(start), Name: normal(s.text(start))}
	case kindTextOpen:
		return s.textLit()
	case kindTrue, kindFalse:
		s.at++
		return &ast.BoolLit{Spanned: s.from(start), Value: s.tokens[start].kind == kindTrue}
	case kindGroupOpen, kindCallOpen:
		return s.group()
	case kindListOpen, kindIndexOpen:
		l := &ast.ListLit{}
		height := 1
		s.items(inList, func() {
			l.Items = append(l.Items, s.expr())
			height = max(height, s.height)
		})
		s.height = height + 1
		l.Spanned = s.from(start)
		return l
	case kindRecordOpen:
		return s.record()
	case kindFn:
		return s.funcLit()
	case kindPath:
		s.at++
		p := &ast.PathLit{}
		p.Body = s.blockOr("path")
		p.Spanned = s.from(start)
		return p
	case kindCurve:
		return s.curve()
	case kindIf:
		return s.choice()
	}
	s.complainMissing()
	return s.bad()
}

func (s *session) curve() ast.Expr {
	start := s.at
	s.at++
	c := &ast.Curve{Var: s.name("curve")}
	outer := s.inCond
	s.inCond = false
	if s.kind() == kindIn {
		s.at++
		c.Interval = s.binary(levelRange)
	} else {
		s.complainExpected("`in`")
		c.Interval = s.bad()
	}
	if s.kind() == kindAssign {
		s.at++
		c.Formula = s.expr()
	} else {
		s.complainExpected("`=`")
		c.Formula = s.bad()
	}
	s.inCond = outer
	c.Spanned = s.from(start)
	return c
}

func (s *session) funcLit() ast.Expr {
	start := s.at
	s.at++
	f := &ast.FuncLit{}
	if s.kind() == kindName {
		s.complain(diag.New("named-fn-value", s.tokenSpan(s.at), diag.Args{"name": s.text(s.at)}))
		s.at++
	}
	list, ok := readForm(s, s.g.params)
	if !ok {
		s.complainParams(list)
	}
	f.Params = s.parameters(list)
	switch s.kind() {
	case kindAssign:
		s.at++
		outer := s.inCond
		s.inCond = false
		f.Result = s.expr()
		s.inCond = outer
	case kindBlockOpen:
		f.Body = s.braces()
	case kindRecordOpen:
		s.complainNoBlock("function")
		f.Result = s.bad()
	default:
		s.complainExpected("`=` or `{`")
		f.Result = s.bad()
	}
	f.Spanned = s.from(start)
	return f
}

// blockOr reads the block that must stand here, or reports that it is missing.
func (s *session) blockOr(word string) *ast.Block {
	if s.kind() == kindBlockOpen {
		return s.braces()
	}
	s.complainNoBlock(word)
	return &ast.Block{Spanned: ast.Spanned{Span: s.here()}}
}
