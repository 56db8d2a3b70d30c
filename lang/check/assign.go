package check

import (
	"strings"

	"wend/lang/ast"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/lang/types"
)

// assign resolves `x = v`, `xs[i] = v`, `r.name = v` and changes in place: only
// variables of the body itself, and what is in them, can be given a value.
func (r *resolver) assign(s *ast.Assign) {
	r.value(s.Value)
	value := s.Value
	if s.Op != "" {
		change := &ast.Binary{Spanned: s.Spanned, Op: s.Op, OpSpan: s.OpSpan, X: s.Target, Y: s.Value}
		r.program.Changes[s] = change
		value = change
	}
	target := unparen(s.Target)
	base := target
	for inner := true; inner; {
		switch part := base.(type) {
		case *ast.Index:
			r.value(part.I)
			base = unparen(part.X)
		case *ast.Field:
			base = unparen(part.X)
		default:
			inner = false
		}
	}
	switch t := base.(type) {
	case *ast.NameExpr:
		obj := r.assignable(s, t, base != target)
		if obj == nil {
			r.flowItem(roleValue, s.Value, nil)
			return
		}
		r.program.Refs[t] = obj
		if obj.Body != r.body {
			r.capture(obj)
		}
		if base != target {
			r.flowItem(roleStored, value, obj).assign = s
		} else {
			r.flowItem(roleAssign, value, obj)
		}
	case *ast.Bad:
		r.failed[s] = true
	default:
		r.value(base)
		r.report(s, diag.New("assign-value", s.Target.Place(), nil))
	}
}

// assignable is the variable that a name in the place of a target stands for,
// or nil if it cannot be given a value, which is reported.
func (r *resolver) assignable(s *ast.Assign, t *ast.NameExpr, inside bool) *Object {
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
			r.assignWord(s, t, library, inside)
			return nil
		}
		if r.module.unknown[t.Name] || r.unreadable.mentions(t.Span.File, t.Name) {
			r.failed[s] = true
			return nil
		}
		if inside {
			r.unknown(t.Name, t.Span, asValue)
			return nil
		}
		r.assignUndeclared(s, t)
		return nil
	}
	switch {
	case obj.Kind == LoopVar && obj.Body == r.body:
		r.assignLoopVariable(s, t, obj)
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
	case obj.Kind == ModuleRef && inside:
		r.assignModule(s, t)
	default:
		r.report(s, diag.New("assign-word", t.Span, args).WithRelated(obj.Place, "it is defined here"))
	}
	return nil
}

// assignWord reports that a word of the library is given a value.
func (r *resolver) assignWord(s *ast.Assign, t *ast.NameExpr, word *Object, inside bool) {
	if word.Kind == ModuleRef && inside {
		r.assignModule(s, t)
		return
	}
	d := diag.New("assign-word", t.Span, diag.Args{"name": t.Name})
	switch {
	case s.Op != "" && !inside && word.Kind == Builtin && isStatement(word.Builtin):
		sign := " "
		if s.Op == ast.Sub {
			sign = " -"
		}
		gap := source.Span{File: s.Span.File, Start: s.Target.Place().End, End: s.Value.Place().Start}
		d = d.WithHint("what `%s` needs stands behind it: `%s%s%s`", t.Name, t.Name, sign, shorten(s.Value.Place().Text())).
			WithEdit(gap, sign, false)
	case s.Op == "" && !inside:
		d = d.WithEdit(s.Span.Head(), "let ", false)
	}
	r.report(s, d)
}

func (r *resolver) assignModule(s *ast.Assign, module *ast.NameExpr) {
	obj := r.lookup(module.Name, module.Span)
	r.read[obj] = true
	name := module.Name
	if field, ok := unparen(s.Target).(*ast.Field); ok {
		name = field.Name.Name
	}
	r.report(s, diag.New("assign-module", s.Target.Place(), diag.Args{"name": name, "module": module.Name}))
}

// assignLoopVariable reports that a loop's own variable is changed, and offers
// to change the item that it holds where that stands.
func (r *resolver) assignLoopVariable(s *ast.Assign, t *ast.NameExpr, obj *Object) {
	d := diag.New("assign-loop-variable", t.Span, diag.Args{"name": t.Name}).WithRelated(obj.Place, "the loop gives it its values")
	loop := obj.Loop
	list, ok := unparen(loop.Values).(*ast.NameExpr)
	if !ok || loop.Var.Name != t.Name {
		r.report(s, d)
		return
	}
	if holder := r.scope.find(list.Name); holder == nil || holder.Body != r.body || holder.Kind != Variable && holder.Kind != Parameter {
		r.report(s, d)
		return
	}
	head := source.Span{File: s.Span.File, Start: t.Span.Start, End: t.Span.End}
	index, between := "", ""
	if loop.Index != nil {
		index = loop.Index.Name
	} else {
		index = "i"
		for r.scope.find(index) != nil {
			index += "i"
		}
		head.Start = loop.Var.Span.Start
		between = index + ", " + source.Span{File: s.Span.File, Start: head.Start, End: t.Span.Start}.Text()
	}
	item := list.Name + "[" + index + "]"
	rest := source.Span{File: s.Span.File, Start: t.Span.End, End: s.Span.End}.Text()
	d = d.WithHint("change the item in its list: `loop %s, %s in %s { %s%s }`", index, t.Name, list.Name, item, shorten(rest)).
		WithEdit(head, between+item, false)
	r.report(s, d)
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
		r.spelt.note(r.module, t.Name, t.Span, r.scope.find(near[0]))
	}
	if s.Op == "" {
		// In the outer block of its body the new variable is known wherever the
		// name was meant, unless a function reads it too.
		certain := len(near) == 0 && (r.depth == 0 || r.depth == 1 && r.where != inFile && r.where != inUsedFile)
		d = d.WithEdit(s.Span.Head(), "let ", certain)
	}
	r.report(s, d)
	r.module.unknown[t.Name] = true
}

// stored judges `xs[i] = v` and `r.name = v`, and gives the kinds of the value
// to what holds it.
func (c *checker) stored(it *item) {
	value := c.operand(it.expr)
	value.mark = value.mark.plain()
	target := unparen(it.assign.Target)
	switch t := target.(type) {
	case *ast.Field:
		c.storedField(it.assign, t, value)
	case *ast.Index:
		holder := c.operand(t.X)
		index := c.expect(t.I, types.Number|types.Text, func(found shape) diag.Diagnostic {
			return diag.New("index-kind", t.I.Place(), diag.Args{"found": found.kinds})
		})
		if holder.kinds == types.Unknown || index.kinds == types.Unknown {
			break
		}
		if index.kinds.Has(types.Text) && holder.kinds.Has(types.Record) {
			name, known := fixedText(t.I)
			if known {
				c.growField(name, value)
			} else {
				c.growField("", value)
			}
		}
		if index.kinds.Has(types.Number) && holder.kinds.Has(types.List) {
			c.growItems(t.X, value.kinds)
			break
		}
		if !holder.kinds.Has(types.List | types.Record) {
			c.fail(diag.New("assign-item", t.X.Place(), diag.Args{"found": holder.kinds}))
		} else if !index.kinds.Has(types.Text) || !holder.kinds.Has(types.Record) {
			d := diag.New("index-kind", t.I.Place(), diag.Args{"found": index.kinds})
			if index.kinds == types.List {
				d = d.WithHint("a part of a list is given no value; its items are, one by one: `loop i in 2..3 { xs[i] = 0 }`")
			}
			c.fail(d)
		}
	}
}

// growItems adds to the kinds of the items of a list that stands where an
// assignment goes: in a variable or in a field.
func (c *checker) growItems(list ast.Expr, kinds types.Kind) {
	switch holder := unparen(list).(type) {
	case *ast.NameExpr:
		if obj := c.program.Refs[holder]; obj != nil {
			c.grow(obj, shape{items: kinds})
		}
	case *ast.Field:
		c.growField(holder.Name.Name, shape{items: kinds})
	case *ast.Index:
		if name, known := fixedText(holder.I); known {
			c.growField(name, shape{items: kinds})
		} else if c.shape(holder.I).kinds.Has(types.Text) {
			c.growField("", shape{items: kinds})
		}
		// The items of a list in a list may be of any kind.
	}
}

// storedField judges `r.name = v`.
func (c *checker) storedField(s *ast.Assign, t *ast.Field, value shape) {
	holder := c.operand(t.X)
	switch {
	case holder.kinds == types.Unknown:
	case holder.kinds.Has(types.Record):
		c.growField(t.Name.Name, value)
	case c.flow.judging:
		c.fail(c.noFieldChange(s, t, holder))
	}
}

// noFieldChange reports `p.x = 3`: a point has no parts that change by themselves.
func (c *checker) noFieldChange(s *ast.Assign, t *ast.Field, holder shape) diag.Diagnostic {
	name := t.Name.Name
	d := diag.New("assign-field", t.Span, diag.Args{"name": name})
	owner, plain := unparen(t.X).(*ast.NameExpr)
	if plain {
		c.read[c.program.Refs[owner]] = true
	}
	if !plain || name != "x" && name != "y" || !holder.kinds.Has(types.Point) {
		return d
	}
	value := s.Value.Place().Text()
	if s.Op != "" {
		value = t.Span.Text() + " " + string(s.Op) + " " + value
	}
	point := "(" + value + ", " + owner.Name + ".y)"
	if name == "y" {
		point = "(" + owner.Name + ".x, " + value + ")"
	}
	certain := holder.kinds == types.Point && !strings.ContainsAny(value, "\n\r")
	return d.WithHint("make a new point: `%s = %s`", owner.Name, shorten(point)).
		WithEdit(s.Span, owner.Name+" = "+point, certain)
}

// fixedText is the text that an expression is, if it is one without inserts.
func fixedText(e ast.Expr) (string, bool) {
	text, ok := unparen(e).(*ast.TextLit)
	if !ok {
		return "", false
	}
	return text.Plain()
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
