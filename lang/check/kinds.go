package check

import (
	"wend/lang/ast"
	"wend/lang/diag"
	"wend/lang/types"
)

// shape evaluates an expression over shapes. All its parts are visited on every
// evaluation, so that the first one finds all that it depends on.
func (c *checker) shape(e ast.Expr) shape {
	s := c.shapeIn(e)
	c.setKind(e, s.kinds)
	return s
}

// setKind keeps the final kinds of an expression. One of which nothing is known
// in a program without errors is never reached with a value, so that anything
// may be said of it.
func (c *checker) setKind(e ast.Expr, kinds types.Kind) {
	if !c.flow.judging {
		return
	}
	if kinds == types.Unknown {
		kinds = types.Any
	}
	c.program.Kinds[e] = kinds
}

// operand is the shape of an expression that must have a value.
func (c *checker) operand(e ast.Expr) shape {
	s := c.shape(e)
	if s.kinds == types.Nothing {
		word := e.Place().Text()
		if call, ok := unparen(e).(*ast.Call); ok {
			word = calleeText(call)
		}
		c.fail(diag.New("no-value", e.Place(), diag.Args{"word": word}))
		return shape{}
	}
	s.kinds &^= types.Nothing
	return s
}

// expect is the shape of an expression that must have one of some kinds; wrong
// says what to report if it has none of them.
func (c *checker) expect(e ast.Expr, wanted types.Kind, wrong func(found shape) diag.Diagnostic) shape {
	s := c.operand(e)
	if s.kinds != types.Unknown && !s.kinds.Has(wanted) {
		if c.flow.judging {
			c.fail(wrong(s))
		}
		return shape{}
	}
	s.kinds &= wanted
	return s
}

var number = shape{kinds: types.Number, mark: plainMark}

func (c *checker) shapeIn(e ast.Expr) shape {
	switch e := e.(type) {
	case *ast.NumberLit:
		switch e.Unit {
		case ast.Millimetre, ast.Centimetre, ast.Inch:
			return shape{kinds: types.Number, mark: lengthMark}
		case ast.Degree, ast.Radian:
			return shape{kinds: types.Number, mark: angleMark}
		}
		return number
	case *ast.TextLit:
		for _, part := range e.Parts {
			if part.Value != nil {
				c.operand(part.Value)
			}
		}
		return shape{kinds: types.Text}
	case *ast.BoolLit:
		return shape{kinds: types.Bool}
	case *ast.NameExpr:
		return c.named(c.program.Refs[e])
	case *ast.PointLit:
		for _, x := range []ast.Expr{e.X, e.Y} {
			c.expect(x, types.Number, func(found shape) diag.Diagnostic {
				return diag.New("point-kind", x.Place(), diag.Args{"found": found.kinds})
			})
		}
		return shape{kinds: types.Point}
	case *ast.ListLit:
		s := shape{kinds: types.List}
		for _, item := range e.Items {
			s.items |= c.operand(item).kinds
		}
		return s
	case *ast.RecordLit:
		for _, f := range e.Fields {
			c.growField(f.Name.Name, c.operand(f.Value))
		}
		return shape{kinds: types.Record}
	case *ast.Range:
		for _, x := range []ast.Expr{e.From, e.To, e.By} {
			if x != nil {
				c.expect(x, types.Number, func(found shape) diag.Diagnostic {
					return diag.New("range-kind", x.Place(), diag.Args{"found": found.kinds})
				})
			}
		}
		return shape{kinds: types.List, items: types.Number}
	case *ast.Unary:
		return c.unary(e)
	case *ast.Binary:
		return c.binary(e)
	case *ast.Compare:
		return c.compare(e)
	case *ast.Call:
		return c.callShape(e)
	case *ast.Index:
		return c.index(e)
	case *ast.Field:
		return c.measure(e)
	case *ast.Paren:
		return c.shape(e.X)
	case *ast.Choice:
		c.condition(e.Cond)
		return c.operand(e.Then).join(c.operand(e.Else))
	case *ast.FuncLit:
		if e.Result != nil {
			c.operand(e.Result)
		}
		return shape{kinds: types.Function}
	case *ast.PathLit:
		return shape{kinds: types.Path}
	case *ast.Curve:
		c.operand(e.Interval)
		c.expect(e.Formula, types.Point, func(found shape) diag.Diagnostic {
			return diag.New("curve-point", e.Formula.Place(), diag.Args{"found": found.kinds})
		})
		return shape{kinds: types.Path}
	}
	return shape{}
}

// named is the shape of what a name stands for.
func (c *checker) named(obj *Object) shape {
	if obj == nil {
		return shape{}
	}
	switch obj.Kind {
	case Variable, LoopVar, Parameter:
		return c.shapeOf(obj)
	case CurveVar:
		return number
	case Function, Figure:
		return shape{kinds: types.Function}
	case Builtin:
		if !obj.Builtin.Value {
			return shape{kinds: types.Function}
		}
		if len(obj.Builtin.Forms) > 0 {
			return formResult(&obj.Builtin.Forms[0], markOf(obj.Builtin.Forms[0].Unit))
		}
	}
	return shape{}
}

// formResult is the shape of a form's result, apart from SameKind.
func formResult(form *types.Form, m mark) shape {
	s := shape{kinds: form.Result}
	if s.kinds.Has(types.List) {
		s.items = form.Items
		if s.items == types.Unknown {
			s.items = types.Any
		}
	}
	if s.kinds.Has(types.Number) {
		s.mark = m
	}
	return s
}

func (c *checker) index(e *ast.Index) shape {
	x := c.expect(e.X, types.List|types.Text|types.Record, func(found shape) diag.Diagnostic {
		d := diag.New("no-items", e.X.Place(), diag.Args{"found": found.kinds})
		if found.kinds == types.Point {
			d.Hint = "the parts of a point are `.x` and `.y`"
		}
		return d
	})
	i := c.expect(e.I, types.Number|types.List|types.Text, func(found shape) diag.Diagnostic {
		return diag.New("index-kind", e.I.Place(), diag.Args{"found": found.kinds})
	})
	if x.kinds == types.Unknown || i.kinds == types.Unknown {
		return shape{}
	}
	var out shape
	if x.kinds.Has(types.Record) && i.kinds.Has(types.Text) {
		out = c.fieldAt(e)
	}
	switch places := i.kinds.Has(types.Number | types.List); {
	case !places && !x.kinds.Has(types.Record):
		c.fail(diag.New("index-kind", e.I.Place(), diag.Args{"found": i.kinds}))
		return shape{}
	case places && x.kinds == types.Record && !i.kinds.Has(types.Text):
		c.fail(diag.New("field-by-place", e.I.Place(), diag.Args{"found": i.kinds}))
		return shape{}
	case !places:
		return out
	}
	out.kinds |= x.kinds & types.Text
	if x.kinds.Has(types.List) {
		if i.kinds.Has(types.Number) {
			out.kinds |= x.items
			out.items = types.Any
		}
		if i.kinds.Has(types.List) {
			out.kinds |= types.List
			out.items |= x.items
		}
	}
	if out.kinds.Has(types.Number) {
		out.mark = plainMark
	}
	return out
}

// fieldAt is the shape of `r["name"]`.
func (c *checker) fieldAt(e *ast.Index) shape {
	if name, known := fixedText(e.I); known {
		return c.fieldShape(name)
	}
	return anything
}

// measure is the shape of `x.name`: a measure of a value, or a member of a module.
func (c *checker) measure(e *ast.Field) shape {
	if obj := c.program.Refs[e]; obj != nil {
		return c.named(obj)
	}
	if name, ok := unparen(e.X).(*ast.NameExpr); ok {
		if obj := c.program.Refs[name]; obj != nil && obj.Kind == ModuleRef {
			return shape{}
		}
	}
	x := c.operand(e.X)
	if x.kinds == types.Unknown {
		return shape{}
	}
	var out shape
	for _, f := range types.Fields {
		if f.Name == e.Name.Name && x.kinds.Has(f.Of) {
			out.kinds |= f.Result
			if f.Result == types.Number {
				out.mark = out.mark.join(markOf(f.Unit))
			}
		}
	}
	if x.kinds.Has(types.Record) {
		field := c.fieldShape(e.Name.Name)
		if field.kinds != types.Unknown {
			out = out.join(field)
		}
	}
	if out.kinds == types.Unknown && c.flow.judging {
		c.fail(c.noMeasure(e, x))
	}
	return out
}

// noMeasure reports a measure that none of the possible kinds has.
func (c *checker) noMeasure(e *ast.Field, x shape) diag.Diagnostic {
	name := e.Name.Name
	d := diag.New("no-measure", e.Name.Span, diag.Args{"found": x.kinds, "name": name})
	if c.callable(name, e) {
		return d.WithHint("`%s` is a function, so it is called with brackets: `.%s()`", name, name).
			WithEdit(e.Name.Span.Tail(), "()", false)
	}
	var known []string
	for _, f := range types.Fields {
		if x.kinds.Has(f.Of) {
			known = append(known, f.Name)
		}
	}
	if x.kinds.Has(types.Record) {
		known = append(known, c.fieldNames()...)
	}
	if x.kinds == types.Record {
		d = diag.New("no-field", e.Name.Span, diag.Args{"name": name})
	}
	if near := diag.Nearest(name, known, maxSuggestions); len(near) > 0 {
		return suggest(d, near)
	}
	if x.kinds.Single() && len(known) > 0 {
		for i := range known {
			known[i] = "`." + known[i] + "`"
		}
		d.Hint = x.kinds.String() + " has " + joinWith(known, "and")
	}
	return d
}

// callable reports whether a name after a dot is a function or figure.
func (c *checker) callable(name string, e *ast.Field) bool {
	if b := c.library.Lookup(name); b != nil && !b.Value && !isStatement(b) {
		return true
	}
	m := c.modules[sameFile(e.Span.File)]
	if m == nil {
		return false
	}
	obj := m.scope.names[name]
	return obj != nil && (obj.Kind == Function || obj.Kind == Figure)
}
