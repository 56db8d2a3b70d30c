package check

import (
	"strings"

	"wend/lang/ast"
	"wend/lang/diag"
	"wend/lang/source"
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
		if c.flow.judging {
			c.program.Closed[e] = c.closed(e.Formula)
		}
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

func (c *checker) unary(e *ast.Unary) shape {
	if e.Op == ast.Not {
		c.condition(e.X)
		return shape{kinds: types.Bool}
	}
	return c.expect(e.X, types.Number|types.Point, func(found shape) diag.Diagnostic {
		return diag.New("negate-kind", e.X.Place(), diag.Args{"found": found.kinds})
	})
}

func (c *checker) binary(e *ast.Binary) shape {
	if e.Op == ast.And || e.Op == ast.Or {
		c.condition(e.X)
		c.condition(e.Y)
		return shape{kinds: types.Bool}
	}
	x, y := c.operand(e.X), c.operand(e.Y)
	if x.kinds == types.Unknown || y.kinds == types.Unknown {
		return shape{}
	}
	both := x.kinds & y.kinds
	var out shape
	switch e.Op {
	case ast.Add:
		out.kinds = both & (types.Number | types.Text | types.Point | types.List)
		if out.kinds.Has(types.List) {
			out.items = x.items | y.items
		}
	case ast.Sub:
		out.kinds = both & (types.Number | types.Point)
	case ast.Mul, ast.Div:
		out.kinds = both & types.Number
		if x.kinds.Has(types.Point) && y.kinds.Has(types.Number) ||
			e.Op == ast.Mul && x.kinds.Has(types.Number) && y.kinds.Has(types.Point) {
			out.kinds |= types.Point
		}
	case ast.Pow:
		out.kinds = both & types.Number
	}
	if out.kinds == types.Unknown {
		if c.flow.judging {
			c.fail(c.operatorMismatch(e, x, y))
		}
		return shape{}
	}
	if out.kinds.Has(types.Number) {
		out.mark = plainMark
		if e.Op == ast.Add || e.Op == ast.Sub {
			if x.mark.clashes(y.mark) && x.kinds == types.Number && y.kinds == types.Number {
				c.fail(diag.New("unit-mixed", e.OpSpan, diag.Args{"x": x.mark, "y": y.mark}).
					WithRelated(e.X.Place(), "this is "+x.mark.String()).WithRelated(e.Y.Place(), "this is "+y.mark.String()))
			}
			out.mark = x.mark.plus(y.mark)
		}
	}
	return out
}

// operatorMismatch reports operands that an operator cannot work on together.
func (c *checker) operatorMismatch(e *ast.Binary, x, y shape) diag.Diagnostic {
	switch {
	case e.Op == ast.Add && x.kinds == types.Text:
		return putIntoText(diag.New("text-plus", e.Y.Place(), diag.Args{"found": y.kinds}), e.Y)
	case e.Op == ast.Add && y.kinds == types.Text:
		return putIntoText(diag.New("text-plus", e.X.Place(), diag.Args{"found": x.kinds}), e.X)
	case e.Op == ast.Add && x.kinds == types.List:
		yText := e.Y.Place().Text()
		return diag.New("list-plus", e.Y.Place(), diag.Args{"found": y.kinds}).
			WithHint("to append it, put it into a list: `[%s]`", shorten(yText)).
			WithEdit(e.Y.Place(), "["+yText+"]", true)
	}
	return diag.New("operator-kinds", e.OpSpan, diag.Args{"op": e.Op, "x": x.kinds, "y": y.kinds})
}

// shorten keeps a piece of program short enough to quote in a hint.
func shorten(text string) string {
	if line, _, more := strings.Cut(text, "\n"); more {
		return strings.TrimSpace(line) + " …"
	}
	return text
}

func (c *checker) compare(e *ast.Compare) shape {
	shapes := make([]shape, len(e.Operands))
	for i, x := range e.Operands {
		shapes[i] = c.operand(x)
	}
	for i, op := range e.Ops {
		x, y := shapes[i], shapes[i+1]
		if x.kinds == types.Unknown || y.kinds == types.Unknown {
			continue
		}
		args := diag.Args{"op": op, "x": x.kinds, "y": y.kinds}
		both := x.kinds & y.kinds
		switch {
		case both == 0:
			c.fail(diag.New("compare-kinds", e.OpSpans[i], args))
		case op != ast.Equal && op != ast.NotEqual && both&(types.Number|types.Text) == 0:
			c.fail(diag.New("compare-order", e.OpSpans[i], args))
		case x.mark.clashes(y.mark) && x.kinds == types.Number && y.kinds == types.Number:
			c.fail(diag.New("unit-mixed", e.OpSpans[i], diag.Args{"x": x.mark, "y": y.mark}).
				WithRelated(e.Operands[i].Place(), "this is "+x.mark.String()).
				WithRelated(e.Operands[i+1].Place(), "this is "+y.mark.String()))
		}
	}
	return shape{kinds: types.Bool}
}

func (c *checker) index(e *ast.Index) shape {
	x := c.expect(e.X, types.List|types.Text, func(found shape) diag.Diagnostic {
		d := diag.New("no-items", e.X.Place(), diag.Args{"found": found.kinds})
		if found.kinds == types.Point {
			d.Hint = "the parts of a point are `.x` and `.y`"
		}
		return d
	})
	i := c.expect(e.I, types.Number|types.List, func(found shape) diag.Diagnostic {
		return diag.New("index-kind", e.I.Place(), diag.Args{"found": found.kinds})
	})
	var out shape
	out.kinds = x.kinds & types.Text
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

// callable tells whether a name after a dot is a function or figure.
func (c *checker) callable(name string, e *ast.Field) bool {
	if b := c.library.Lookup(name); b != nil && !b.Value && !isStatement(b) {
		return true
	}
	m := c.modules[e.Span.File.Name]
	if m == nil {
		return false
	}
	obj := m.scope.names[name]
	return obj != nil && (obj.Kind == Function || obj.Kind == Figure)
}

// callShape is the shape of a call's result. It hands the arguments' shapes to
// the parameters.
func (c *checker) callShape(e *ast.Call) shape {
	how := c.program.Calls[e]
	if how == nil {
		// The call is faulty, which was reported; its parts are judged.
		if field, ok := e.Fn.(*ast.Field); ok && c.program.Refs[field] != nil {
			c.operand(field.X)
		} else if _, name := e.Fn.(*ast.NameExpr); !name {
			c.shape(e.Fn)
		}
		for _, arg := range e.Args {
			c.operand(arg.Value)
		}
		return shape{}
	}
	switch {
	case how.Target == nil:
		return c.callValue(e, how)
	case how.Target.Kind == Builtin:
		return c.callBuiltin(e, how)
	}
	return c.callDefined(how)
}

// callDefined is a call of a function or figure of a program.
func (c *checker) callDefined(how *Call) shape {
	target := how.Target
	for i, arg := range how.Args {
		var param *Object
		if i < len(target.Params) {
			param = target.Params[i].Object
		}
		if arg == nil {
			if s := c.flow.state(param); !s.omitted {
				s.omitted = true
				if s.byDefault != nil {
					c.enqueue(s.byDefault)
				}
			}
			continue
		}
		s := c.operand(arg)
		if s.kinds.Has(types.Number) {
			s.mark = plainMark
		}
		if param != nil {
			c.grow(param, s)
		}
	}
	if target.Kind == Figure {
		return shape{kinds: types.Path}
	}
	return c.shapeOf(target)
}

// callValue is a call of a function value.
func (c *checker) callValue(e *ast.Call, how *Call) shape {
	fn := c.operand(e.Fn)
	for _, arg := range how.Args {
		c.operand(arg)
	}
	if fn.kinds == types.Unknown {
		return shape{}
	}
	if fn.kinds.Has(types.Function) {
		return anything
	}
	if c.flow.judging {
		c.fail(c.notAFunction(e, fn))
	}
	return shape{}
}

func (c *checker) notAFunction(e *ast.Call, fn shape) diag.Diagnostic {
	text := e.Fn.Place().Text()
	if field, ok := e.Fn.(*ast.Field); ok && e.Glued && c.program.Refs[field] == nil {
		rest := source.Span{File: e.Span.File, Start: e.Fn.Place().End, End: e.Span.End}
		return diag.New("measure-called", field.Name.Span, diag.Args{"name": field.Name.Name}).
			WithEdit(rest, "", len(e.Args) == 0 && c.flow.current.role != roleDo)
	}
	if c.flow.current.expr == e && !e.Glued && len(e.Args) == 0 {
		if fn.kinds == types.Path {
			return diag.New("value-not-used", e.Span, diag.Args{"found": fn.kinds}).
				WithHint("to draw it, write `draw %s`", text).WithEdit(e.Span.Head(), "draw ", c.flow.current.draws)
		}
		return diag.New("value-not-used", e.Span, diag.Args{"found": fn.kinds})
	}
	d := diag.New("not-a-function", e.Fn.Place(), diag.Args{"name": shorten(text), "found": fn.kinds})
	if obj := c.program.Refs[e.Fn]; obj != nil && obj.Kind != Builtin {
		d = d.WithRelated(obj.Place, "defined here")
		if b := c.library.Lookup(obj.Name); b != nil && !b.Value {
			d.Hint = "the variable hides the library's `" + obj.Name + "`: give the variable another name"
		}
	}
	return d
}

// callBuiltin is a call of a library word: of the forms that its arguments fit
// by number and name, the first that they can fit by kind.
func (c *checker) callBuiltin(e *ast.Call, how *Call) shape {
	// The arguments are the same expressions in every form, in some order.
	shapes := map[ast.Expr]shape{}
	for _, arg := range how.choices[0].args {
		if arg != nil {
			shapes[arg] = c.operand(arg)
		}
	}
	var out shape
	chosen := -1
	for i, choice := range how.choices {
		if !fitsForm(choice, shapes) {
			continue
		}
		if chosen < 0 {
			chosen = i
		}
		result := formResult(choice.form, plainMark)
		if choice.form.SameKind && len(choice.args) > 0 && choice.args[0] != nil {
			first := shapes[choice.args[0]]
			result.kinds = first.kinds & choice.form.Params[0].Kinds
			if choice.form.Items == types.Unknown {
				result.items = first.items
			}
		}
		out = out.join(result)
	}
	if chosen < 0 {
		if c.flow.judging {
			c.fail(c.wrongArgument(e, how, shapes))
		}
		return shape{}
	}
	if c.flow.judging {
		how.Form, how.Args = how.choices[chosen].form, how.choices[chosen].args
		c.checkUnits(e, how, shapes)
	}
	return out
}

// paramAt is the parameter that takes the argument at a place.
func paramAt(form *types.Form, i int) *types.Param {
	return &form.Params[min(i, len(form.Params)-1)]
}

func fitsForm(ch choice, shapes map[ast.Expr]shape) bool {
	for i, arg := range ch.args {
		if arg == nil {
			continue
		}
		if k := shapes[arg].kinds; k != types.Unknown && !k.Has(paramAt(ch.form, i).Kinds) {
			return false
		}
	}
	return true
}

// wrongArgument reports an argument of a kind that a word cannot take.
func (c *checker) wrongArgument(e *ast.Call, how *Call, shapes map[ast.Expr]shape) diag.Diagnostic {
	// With several forms the one that comes furthest was meant.
	best, at := 0, -1
	for i, ch := range how.choices {
		for j, arg := range ch.args {
			if arg == nil {
				continue
			}
			if k := shapes[arg].kinds; k != types.Unknown && !k.Has(paramAt(ch.form, j).Kinds) {
				if j > at {
					best, at = i, j
				}
				break
			}
		}
	}
	ch := how.choices[best]
	arg, param := ch.args[at], paramAt(ch.form, at)
	wanted := param.Kinds
	if at == 0 {
		for _, other := range how.choices {
			if other.args[0] == arg {
				wanted |= paramAt(other.form, 0).Kinds
			}
		}
	}
	word := calleeText(e)
	found := shapes[arg]
	d := diag.New("wrong-kind", arg.Place(), diag.Args{"word": word, "param": param.Name, "wanted": wanted, "found": found.kinds})
	d.Hint = "it is called as " + usageOf(word, allForms(how.Target.Builtin), !e.Glued)
	if found.kinds == types.List && wanted == types.Path {
		d.Hint = "`weave` makes one line of a list of strokes"
	}
	return c.callHint(d, arg, found)
}

func allForms(b *types.Builtin) [][]parameter {
	forms := make([][]parameter, len(b.Forms))
	for i := range b.Forms {
		forms[i] = formParams(&b.Forms[i])
	}
	return forms
}

// checkUnits reports a length where an angle is wanted and the other way round.
func (c *checker) checkUnits(e *ast.Call, how *Call, shapes map[ast.Expr]shape) {
	for i, arg := range how.Args {
		if arg == nil {
			continue
		}
		param := paramAt(how.Form, i)
		wanted := markOf(param.Unit)
		found := shapes[arg]
		if param.Kinds != types.Number || found.kinds != types.Number || !found.mark.clashes(wanted) {
			continue
		}
		d := diag.New("unit-wrong", arg.Place(), diag.Args{"word": calleeText(e), "param": param.Name, "wanted": wanted, "found": found.mark})
		if lit := literal(arg); lit != nil {
			name := map[mark]string{lengthMark: "mm", angleMark: "deg"}[wanted]
			unit := source.Span{File: lit.Span.File, Start: lit.Span.End - len(lit.Unit), End: lit.Span.End}
			same := lit.Unit == ast.Millimetre || lit.Unit == ast.Degree
			d = d.WithHint("a number without a unit goes with both; with one, it is `%s` here", name).WithEdit(unit, name, same)
		}
		c.fail(d)
		return
	}
}

// literal is the number that an expression consists of, apart from brackets and sign.
func literal(e ast.Expr) *ast.NumberLit {
	for {
		switch x := e.(type) {
		case *ast.NumberLit:
			return x
		case *ast.Paren:
			e = x.X
		case *ast.Unary:
			e = x.X
		default:
			return nil
		}
	}
}

// closed tells whether a formula is closed arithmetic, for which the range of
// values over an interval can be computed.
func (c *checker) closed(e ast.Expr) bool {
	switch e := e.(type) {
	case *ast.NumberLit:
		return true
	case *ast.NameExpr:
		return c.closedName(c.program.Refs[e], e)
	case *ast.Field:
		return c.program.Refs[e] != nil && c.closedName(c.program.Refs[e], e)
	case *ast.Paren:
		return c.closed(e.X)
	case *ast.PointLit:
		return c.closed(e.X) && c.closed(e.Y)
	case *ast.Unary:
		return e.Op == ast.Minus && c.closed(e.X)
	case *ast.Binary:
		return e.Op != ast.And && e.Op != ast.Or && c.closed(e.X) && c.closed(e.Y)
	case *ast.Call:
		how := c.program.Calls[e]
		if how == nil || how.Target == nil || how.Target.Kind != Builtin || !how.Target.Builtin.Bounded || how.Form == nil {
			return false
		}
		for _, p := range how.Form.Params {
			if p.Kinds != types.Number {
				return false
			}
		}
		for _, arg := range how.Args {
			if arg != nil && !c.closed(arg) {
				return false
			}
		}
		return true
	}
	return false
}

func (c *checker) closedName(obj *Object, e ast.Expr) bool {
	if obj == nil {
		return false
	}
	switch obj.Kind {
	case Variable, LoopVar, Parameter, CurveVar:
		return c.program.Kinds[e].Has(types.Number | types.Point)
	case Builtin:
		return obj.Builtin.Value && obj.Builtin.Bounded
	}
	return false
}
