package check

import (
	"wend/lang/ast"
	"wend/lang/diag"
	"wend/lang/source"
)

// assign resolves `x = v` and `xs[i] = v`: only variables of the body itself
// and items of lists in them can be given a value.
func (r *resolver) assign(s *ast.Assign) {
	r.value(s.Value)
	target := unparen(s.Target)
	var indices []*ast.Index
	for {
		index, ok := target.(*ast.Index)
		if !ok {
			break
		}
		r.value(index.I)
		indices = append(indices, index)
		target = unparen(index.X)
	}
	switch t := target.(type) {
	case *ast.NameExpr:
		obj := r.assignable(s, t, len(indices) > 0)
		if obj == nil {
			r.flowItem(roleValue, s.Value, nil)
			return
		}
		r.program.Refs[t] = obj
		if obj.Body != r.body {
			r.capture(obj)
		}
		if len(indices) > 0 {
			r.flowIndexed(s, indices, obj)
		} else {
			r.flowItem(roleAssign, s.Value, obj)
		}
	case *ast.Field:
		r.assignField(s, t)
	case *ast.Bad:
		r.failed[s] = true
	default:
		r.value(target)
		r.report(s, diag.New("assign-value", s.Target.Place(), nil))
	}
}

// assignable is the variable that a name in the place of a target stands for,
// or nil if it cannot be given a value, which is reported.
func (r *resolver) assignable(s *ast.Assign, t *ast.NameExpr, indexed bool) *Object {
	if t.Name == "" {
		return nil
	}
	args := diag.Args{"name": t.Name}
	obj := r.scope.find(t.Name)
	if obj == nil {
		if let := r.scope.findLater(t.Name); let != nil {
			r.unknown(t.Name, t.Span, asValue)
			return nil
		}
		if library := r.lookupLibrary(t.Name); library != nil {
			d := diag.New("assign-word", t.Span, args)
			if !indexed {
				d = d.WithEdit(s.Span.Head(), "let ", false)
			}
			r.report(s, d)
			return nil
		}
		if r.module.unknown[t.Name] || r.unreadable.mentions(t.Span.File, t.Name) {
			r.failed[s] = true
			return nil
		}
		if indexed {
			r.unknown(t.Name, t.Span, asValue)
			return nil
		}
		r.assignUndeclared(s, t)
		return nil
	}
	switch {
	case obj.Kind == LoopVar && obj.Body == r.body:
		r.report(s, diag.New("assign-loop-variable", t.Span, args).WithRelated(obj.Place, "the loop gives it its values"))
	case obj.Kind == Variable || obj.Kind == Parameter || obj.Kind == LoopVar || obj.Kind == CurveVar:
		if obj.Body == r.body {
			return obj
		}
		d := diag.New("assign-outer", t.Span, diag.Args{"name": t.Name, "where": r.where}).
			WithRelated(obj.Place, "the variable stands outside")
		if r.where == inFunction {
			d.Hint = "`return` the new value and assign it where the function is called"
		} else {
			d.Hint = "make a variable of its own here, as in `let my_" + t.Name + " = " + t.Name + "`"
		}
		r.report(s, d)
	default:
		r.report(s, diag.New("assign-word", t.Span, args).WithRelated(obj.Place, "it is defined here"))
	}
	return nil
}

// assignUndeclared reports `x = 1` without a let and makes x known from here on,
// so that it is said once.
func (r *resolver) assignUndeclared(s *ast.Assign, t *ast.NameExpr) {
	d := diag.New("assign-undeclared", t.Span, diag.Args{"name": t.Name})
	var variables []string
	for sc := r.scope; sc != nil; sc = sc.outer {
		for name, obj := range sc.names {
			if obj.Body == r.body && (obj.Kind == Variable || obj.Kind == Parameter) {
				variables = append(variables, name)
			}
		}
	}
	near := diag.Nearest(t.Name, variables, maxSuggestions)
	if len(near) > 0 {
		d = suggest(d, near)
		for _, name := range near {
			r.read[r.scope.find(name)] = true
		}
	}
	// In the outer block of its body the new variable is known wherever the
	// name was meant, unless a function reads it too.
	certain := len(near) == 0 && (r.depth == 0 || r.depth == 1 && r.where != inFile && r.where != inUsedFile)
	d = d.WithEdit(s.Span.Head(), "let ", certain)
	r.report(s, d)
	r.module.unknown[t.Name] = true
}

// assignField reports `p.x = 3`: a value has no parts that change by themselves.
func (r *resolver) assignField(s *ast.Assign, t *ast.Field) {
	name := t.Name.Name
	owner, plain := unparen(t.X).(*ast.NameExpr)
	if plain {
		if obj := r.lookup(owner.Name, owner.Span); obj != nil && obj.Kind == ModuleRef {
			r.read[obj] = true
			r.report(s, diag.New("assign-module", t.Span, diag.Args{"name": name, "module": owner.Name}))
			return
		}
	}
	r.value(t.X)
	d := diag.New("assign-field", t.Span, diag.Args{"name": name})
	if plain && (name == "x" || name == "y") {
		obj := r.program.Refs[owner]
		value := s.Value.Place().Text()
		point := "(" + value + ", " + owner.Name + ".y)"
		if name == "y" {
			point = "(" + owner.Name + ".x, " + value + ")"
		}
		mine := obj != nil && obj.Body == r.body && (obj.Kind == Variable || obj.Kind == Parameter)
		d = d.WithHint("make a new point: `%s = %s`", owner.Name, shorten(point)).
			WithEdit(source.Span{File: s.Span.File, Start: s.Span.Start, End: s.Span.End}, owner.Name+" = "+point, mine && r.onlyPoint(obj))
	}
	r.report(s, d)
}

// onlyPoint tells whether a variable's first value is written as a point.
func (r *resolver) onlyPoint(obj *Object) bool {
	for _, item := range r.flow.state(obj).sources {
		if _, ok := unparen(item.expr).(*ast.PointLit); !ok {
			return false
		}
	}
	return len(r.flow.state(obj).sources) > 0
}

// unparen is an expression without the brackets around it.
func unparen(e ast.Expr) ast.Expr {
	for {
		p, ok := e.(*ast.Paren)
		if !ok {
			return e
		}
		e = p.X
	}
}
