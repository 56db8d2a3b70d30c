package check

import (
	"wend/lang/ast"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/lang/types"
)

// resolver visits the statements of one body, its blocks and the bodies in it.
type resolver struct {
	*checker
	module *module
	place
	// begun and drawn are of the main file: where `begin` stands, and the first
	// statement before it that draws.
	begun, drawn source.Span
	erased       bool // the last `erase` of the main file stands outside its blocks
}

// place is where in a program the resolver is.
type place struct {
	scope  *scope
	body   *Body
	stmt   ast.Stmt // the statement that an error belongs to
	before ast.Stmt // the one before it in its block
	unit   *Object  // the function or figure being resolved; nil in a file
	curve  *ast.Curve
	where  where
	result *Object // function whose result `return` gives; nil for a FuncLit
	depth  int     // blocks around, within the body
	branch int     // branches around, within the body
	loops  []*loop // loops around, within the body
	above  int     // loops around the body itself, which it cannot leave
	// excused: what stands around was reported for drawing where nothing may.
	excused bool
	// framed: in a figure or `path { }`, or in what stands in one: places of the
	// page have no meaning there.
	framed bool
}

// loop is a loop being resolved.
type loop struct{ left bool } // by a break

// where is what sort of body a statement stands in.
type where uint8

const (
	inFile where = iota
	inUsedFile
	inFigure
	inPath
	inFunction
	inCurve
	inDefault // the default of a parameter
)

func (w where) String() string {
	return [...]string{"the file", "a used file", "a figure", "`path { }`", "a `fn`", "a curve's formula", "a default"}[w]
}

// draws reports whether statements there may draw.
func (w where) draws() bool { return w == inFile || w == inFigure || w == inPath }

// resolveAll resolves the bodies of all files, also of themes that come in on the way.
func (c *checker) resolveAll() {
	for len(c.pending) > 0 {
		m := c.pending[0]
		c.pending = c.pending[1:]
		c.resolveModule(m)
	}
	c.reportChance()
}

func (c *checker) resolveModule(m *module) {
	r := &resolver{checker: c, module: m}
	for _, stmt := range m.File.Body {
		switch s := stmt.(type) {
		case *ast.FuncDef:
			r.function(s)
		case *ast.FigureDef:
			r.figure(s)
		}
	}

	// The file's own statements see a variable only after its let, so their
	// scope begins without variables.
	early := &scope{body: m.Body, names: map[string]*Object{}, later: map[string]*ast.Let{}}
	for name, obj := range m.scope.names {
		if obj.Kind != Variable {
			early.names[name] = obj
		}
	}
	r.place = place{scope: early, body: m.Body, where: inFile}
	if !m.main {
		r.where = inUsedFile
	}
	m.Body.Draws = r.where.draws()
	r.statements(m.File.Body)
}

// function resolves a top-level fn.
func (r *resolver) function(s *ast.FuncDef) {
	obj := r.program.Defs[s]
	saved := r.place
	defer func() { r.place = saved }()
	r.place = place{stmt: s, unit: obj, where: inFunction, result: obj}
	r.openBody(s, nil, false)
	r.scope.outer = r.module.scope
	obj.Params = r.params(s.Params)
	r.parameterKinds(obj)
	switch {
	case s.Result != nil:
		r.value(s.Result)
		r.flowItem(roleReturn, s.Result, obj)
	case s.Body != nil:
		r.returnsAlways(s.Name.Span, s.Body)
	}
}

func (r *resolver) figure(s *ast.FigureDef) {
	obj := r.program.Defs[s]
	saved := r.place
	defer func() { r.place = saved }()
	r.place = place{stmt: s, unit: obj, where: inFigure, framed: true}
	r.openBody(s, nil, true)
	r.scope.outer = r.module.scope
	obj.Params = r.params(s.Params)
	obj.Result = types.Path
	r.parameterKinds(obj)
	r.block(s.Body)
}

// returnsAlways resolves the block of a fn and reports a way out without a value.
func (r *resolver) returnsAlways(name source.Span, b *ast.Block) {
	// A `return` that could not be understood is an error already.
	before := len(r.failed)
	if leaves := r.block(b); !leaves && len(r.failed) == before {
		end := source.Span{File: b.Span.File, Start: max(b.Span.Start, b.Span.End-1), End: b.Span.End}
		r.report(r.stmt, diag.New("return-missing", name, nil).
			WithRelated(end, "the end can be reached without a `return`"))
	}
}

// openBody begins a body with a scope of its own.
func (r *resolver) openBody(node ast.Node, outer *Body, draws bool) {
	r.body = &Body{Node: node, Outer: outer, Draws: draws}
	r.program.Bodies[node] = r.body
	r.scope = &scope{outer: r.scope, body: r.body, names: map[string]*Object{}}
	r.above += len(r.loops)
	r.depth, r.branch, r.loops = 0, 0, nil
}

// params defines the parameters of a body. A default may read those before it.
func (r *resolver) params(list []ast.Param) []Param {
	params := make([]Param, 0, len(list))
	for i := range list {
		p := &list[i]
		if p.Default != nil {
			saved := r.where
			r.where = inDefault
			r.value(p.Default)
			r.where = saved
		}
		obj := &Object{Kind: Parameter, Name: p.Name.Name, Place: p.Name.Span, Body: r.body, Module: r.module.Module}
		r.program.Defs[p] = obj
		r.body.Vars = append(r.body.Vars, obj)
		params = append(params, Param{Name: p.Name.Name, Default: p.Default, Object: obj})
		if obj.Name == "" {
			continue // it could not be read, which was reported
		}
		if first := r.scope.names[obj.Name]; first != nil {
			r.report(r.stmt, diag.New("defined-twice", obj.Place, diag.Args{"name": obj.Name}).
				WithRelated(first.Place, "the other definition"))
			continue
		}
		r.scope.names[obj.Name] = obj
		if !r.module.theme {
			r.warnMixedScripts(obj.Name, obj.Place)
		}
	}
	return params
}

// block resolves a block in a scope of its own and reports whether every way
// through it leaves it (by return, break or continue).
func (r *resolver) block(b *ast.Block) bool {
	if b == nil {
		return false
	}
	saved := r.scope
	r.scope = &scope{outer: saved, body: r.body, names: map[string]*Object{}, later: map[string]*ast.Let{}}
	r.depth++
	leaves := r.statements(b.Stmts)
	r.depth--
	for name, obj := range r.scope.names {
		r.module.gone[name] = obj
	}
	r.scope = saved
	return leaves
}

// statements resolves the statements of a block or a file.
func (r *resolver) statements(list []ast.Stmt) bool {
	for _, stmt := range list {
		if let, ok := stmt.(*ast.Let); ok && let.Name.Name != "" && r.scope.later[let.Name.Name] == nil {
			r.scope.later[let.Name.Name] = let
		}
	}
	leaves := false
	for i, stmt := range list {
		if leaves && i > 0 {
			if !r.module.theme {
				r.report(nil, diag.New("never-runs", firstLine(stmt.Place()), nil).
					WithRelated(list[i-1].Place(), "nothing goes past here"))
			}
			// The rest is resolved all the same, but said no more about.
			for _, rest := range list[i:] {
				r.statement(rest)
			}
			return true
		}
		r.before = nil
		if i > 0 {
			r.before = list[i-1]
		}
		leaves = r.statement(stmt)
	}
	return leaves
}

// firstLine is the part of a span on the line where it begins.
func firstLine(s source.Span) source.Span {
	text := s.Text()
	for i := 0; i < len(text); i++ {
		if text[i] == '\n' || text[i] == '\r' {
			return source.Span{File: s.File, Start: s.Start, End: s.Start + i}
		}
	}
	return s
}

// statement resolves one statement and reports whether it never lets the next one run.
func (r *resolver) statement(stmt ast.Stmt) (leaves bool) {
	saved := r.stmt
	r.stmt = stmt
	defer func() { r.stmt = saved }()
	if r.where == inUsedFile && r.depth == 0 {
		switch stmt.(type) {
		case *ast.Use, *ast.Let, *ast.FuncDef, *ast.FigureDef:
		default:
			r.report(stmt, diag.New("statement-in-used-file", firstLine(stmt.Place()), nil))
			r.excused = true
			defer func() { r.excused = false }()
		}
	}
	switch s := stmt.(type) {
	case *ast.Use:
		if !r.outermost(s, "use") && s.Name.Name != "" {
			r.scope.names[s.Name.Name] = &Object{Kind: ModuleRef, Name: s.Name.Name, Place: s.Name.Span}
		}
	case *ast.FuncDef:
		if r.outermost(s, "fn") {
			break
		}
		r.strayDefinition(s, Function, s.Name, func() { r.function(s) })
	case *ast.FigureDef:
		if r.outermost(s, "figure") {
			break
		}
		r.strayDefinition(s, Figure, s.Name, func() { r.figure(s) })
	case *ast.Let:
		r.let(s)
	case *ast.Assign:
		r.assign(s)
	case *ast.Repeat:
		r.value(s.Count)
		r.flowItem(roleCount, s.Count, nil)
		r.loop(s.Body)
	case *ast.LoopIn:
		r.value(s.Values)
		obj := r.variable(LoopVar, s.Var)
		r.program.Defs[s] = obj
		r.flowItem(roleLoop, s.Values, obj)
		r.warnHides(obj)
		obj.Loop = s
		if s.Index == nil {
			r.loop(s.Body, obj)
			break
		}
		index := r.variable(LoopVar, *s.Index)
		r.program.Defs[s.Index] = index
		index.Kinds, index.Loop = types.Number, s
		r.flow.state(index).shape = number
		r.warnHides(index)
		if index.Name == obj.Name && obj.Name != "" {
			r.report(s, diag.New("defined-twice", obj.Place, diag.Args{"name": obj.Name}).
				WithRelated(index.Place, "the other definition"))
		}
		r.loop(s.Body, index, obj)
	case *ast.LoopWhile:
		r.value(s.Cond)
		r.flowItem(roleCondition, s.Cond, nil)
		left := r.loop(s.Body)
		always, ok := unparen(s.Cond).(*ast.BoolLit)
		return ok && always.Value && !left
	case *ast.If:
		return r.ifs(s)
	case *ast.Return:
		return r.returns(s)
	case *ast.Break:
		if !r.leaveLoop("break", s.Span) {
			return false
		}
		r.loops[len(r.loops)-1].left = true
		return true
	case *ast.Continue:
		return r.leaveLoop("continue", s.Span)
	case *ast.Draw:
		r.drawing("draw", headWord(s.Span, "draw"))
		r.value(s.Path)
		r.flowItem(roleDraw, s.Path, nil)
		if s.At != nil {
			r.value(s.At)
			r.flowItem(roleAt, s.At, nil)
		}
	case *ast.Branch:
		excused := r.excused
		if !r.draws() {
			r.drawing("branch", headWord(s.Span, "branch"))
			r.excused = true
		}
		r.branch++
		leaves := r.block(s.Body)
		r.branch--
		r.excused = excused
		return leaves
	case *ast.Do:
		r.do(s)
	}
	return false
}

// headWord is the span of the keyword that a statement starts with.
func headWord(s source.Span, word string) source.Span {
	return source.Span{File: s.File, Start: s.Start, End: min(s.End, s.Start+len(word))}
}

// outermost reports a definition that stands within a block.
func (r *resolver) outermost(stmt ast.Stmt, word string) bool {
	if r.depth == 0 && (r.where == inFile || r.where == inUsedFile) {
		return true
	}
	d := diag.New("definition-in-block", headWord(stmt.Place(), word), diag.Args{"word": word})
	if def, ok := stmt.(*ast.FuncDef); ok {
		d.Hint += "; a function for this block alone is a value: `let " + def.Name.Name + " = fn(…) = …`"
	}
	r.report(stmt, d)
	return false
}

// strayDefinition resolves a definition in a block, so that its name is known
// and its body is checked too.
func (r *resolver) strayDefinition(node ast.Node, kind ObjectKind, name ast.Ident, body func()) {
	obj := &Object{Kind: kind, Name: name.Name, Place: name.Span, Def: node, Module: r.module.Module}
	r.program.Defs[node] = obj
	if obj.Name != "" {
		r.scope.names[obj.Name] = obj
	}
	body()
}

// variable makes a variable of the body that is being resolved.
func (r *resolver) variable(kind ObjectKind, name ast.Ident) *Object {
	obj := &Object{Kind: kind, Name: name.Name, Place: name.Span, Body: r.body, Module: r.module.Module}
	r.body.Vars = append(r.body.Vars, obj)
	if !r.module.theme {
		r.warnMixedScripts(obj.Name, obj.Place)
	}
	return obj
}

func (r *resolver) let(s *ast.Let) {
	r.value(s.Value)
	delete(r.scope.later, s.Name.Name)
	name := s.Name.Name
	obj := r.program.Defs[s] // a file-scope variable was made when the file was loaded
	if obj == nil {
		if first := r.scope.names[name]; first != nil {
			r.report(s, removeLet(diag.New("defined-twice", s.Name.Span, diag.Args{"name": name}).
				WithRelated(first.Place, "the other definition"), s, first.Kind == Variable))
			obj = first
			if first.Kind != Variable && first.Kind != Parameter && first.Kind != LoopVar {
				obj = r.variable(Variable, s.Name)
			}
		} else if outer := r.ownOuter(name); outer != nil {
			d := diag.New("let-again", s.Name.Span, diag.Args{"name": name}).WithRelated(outer.Place, "the variable around it")
			if outer.Kind == Variable || outer.Kind == Parameter {
				d = removeLet(d, s, false)
			}
			r.report(s, d)
			obj = r.variable(Variable, s.Name)
		} else {
			obj = r.variable(Variable, s.Name)
		}
		r.program.Defs[s] = obj
	}
	if name != "" && r.scope.names[name] == nil {
		r.scope.names[name] = obj
		if !r.module.theme && (!obj.Global || r.module.main) {
			r.locals = append(r.locals, obj)
		}
	}
	r.flowItem(roleAssign, s.Value, obj)
}

// ownOuter is the variable of that name in a block around, of the same body.
func (r *resolver) ownOuter(name string) *Object {
	for s := r.scope.outer; s != nil && s.body == r.body; s = s.outer {
		if obj := s.names[name]; obj != nil && obj.Body == r.body {
			return obj
		}
	}
	return nil
}

// warnHides warns of a loop variable that hides one of the same body.
func (r *resolver) warnHides(obj *Object) {
	outer := r.scope.names[obj.Name]
	if outer == nil || outer.Body != r.body {
		outer = r.ownOuter(obj.Name)
	}
	if outer != nil && outer.Body == r.body && !r.module.theme {
		r.report(nil, diag.New("loop-hides", obj.Place, diag.Args{"name": obj.Name}).
			WithRelated(outer.Place, "the variable that is hidden"))
	}
}

// loop resolves the body of a loop and reports whether a break leaves it.
func (r *resolver) loop(b *ast.Block, variables ...*Object) bool {
	saved := r.scope
	if len(variables) > 0 {
		r.scope = &scope{outer: saved, body: r.body, names: map[string]*Object{}}
		for _, v := range variables {
			r.scope.names[v.Name] = v
		}
	}
	here := &loop{}
	r.loops = append(r.loops, here)
	r.block(b)
	r.loops = r.loops[:len(r.loops)-1]
	for _, v := range variables {
		r.module.gone[v.Name] = v
	}
	r.scope = saved
	return here.left
}

// ifs resolves an if with all that follows by else.
func (r *resolver) ifs(s *ast.If) bool {
	leaves := true
	for {
		r.value(s.Cond)
		r.flowItem(roleCondition, s.Cond, nil)
		leaves = r.block(s.Then) && leaves
		switch next := s.Else.(type) {
		case *ast.If:
			s = next
			continue
		case *ast.Block:
			if next == nil {
				return false
			}
			return r.block(next) && leaves
		}
		return false
	}
}

// leaveLoop holds break and continue to loops of the body they stand in.
func (r *resolver) leaveLoop(word string, span source.Span) bool {
	switch {
	case len(r.loops) > 0:
		return true
	case r.above > 0:
		r.report(r.stmt, diag.New("break-across", span, diag.Args{"word": word, "where": r.where}))
	default:
		r.report(r.stmt, diag.New("break-outside", span, diag.Args{"word": word}))
	}
	return false
}

// returns resolves a return and reports whether there is something to leave.
func (r *resolver) returns(s *ast.Return) bool {
	if s.Value != nil {
		r.value(s.Value)
	}
	switch {
	case r.where == inFile || r.where == inUsedFile:
		r.report(s, diag.New("return-outside", s.Span, nil))
		return false
	case r.where == inFunction && s.Value == nil:
		r.report(s, diag.New("return-without-value", s.Span, nil))
	case r.where == inFunction:
		r.flowItem(roleReturn, s.Value, r.result)
	case s.Value != nil:
		rest := source.Span{File: s.Span.File, Start: s.Span.Start + len("return"), End: s.Span.End}
		r.report(s, diag.New("return-value", s.Value.Place(), diag.Args{"where": r.where}).WithEdit(rest, "", false))
	}
	return true
}

// draws reports whether statements here may draw.
func (p *place) draws() bool { return p.excused || p.where.draws() }

// drawing holds a word that draws to the places where that is allowed.
func (r *resolver) drawing(word string, span source.Span) {
	if !r.draws() {
		r.report(r.stmt, diag.New("draws-in-function", span, diag.Args{"word": word, "where": r.where}))
	}
	if r.where == inFile && !r.drawn.Known() {
		r.drawn = span
	}
}
