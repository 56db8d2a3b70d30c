package check

import (
	"slices"
	"strings"

	"wend/lang/ast"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/lang/types"
)

// value resolves an expression that is used as a value.
func (r *resolver) value(e ast.Expr) {
	switch e := e.(type) {
	case *ast.NameExpr:
		r.nameValue(e)
	case *ast.TextLit:
		for _, part := range e.Parts {
			if part.Value != nil {
				r.dollar(part)
				r.value(part.Value)
			}
		}
	case *ast.PointLit:
		r.value(e.X)
		r.value(e.Y)
	case *ast.ListLit:
		for _, item := range e.Items {
			r.value(item)
		}
	case *ast.RecordLit:
		r.recordValue(e)
	case *ast.Range:
		r.downward(e)
		r.value(e.From)
		r.value(e.To)
		if e.By != nil {
			r.value(e.By)
		}
	case *ast.Unary:
		r.value(e.X)
	case *ast.Binary:
		r.value(e.X)
		r.value(e.Y)
	case *ast.Compare:
		for _, x := range e.Operands {
			r.value(x)
		}
	case *ast.Call:
		r.call(e, asCallee)
	case *ast.Index:
		r.value(e.X)
		r.value(e.I)
	case *ast.Field:
		r.field(e)
	case *ast.Paren:
		r.value(e.X)
	case *ast.Choice:
		r.value(e.Cond)
		r.value(e.Then)
		r.value(e.Else)
	case *ast.FuncLit:
		r.functionValue(e)
	case *ast.PathLit:
		saved := r.place
		r.where, r.framed = inPath, true
		r.openBody(e, r.body, true)
		r.block(e.Body)
		r.place = saved
	case *ast.Curve:
		r.curveValue(e)
	}
}

// dollar warns of a `$` before an insert, which other languages write there.
func (r *resolver) dollar(part ast.TextPart) {
	span := part.Span
	if text := span.File.Text; span.Start > 0 && text[span.Start] != '{' && text[span.Start-1] == '{' {
		span.Start--
	}
	if span.Start < 1 || span.File.Text[span.Start-1] != '$' {
		return
	}
	sign := source.Span{File: span.File, Start: span.Start - 1, End: span.Start}
	r.report(r.stmt, diag.New("dollar-in-text", sign, nil).WithEdit(sign, "", false))
}

// downward warns of a range that is empty as it is written.
func (r *resolver) downward(e *ast.Range) {
	from, ok := unparen(e.From).(*ast.NumberLit)
	to, also := unparen(e.To).(*ast.NumberLit)
	if !ok || !also || e.By != nil || from.Value <= to.Value {
		return
	}
	text := e.Place().Text()
	end := source.Span{File: e.Span.File, Start: e.Span.End, End: e.Span.End}
	r.report(r.stmt, diag.New("range-downward", e.Place(), diag.Args{"range": text}).WithEdit(end, " by -1", false))
}

// recordValue resolves `{name: value}`; each name stands once.
func (r *resolver) recordValue(e *ast.RecordLit) {
	first := make(map[string]source.Span, len(e.Fields))
	for _, f := range e.Fields {
		if span, twice := first[f.Name.Name]; twice {
			r.report(r.stmt, diag.New("field-twice", f.Name.Span, diag.Args{"name": f.Name.Name}).WithRelated(span, "it stands here already"))
		} else {
			first[f.Name.Name] = f.Name.Span
		}
		r.value(f.Value)
	}
}

func (r *resolver) nameValue(e *ast.NameExpr) {
	obj := r.lookup(e.Name, e.Span)
	if obj == nil {
		r.unknown(e.Name, e.Span, asValue)
		return
	}
	r.program.Refs[e] = obj
	if obj.Kind == ModuleRef {
		r.read[obj] = true
		r.report(r.stmt, diag.New("module-as-value", e.Span, diag.Args{"name": e.Name}))
		return
	}
	if obj.Kind == Builtin && obj.Builtin.Op == types.Page && r.framed {
		r.report(r.stmt, diag.New("page-in-figure", e.Span, diag.Args{"name": "page", "where": r.frame()}))
		return
	}
	r.useObject(obj, e.Span)
}

// frame says, of a place where the page's places have no meaning, which one it is.
func (r *resolver) frame() string {
	if r.where.draws() {
		return r.where.String()
	}
	return r.where.String() + " within a figure"
}

// useObject notes that a name is read as a value, and holds a library word to
// the places where it may be.
func (r *resolver) useObject(obj *Object, span source.Span) {
	switch obj.Kind {
	case Variable, Parameter, LoopVar, CurveVar:
		r.read[obj] = true
		if obj.Body != r.body {
			r.capture(obj)
		}
	case Function, Figure:
		obj.AsValue = true
		r.reach.uses(r.unit, obj)
	case Builtin:
		b := obj.Builtin
		if !b.Value && isStatement(b) {
			r.report(r.stmt, diag.New("word-as-value", span, diag.Args{"word": b.Name}))
			return
		}
		r.placeOf(b, span)
	}
}

// capture notes that a body, and those around it up to the variable's own, read
// a variable from outside. A file's variables are read where they are, except
// by a function value, which copies them when it is made.
func (r *resolver) capture(obj *Object) {
	last := obj.Body
	if obj.Global {
		last = nil
		for b := r.body; b != nil; b = b.Outer {
			if _, ok := b.Node.(*ast.FuncLit); ok {
				last = b.Outer
			}
		}
		if last == nil {
			return
		}
	}
	for b := r.body; b != nil && b != last; b = b.Outer {
		if b.captured == nil {
			b.captured = map[*Object]bool{}
		}
		if b.captured[obj] {
			return
		}
		b.captured[obj] = true
		b.Captures = append(b.Captures, obj)
	}
}

// field resolves `x.name` that is not called: a member of a module, or a
// measure, which is judged when the kinds are known.
func (r *resolver) field(e *ast.Field) {
	if name, ok := unparen(e.X).(*ast.NameExpr); ok {
		obj := r.lookup(name.Name, name.Span)
		if obj != nil && obj.Kind == ModuleRef {
			if member := r.member(e, name, obj); member != nil {
				r.useObject(member, e.Span)
			}
			return
		}
		if obj != nil && obj.Kind == Builtin && obj.Builtin.Op == types.Page {
			r.program.Refs[name] = obj
			if r.framed && e.Name.Name != "width" && e.Name.Name != "height" {
				r.report(r.stmt, diag.New("page-in-figure", e.Span, diag.Args{"name": "page." + e.Name.Name, "where": r.frame()}))
				return
			}
			r.placeOf(obj.Builtin, name.Span)
			return
		}
	}
	r.value(e.X)
}

// member finds the member of a module that `module.name` means.
func (r *resolver) member(e *ast.Field, name *ast.NameExpr, of *Object) *Object {
	r.program.Refs[name] = of
	r.read[of] = true
	if of.Module == nil {
		return nil // it could not be loaded, which was reported
	}
	if obj := of.Module.Members[e.Name.Name]; obj != nil {
		r.program.Refs[e] = obj
		return obj
	}
	full := name.Name + "." + e.Name.Name
	if e.Name.Name == "" || r.module.unknown[full] || r.unreadable.mentions(of.Module.File.Source, e.Name.Name) {
		return nil
	}
	r.module.unknown[full] = true
	var known []string
	for n := range of.Module.Members {
		known = append(known, n)
	}
	slices.Sort(known)
	d := diag.New("unknown-member", e.Name.Span, diag.Args{"module": name.Name, "name": e.Name.Name})
	switch near := diag.Nearest(e.Name.Name, known, maxSuggestions); {
	case len(near) > 0:
		d = suggest(d, near)
	case len(known) > 0 && len(known) <= maxListed:
		d.Hint = "it defines `" + strings.Join(known, "`, `") + "`"
	case slices.Contains(r.library.Modules, name.Name):
		d.Hint = "`wend explain " + name.Name + "` lists what it has"
	}
	r.report(r.stmt, d)
	return nil
}

// maxListed is how many members of a module a hint lists at most.
const maxListed = 8

// functionValue resolves `fn(t) = …` and `fn(t) { … }`.
func (r *resolver) functionValue(e *ast.FuncLit) {
	saved := r.place
	defer func() { r.place = saved }()
	r.where, r.result = inFunction, nil
	r.openBody(e, r.body, false)
	for _, p := range r.params(e.Params) {
		// It may be called with anything.
		r.flow.state(p.Object).shape = anything
		p.Object.Kinds = types.Any
	}
	if e.Result != nil {
		r.value(e.Result)
		return // it is judged with the expression that holds it
	}
	if e.Body != nil {
		r.returnsAlways(source.Span{File: e.Span.File, Start: e.Span.Start, End: min(e.Span.End, e.Span.Start+2)}, e.Body)
	}
}

// curveValue resolves `curve t in a..b = (x, y)`.
func (r *resolver) curveValue(e *ast.Curve) {
	interval, ok := unparen(e.Interval).(*ast.Range)
	switch {
	case ok && interval.By != nil:
		step := source.Span{File: interval.Span.File, Start: interval.To.Place().End, End: interval.By.Place().End}
		r.report(r.stmt, diag.New("curve-step", interval.By.Place(), nil).WithEdit(step, "", true))
	case !ok:
		if _, bad := unparen(e.Interval).(*ast.Bad); !bad {
			r.report(r.stmt, diag.New("curve-interval", e.Interval.Place(), nil))
		}
	}
	if ok { // it may run downward
		for _, end := range []ast.Expr{interval.From, interval.To, interval.By} {
			if end != nil {
				r.value(end)
			}
		}
	} else {
		r.value(e.Interval)
	}

	saved := r.place
	defer func() { r.place = saved }()
	r.where, r.curve = inCurve, e
	r.openBody(e, r.body, false)
	obj := r.variable(CurveVar, e.Var)
	obj.Kinds = types.Number
	r.program.Defs[e] = obj
	r.scope.names[obj.Name] = obj
	r.value(e.Formula)
}
