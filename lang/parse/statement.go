package parse

import (
	"wend/lang/ast"
	"wend/lang/diag"

	"github.com/alecthomas/participle/v2/lexer"
)

// statement reads one statement. It may stop before the statement's end; what
// is left is then reported by the caller.
func (s *session) statement() ast.Stmt {
	start := s.at
	switch s.kind() {
	case kindName:
		return s.nameStatement()
	case kindDraw:
		form, _ := readForm(s, s.g.draw)
		d := &ast.Draw{Path: s.orBad(form.Path), At: form.At}
		d.Spanned = s.from(start)
		return d
	case kindLet:
		return s.let()
	case kindLoop:
		return s.loop()
	case kindIf:
		return s.ifElse()
	case kindFigure:
		return s.figure()
	case kindFn:
		return s.function()
	case kindReturn:
		form, _ := readForm(s, s.g.giveBack)
		r := &ast.Return{Value: form.Value}
		r.Spanned = s.from(start)
		return r
	case kindBreak:
		s.at++
		return &ast.Break{Spanned: s.from(start)}
	case kindContinue:
		s.at++
		return &ast.Continue{Spanned: s.from(start)}
	case kindBranch:
		form, ok := readForm(s, s.g.branch)
		b := &ast.Branch{Body: s.body(form.Body, ok, "branch")}
		b.Spanned = s.from(start)
		return b
	case kindUse:
		return s.use()
	}
	s.complainStart()
	s.skip()
	return nil
}

// orBad is an expression the grammar captured, or a Bad node.
func (s *session) orBad(x ast.Expr) ast.Expr {
	if x == nil {
		return s.bad()
	}
	return x
}

// body is the block the grammar captured. If it stopped before that, the
// fault is reported and the statement's next block taken.
func (s *session) body(captured block, ok bool, word string) *ast.Block {
	if b, is := captured.(*ast.Block); is {
		return b
	}
	if !ok {
		s.complainNoBlock(word)
	}
	if b := s.skipToBlock(); b != nil {
		return b
	}
	return &ast.Block{Spanned: ast.Spanned{Span: s.here()}}
}

func (s *session) let() ast.Stmt {
	start := s.at
	form, ok := readForm(s, s.g.let)
	if !ok {
		switch {
		case form.Name.Value == "":
			form.Name = s.complainNoName("a variable")
		case form.Is == "":
			s.complainLetWithout(form.Name)
		}
	}
	l := &ast.Let{Name: s.ident(form.Name), Value: s.orBad(form.Value)}
	l.Spanned = s.from(start)
	return l
}

func (s *session) use() ast.Stmt {
	start := s.at
	form, ok := readForm(s, s.g.use)
	var bare *ast.TextLit
	var as ast.Ident
	if !ok {
		switch {
		case form.Path == nil:
			bare, as = s.complainBareFile()
		case form.As == "":
			s.complainExpected("`as` and a name")
		default:
			form.Name = s.complainNoName("a used file")
		}
	}
	path, _ := form.Path.(*ast.TextLit)
	switch {
	case path != nil:
	case bare != nil:
		path = bare
	default:
		path = &ast.TextLit{Spanned: ast.Spanned{Span: s.here()}}
	}
	for _, part := range path.Parts {
		if part.Value != nil {
			s.complain(diag.New("use-with-insert", part.Span, nil))
		}
	}
	name := as
	if name.Name == "" {
		name = s.ident(form.Name)
	}
	u := &ast.Use{Path: path, Name: name}
	u.Spanned = s.from(start)
	return u
}

func (s *session) function() ast.Stmt {
	start := s.at
	form, ok := readForm(s, s.g.function)
	f := &ast.FuncDef{}
	if !ok {
		s.complainDefinition(&form.Name, &form.Params, "function", "`=` or `{`")
	}
	f.Name, f.Params = s.ident(form.Name), s.parameters(&form.Params)
	switch {
	case form.Result != nil:
		f.Result = form.Result
	case form.Body != nil:
		f.Body, _ = form.Body.(*ast.Block)
	default:
		if f.Body = s.skipToBlock(); f.Body == nil {
			f.Result = s.bad()
		}
	}
	f.Spanned = s.from(start)
	return f
}

func (s *session) figure() ast.Stmt {
	start := s.at
	form, ok := readForm(s, s.g.figure)
	if !ok {
		s.complainDefinition(&form.Name, &form.Params, "figure", "`{`")
	}
	f := &ast.FigureDef{Name: s.ident(form.Name), Params: s.parameters(&form.Params)}
	f.Body = s.body(form.Body, true, "figure")
	f.Spanned = s.from(start)
	return f
}

func (s *session) parameters(list *paramList) []ast.Param {
	if len(list.Params) == 0 {
		return nil
	}
	params := make([]ast.Param, len(list.Params))
	for i, p := range list.Params {
		params[i] = ast.Param{Name: s.ident(p.Name), Default: p.Default}
		params[i].Spanned = params[i].Name.Spanned
		if p.Default != nil {
			params[i].Span = params[i].Span.To(p.Default.Place())
		}
	}
	return params
}

func (s *session) loop() ast.Stmt {
	start := s.at
	next := s.kindAt(start + 1)
	switch {
	case next == kindWhile:
		form, ok := readForm(s, s.g.loopWhile)
		l := &ast.LoopWhile{Cond: s.orBad(form.Cond), Body: s.body(form.Body, ok, "loop")}
		l.Spanned = s.from(start)
		return l
	case next == kindName && s.kindAt(start+2) == kindComma && s.kindAt(start+3) == kindIn:
		return s.loopOfOne(start)
	case next == kindName && (s.kindAt(start+2) == kindIn || s.kindAt(start+2) == kindComma):
		form, ok := readForm(s, s.g.loopIn)
		if !ok && form.Values == nil {
			s.complainLoopNames(start)
		}
		l := &ast.LoopIn{Var: s.ident(form.First)}
		if form.Second.Value != "" {
			first := s.ident(form.First)
			l.Index, l.Var = &first, s.ident(form.Second)
		}
		l.Values, l.Body = s.orBad(form.Values), s.body(form.Body, ok, "loop")
		l.Spanned = s.from(start)
		return l
	case s.loopPair(start):
		return s.loopOfPair(start)
	case next == kindBlockOpen:
		s.at++
		s.complain(diag.New("loop-without-end", s.tokenSpan(start), nil))
		r := &ast.Repeat{Count: s.bad(), Body: s.braces()}
		r.Spanned = s.from(start)
		return r
	case next.keyword() && s.kindAt(start+2) == kindIn:
		s.complain(s.keywordAsName(start + 1))
	case next == kindName && s.inSeemsMissing(start+2):
		s.at = start + 2
		s.complainExpected("`in`")
		r := &ast.LoopIn{Var: ast.Ident{Spanned: ast.Spanned{Span: s.tokenSpan(start + 1)}, Name: normal(s.text(start + 1))}, Values: s.bad()}
		r.Body = s.body(nil, true, "loop")
		r.Spanned = s.from(start)
		return r
	}
	form, ok := readForm(s, s.g.repeat)
	r := &ast.Repeat{Count: s.orBad(form.Count), Body: s.body(form.Body, ok, "loop")}
	r.Spanned = s.from(start)
	return r
}

// loopOfOne reads a loop that has a comma, but one name: `loop i, in …`.
func (s *session) loopOfOne(start int) ast.Stmt {
	comma := s.tokenSpan(start + 2)
	s.complain(diag.New("expected", s.tokenSpan(start+3), diag.Args{"wanted": "the name of the item", "found": s.found(start + 3)}).
		WithHint("two names count and give the item, as in `loop %s, item in …`; with one name there is no comma", s.text(start+1)).
		WithEdit(comma, "", false).WithEdit(comma.Tail(), " item", false))
	l := &ast.LoopIn{Var: ast.Ident{Spanned: ast.Spanned{Span: s.tokenSpan(start + 1)}, Name: normal(s.text(start + 1))}}
	s.at = start + 4
	l.Values = s.expr()
	l.Body = s.body(nil, s.kind() == kindBlockOpen, "loop")
	l.Spanned = s.from(start)
	return l
}

// loopPair reports whether a loop is written `loop (i, p) in …` or `loop i p in …`.
func (s *session) loopPair(start int) bool {
	return s.pairNames(start) > 0
}

// pairNames is how many tokens the two names of such a loop take, or 0.
func (s *session) pairNames(start int) int {
	kinds := func(want ...kind) bool {
		for i, k := range want {
			if s.kindAt(start+1+i) != k {
				return false
			}
		}
		return true
	}
	switch {
	case kinds(kindName, kindName, kindIn):
		return 2
	case kinds(kindGroupOpen, kindName, kindComma, kindName, kindGroupClose, kindIn):
		return 5
	}
	return 0
}

// loopOfPair reads a loop whose two names are not written `i, p`.
func (s *session) loopOfPair(start int) ast.Stmt {
	n := s.pairNames(start)
	first, second := start+1, start+2
	if n > 2 {
		first, second = start+2, start+4
	}
	span := s.tokenSpan(start + 1).To(s.tokenSpan(start + n))
	wanted := s.text(first) + ", " + s.text(second)
	s.complain(diag.New("loop-names", span, diag.Args{"wanted": wanted}).WithEdit(span, wanted, true))
	name := func(i int) ast.Ident {
		return ast.Ident{Spanned: ast.Spanned{Span: s.tokenSpan(i)}, Name: normal(s.text(i))}
	}
	index := name(first)
	l := &ast.LoopIn{Index: &index, Var: name(second)}
	s.at = start + n + 2
	l.Values = s.expr()
	l.Body = s.body(nil, s.kind() == kindBlockOpen, "loop")
	l.Spanned = s.from(start)
	return l
}

// complainLoopNames reports what stands where `in` should follow the names of a loop.
func (s *session) complainLoopNames(start int) {
	switch k := s.kind(); {
	case k == kindComma && s.at == start+2 && s.kindAt(s.at+1) != kindName:
		s.at++
		if s.kind().keyword() && s.kind() != kindIn {
			s.complain(s.keywordAsName(s.at))
		} else {
			s.complainExpected("the name of a variable")
		}
	case k == kindComma:
		s.complain(diag.New("loop-three-names", s.tokenSpan(s.at), nil))
	default:
		s.complainExpected("`in`")
	}
}

// inSeemsMissing reports whether what follows the name after loop looks like the
// values it should run over: `loop i on 1..3`, `loop i = 1..3`, `loop i 1..3`.
func (s *session) inSeemsMissing(i int) bool {
	switch s.kindAt(i) {
	case kindName:
		return s.kindAt(i+1) != kindBlockOpen && s.kindAt(i+1) != kindEnd
	case kindAssign, kindNumber, kindTextOpen, kindListOpen:
		return true
	}
	return false
}

func (s *session) ifElse() ast.Stmt {
	start := s.at
	if s.holdsValues(start) {
		s.complain(diag.New("if-of-values", s.tokenSpan(start), nil).WithEdit(s.tokenSpan(start).Head(), "return ", false))
		given := &ast.Return{Value: s.choice()}
		given.Spanned = s.from(start)
		return given
	}
	form, ok := readForm(s, s.g.ifElse)
	first := &ast.If{Cond: s.orBad(form.Cond)}
	if form.Then == nil {
		first.Then = s.body(form.Then, ok, "if")
	} else {
		first.Then = form.Then.(*ast.Block)
	}
	last := first
	chain := []*ast.If{first}
	for i, e := range form.ElseIfs {
		if i == maxNesting {
			s.complain(diag.New("nested-too-deep", s.span(e.If.Pos.Offset, e.If.Pos.Offset+2), diag.Args{"limit": maxNesting}))
			break
		}
		next := &ast.If{Cond: s.orBad(e.Cond)}
		if e.Then != nil {
			next.Then = e.Then.(*ast.Block)
		} else {
			next.Then = s.body(nil, false, "if")
		}
		next.Span = s.span(e.If.Pos.Offset, next.Then.Span.End)
		last.Else = next
		last = next
		chain = append(chain, next)
	}
	if form.Else != nil {
		last.Else = form.Else
	}
	s.elseRest(last)
	end := s.prevEnd()
	for i, one := range chain {
		from := int(s.tokens[start].start)
		if i > 0 {
			from = one.Span.Start
		}
		one.Span = s.span(from, end)
	}
	return first
}

// elseRest reads an else that the grammar could not.
func (s *session) elseRest(last *ast.If) {
	word := ""
	if s.kind() == kindName {
		word = s.text(s.at)
	}
	if s.tokens[s.at-1].kind == kindBlockClose && elseIfWords[word] {
		s.complain(diag.New("else-if-word", s.tokenSpan(s.at), diag.Args{"found": word}).
			WithEdit(s.tokenSpan(s.at), "else if", true))
		s.skip()
		return
	}
	if s.kind() != kindElse || last.Else != nil {
		return
	}
	s.at++
	s.complainNoBlock("else")
	if b := s.skipToBlock(); b != nil {
		last.Else = b
	}
}

// nameStatement reads an assignment or a call that begins with a name.
func (s *session) nameStatement() ast.Stmt {
	start := s.at
	s.at++
	s.height = 1
	var x ast.Expr = &ast.NameExpr{Spanned: s.from(start), Name: normal(s.text(start))}
	for more := true; more; {
		x, more = s.link(x)
	}
	if k := s.kind(); k == kindAssign || k == kindChange {
		a := &ast.Assign{Target: x, OpSpan: s.tokenSpan(s.at)}
		if k == kindChange {
			a.Op = ast.BinaryOp(s.text(s.at)[:1])
		}
		s.at++
		a.Value = s.expr()
		a.Spanned = s.from(start)
		return a
	}
	if call, ok := x.(*ast.Call); ok {
		if !s.atEnd() {
			s.complainAfterCall(start, call)
			s.skip()
		}
		return &ast.Do{Spanned: call.Spanned, Call: call}
	}
	call := &ast.Call{Fn: x}
	if !s.atEnd() {
		s.arguments(start, call)
	}
	call.Spanned = s.from(start)
	return &ast.Do{Spanned: call.Spanned, Call: call}
}

// arguments reads those of a call without brackets.
func (s *session) arguments(start int, call *ast.Call) {
	if k := s.kind(); k == kindGroupOpen && s.kindAt(int(s.tokens[s.at].pair)+1) == kindBlockOpen {
		if d, wrong := s.habit(start); wrong { // for (…) { and its like
			s.complain(d)
			s.skip()
			return
		}
	}
	if d, wrong := s.notArguments(start); wrong {
		s.complain(d)
		s.skip()
		return
	}
	for {
		if s.atEnd() {
			s.complainMissing()
			return
		}
		if s.argStopsShort() {
			if d, wrong := s.habit(start); wrong {
				s.complain(d)
				s.skip()
				return
			}
		}
		call.Args = append(call.Args, s.arg())
		if s.kind() != kindComma {
			break
		}
		s.at++
	}
	if !s.atEnd() {
		if !s.faulty {
			if d, wrong := s.habit(start); wrong {
				s.complain(d)
			}
		}
		s.complainAfter(inArgumentList)
		s.skip()
	}
}

// argStopsShort reports whether the next argument is a name with = behind it,
// as in `var x = 1`.
func (s *session) argStopsShort() bool {
	return s.kind() == kindName && s.kindAt(s.at+1) == kindAssign
}

// complainNoName reports that a name is missing, or that a keyword stands in
// its place, which is then taken for it.
func (s *session) complainNoName(of string) lexer.Token {
	if s.kind().keyword() {
		s.complain(s.keywordAsName(s.at))
		t := lexer.Token{Value: s.text(s.at), Pos: lexer.Position{Offset: int(s.tokens[s.at].start)}}
		s.at++
		return t
	}
	s.complainExpected("the name of " + of)
	return lexer.Token{}
}
