package check

import (
	"strings"

	"wend/lang/ast"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/lang/types"
)

// call resolves a call: what is called, and which argument goes to which
// parameter. It returns the function, figure or word, or nil for a value.
func (r *resolver) call(e *ast.Call, use usage) *Object {
	target, receiver := r.callee(e, use)
	if receiver != nil {
		r.value(receiver)
	}
	for _, arg := range e.Args {
		r.value(arg.Value)
	}
	if target == nil {
		return nil
	}
	switch target.Kind {
	case Builtin:
		if target.Builtin.Value {
			r.arrangeValue(e) // judged as a value that is called
			return nil
		}
		r.placeOf(target.Builtin, calleeSpan(e))
		r.arrangeBuiltin(e, target, receiver)
		return target
	case Function, Figure:
		r.reach.uses(r.unit, target)
		if r.curve != nil {
			r.reach.curves = append(r.reach.curves, curveCall{r.stmt, target, calleeSpan(e)})
		}
		r.arrangeDefined(e, target, receiver)
		return target
	case ModuleRef:
		r.report(r.stmt, diag.New("module-as-value", e.Fn.Place(), diag.Args{"name": target.Name}))
		return nil
	}
	r.arrangeValue(e)
	return nil
}

// callee finds what a call calls, and the receiver of `x.f(a)`.
func (r *resolver) callee(e *ast.Call, use usage) (target *Object, receiver ast.Expr) {
	switch fn := e.Fn.(type) {
	case *ast.NameExpr:
		obj := r.lookup(fn.Name, fn.Span)
		if obj == nil {
			r.unknown(fn.Name, fn.Span, use)
			return nil, nil
		}
		r.program.Refs[fn] = obj
		switch obj.Kind {
		case Variable, Parameter, LoopVar, CurveVar:
			r.useObject(obj, fn.Span)
		case ModuleRef:
			r.read[obj] = true
		case Builtin:
			if obj.Builtin.Value {
				r.placeOf(obj.Builtin, fn.Span)
			}
		}
		return obj, nil
	case *ast.Field:
		if name, ok := unparen(fn.X).(*ast.NameExpr); ok {
			if obj := r.lookup(name.Name, name.Span); obj != nil && obj.Kind == ModuleRef {
				member := r.member(fn, name, obj)
				if member != nil && member.Kind == Variable {
					r.useObject(member, fn.Span)
				}
				return member, nil
			}
		}
		if obj := r.lookupMethod(fn.Name.Name); obj != nil {
			r.program.Refs[fn] = obj
			return obj, fn.X
		}
		r.field(fn)
		if isMeasure(fn.Name.Name) {
			r.arrangeValue(e)
			return nil, nil // judged when the kinds are known
		}
		if r.makesField(fn.Name.Name) {
			held := fn.Span
			r.report(r.stmt, diag.New("field-called", fn.Name.Span, diag.Args{"name": fn.Name.Name}).
				WithEdit(held, "("+held.Text()+")", false))
			return nil, nil
		}
		r.unknown(fn.Name.Name, fn.Name.Span, asMethod)
		return nil, nil
	}
	r.value(e.Fn)
	r.arrangeValue(e)
	return nil, nil
}

// makesField reports whether a record of this file has a field of a name.
func (r *resolver) makesField(name string) bool {
	found := false
	for _, stmt := range r.module.File.Body {
		ast.Walk(stmt, func(n ast.Node) bool {
			if f, ok := n.(*ast.RecordField); ok && f.Name.Name == name {
				found = true
			}
			return !found
		})
	}
	return found
}

func isMeasure(name string) bool {
	for _, f := range types.Fields {
		if f.Name == name {
			return true
		}
	}
	return false
}

// arrangeValue notes a call of a function value, which takes arguments by position.
func (r *resolver) arrangeValue(e *ast.Call) {
	how := &Call{}
	for _, arg := range e.Args {
		if arg.Name != nil {
			r.report(r.stmt, diag.New("names-for-value", arg.Name.Span, nil).
				WithEdit(source.Span{File: arg.Span.File, Start: arg.Name.Span.Start, End: arg.Value.Place().Start}, "", len(e.Args) == 1))
			return
		}
		how.Args = append(how.Args, arg.Value)
	}
	r.program.Calls[e] = how
}

// parameter is what arranging needs to know of one.
type parameter struct {
	name     string
	optional bool
	rest     bool
}

// arrange puts arguments in the order of parameters. The receiver, if any, is
// the first argument. The problem is nil if they fit.
func arrange(params []parameter, receiver ast.Expr, args []ast.Arg) ([]ast.Expr, *misfit) {
	given := make([]ast.Expr, len(params))
	next := 0
	var rest []ast.Expr
	place := func(x ast.Expr) bool {
		if next < len(params) {
			given[next] = x
			next++
			return true
		}
		if len(params) > 0 && params[len(params)-1].rest {
			rest = append(rest, x)
			return true
		}
		return false
	}
	if receiver != nil && !place(receiver) {
		return nil, &misfit{code: "too-many-arguments", span: receiver.Place(), most: len(params)}
	}
	var named *ast.Arg
	for i := range args {
		arg := &args[i]
		if arg.Name == nil {
			if named != nil {
				return nil, &misfit{code: "argument-order", span: arg.Value.Place(), name: named.Name.Name}
			}
			if !place(arg.Value) {
				return nil, &misfit{code: "too-many-arguments", span: arg.Value.Place().To(args[len(args)-1].Value.Place()), most: len(params), extra: i}
			}
			continue
		}
		named = arg
		at := -1
		for j, p := range params {
			if p.name == arg.Name.Name && !p.rest {
				at = j
			}
		}
		if at < 0 {
			return nil, &misfit{code: "unknown-argument", span: arg.Name.Span, name: arg.Name.Name}
		}
		if given[at] != nil {
			return nil, &misfit{code: "argument-twice", span: arg.Name.Span, name: arg.Name.Name, first: given[at].Place()}
		}
		given[at] = arg.Value
	}
	var missing []string
	for i, p := range params {
		if given[i] == nil && !p.optional && !p.rest {
			missing = append(missing, p.name)
		}
	}
	if len(missing) > 0 {
		return nil, &misfit{code: "missing-argument", missing: missing}
	}
	if n := len(params); n > 0 && params[n-1].rest && given[n-1] == nil {
		given = given[:n-1]
	}
	return append(given, rest...), nil
}

// misfit says why arguments do not fit parameters.
type misfit struct {
	code    diag.Code
	span    source.Span // unknown: the callee's
	name    string
	missing []string
	most    int
	extra   int // index of the first argument too many
	first   source.Span
}

// arrangeDefined arranges a call of a function or figure of a program.
func (r *resolver) arrangeDefined(e *ast.Call, target *Object, receiver ast.Expr) {
	params := definedParams(target)
	args, wrong := arrange(params, receiver, e.Args)
	if wrong != nil {
		if r.unreadable.at(target.Place) {
			return // not all of its parameters may be known
		}
		d := r.misfit(e, target, receiver, wrong, [][]parameter{params})
		if target.Place.Known() {
			d = d.WithRelated(target.Place, "defined here")
		}
		r.report(r.stmt, d)
		return
	}
	r.program.Calls[e] = &Call{Target: target, Args: args}
}

// definedParams are the parameters of a function or figure, also before its
// body was resolved.
func definedParams(target *Object) []parameter {
	var list []ast.Param
	switch def := target.Def.(type) {
	case *ast.FuncDef:
		list = def.Params
	case *ast.FigureDef:
		list = def.Params
	}
	params := make([]parameter, len(list))
	for i, p := range list {
		params[i] = parameter{name: p.Name.Name, optional: p.Default != nil}
	}
	return params
}

func formParams(form *types.Form) []parameter {
	params := make([]parameter, len(form.Params))
	for i, p := range form.Params {
		params[i] = parameter{p.Name, p.Optional, p.Rest}
	}
	return params
}

// arrangeBuiltin finds the forms of a library word that the arguments fit by
// number and name; which one it is depends on the kinds.
func (r *resolver) arrangeBuiltin(e *ast.Call, target *Object, receiver ast.Expr) {
	b := target.Builtin
	how := &Call{Target: target}
	var wrong *misfit
	var all [][]parameter
	for i := range b.Forms {
		form := &b.Forms[i]
		params := formParams(form)
		all = append(all, params)
		args, problem := arrange(params, receiver, e.Args)
		if problem != nil {
			if wrong == nil || problem.closer(wrong) {
				wrong = problem
			}
			continue
		}
		how.choices = append(how.choices, choice{form, args})
	}
	if len(how.choices) == 0 {
		if wrong != nil {
			r.report(r.stmt, r.misfit(e, target, receiver, wrong, all))
		}
		return
	}
	how.Form, how.Args = how.choices[0].form, how.choices[0].args
	r.program.Calls[e] = how
}

// closer prefers the problem that says most about what was meant.
func (m *misfit) closer(other *misfit) bool {
	rank := func(m *misfit) int {
		switch m.code {
		case "argument-order", "argument-twice":
			return 3
		case "missing-argument":
			return 2
		case "too-many-arguments":
			return 1
		}
		return 0
	}
	return rank(m) > rank(other)
}

// misfit makes the diagnostic of arguments that do not fit.
func (r *resolver) misfit(e *ast.Call, target *Object, receiver ast.Expr, m *misfit, forms [][]parameter) diag.Diagnostic {
	span := m.span
	if !span.Known() {
		span = calleeSpan(e)
	}
	word := calleeText(e)
	used := usageOf(word, forms, !e.Glued)
	count := len(e.Args)
	if receiver != nil {
		count++
	}
	hint := "it is called as " + used
	var d diag.Diagnostic
	switch m.code {
	case "missing-argument":
		if len(forms) > 1 {
			d = diag.New("no-such-form", span, diag.Args{"word": word, "count": diag.Counted(count, "argument")})
			break
		}
		quoted := make([]string, len(m.missing))
		for i, name := range m.missing {
			quoted[i] = "`" + name + "`"
		}
		d = diag.New("missing-argument", span, diag.Args{"word": word, "names": joinWith(quoted, "and")})
	case "too-many-arguments":
		if len(forms) > 1 {
			d = diag.New("no-such-form", span, diag.Args{"word": word, "count": diag.Counted(count, "argument")})
			break
		}
		most := diag.Counted(m.most, "argument")
		if m.most == 0 {
			most = "no arguments"
		}
		d = diag.New("too-many-arguments", span, diag.Args{"word": word, "most": most, "count": count})
	case "unknown-argument":
		d = diag.New(m.code, span, diag.Args{"word": word, "name": m.name})
		var known []string
		for _, params := range forms {
			for _, p := range params {
				if !p.rest {
					known = append(known, p.name)
				}
			}
		}
		if near := diag.Nearest(m.name, known, maxSuggestions); len(near) > 0 {
			return suggest(d, near)
		}
	case "argument-twice":
		d = diag.New(m.code, span, diag.Args{"word": word, "name": m.name}).WithRelated(m.first, "given here already")
	case "argument-order":
		return diag.New(m.code, span, diag.Args{"name": m.name})
	}
	d.Hint = hint
	return d
}

// calleeText is how a message names what is called.
func calleeText(e *ast.Call) string {
	if field, ok := e.Fn.(*ast.Field); ok {
		return field.Name.Name
	}
	return shorten(e.Fn.Place().Text())
}

// usageOf shows how a word is called: "`reach x, y` or `reach p`".
func usageOf(word string, forms [][]parameter, spaced bool) string {
	var ways []string
	for _, params := range forms {
		var names []string
		for _, p := range params {
			switch {
			case p.rest:
				names = append(names, "…")
			case p.optional:
				names = append(names, p.name+": …")
			default:
				names = append(names, p.name)
			}
		}
		list := strings.Join(names, ", ")
		if spaced {
			ways = append(ways, "`"+strings.TrimSpace(word+" "+list)+"`")
		} else {
			ways = append(ways, "`"+word+"("+list+")`")
		}
	}
	return joinWith(ways, "or")
}
