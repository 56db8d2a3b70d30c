package check

import (
	"fmt"
	"slices"

	"wend/lang/ast"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/lang/types"
)

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
	text := shorten(e.Fn.Place().Text())
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
	d := diag.New("not-a-function", e.Fn.Place(), diag.Args{"name": text, "found": fn.kinds})
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
	var few [4]shape // most calls have no more
	shapes := arguments{how.choices[0].args, few[:0]}
	for _, arg := range shapes.args {
		var s shape
		if arg != nil {
			s = c.operand(arg)
		}
		shapes.of = append(shapes.of, s)
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
			first := shapes.at(0, choice.args[0])
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
		how.Form, how.Args, how.Fits = how.choices[chosen].form, how.choices[chosen].args, nil
		for _, choice := range how.choices[chosen:] {
			if slices.Equal(choice.args, how.Args) && fitsForm(choice, shapes) {
				how.Fits = append(how.Fits, choice.form)
			}
		}
		c.checkUnits(e, how, shapes)
	}
	return out
}

// arguments are those of a call with their shapes. Every form has the same
// ones, though not always in the same order.
type arguments struct {
	args []ast.Expr
	of   []shape
}

// at is the shape of an argument that a form has at place i.
func (a arguments) at(i int, arg ast.Expr) shape {
	if i < len(a.args) && a.args[i] == arg {
		return a.of[i]
	}
	for j, other := range a.args {
		if other == arg {
			return a.of[j]
		}
	}
	return shape{}
}

func fitsForm(ch choice, shapes arguments) bool {
	for i, arg := range ch.args {
		if arg == nil {
			continue
		}
		if k := shapes.at(i, arg).kinds; k != types.Unknown && !k.Has(ch.form.ParamAt(i).Kinds) {
			return false
		}
	}
	return true
}

// wrongArgument reports an argument of a kind that a word cannot take.
func (c *checker) wrongArgument(e *ast.Call, how *Call, shapes arguments) diag.Diagnostic {
	// With several forms the one that comes furthest was meant.
	best, at := 0, -1
	for i, ch := range how.choices {
		for j, arg := range ch.args {
			if arg == nil {
				continue
			}
			if k := shapes.at(j, arg).kinds; k != types.Unknown && !k.Has(ch.form.ParamAt(j).Kinds) {
				if j > at {
					best, at = i, j
				}
				break
			}
		}
	}
	ch := how.choices[best]
	if how.Target.Builtin.Op == types.Follow && shapes.at(at, ch.args[at]).kinds == types.List {
		return drawsList(ch.args[at]).WithHint("`weave` makes one line of it: `follow weave(…)`")
	}
	arg, param := ch.args[at], ch.form.ParamAt(at)
	wanted := param.Kinds
	if at == 0 {
		for _, other := range how.choices {
			if other.args[0] == arg {
				wanted |= other.form.ParamAt(0).Kinds
			}
		}
	}
	word := calleeText(e)
	found := shapes.at(at, arg)
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
func (c *checker) checkUnits(e *ast.Call, how *Call, shapes arguments) {
	for i, arg := range how.Args {
		if arg == nil {
			continue
		}
		param := how.Form.ParamAt(i)
		wanted := markOf(param.Unit)
		found := shapes.at(i, arg)
		if param.Kinds != types.Number || found.kinds != types.Number || !found.mark.clashes(wanted) {
			continue
		}
		d := diag.New("unit-wrong", arg.Place(), diag.Args{"word": calleeText(e), "param": param.Name, "wanted": wanted, "found": found.mark})
		if lit := literal(arg); lit != nil {
			name := map[mark]string{lengthMark: "mm", angleMark: "deg"}[wanted]
			unit := source.Span{File: lit.Span.File, Start: lit.Span.End - len(lit.Unit), End: lit.Span.End}
			same := lit.Unit == ast.Millimetre || lit.Unit == ast.Degree
			d = d.WithHint("a number without a unit goes with both; with one, it is `%s` here", name).WithEdit(unit, name, same)
		} else {
			d = c.unitOrigin(d, arg, found.mark)
		}
		c.fail(d)
		return
	}
}

// unitOrigin says where what is no literal has its unit from, and how to do
// without.
func (c *checker) unitOrigin(d diag.Diagnostic, arg ast.Expr, unit mark) diag.Diagnostic {
	plain := arg.Place().Text() + " * 1"
	switch arg.(type) {
	case *ast.Binary, *ast.Compare, *ast.Range:
		plain = "(" + arg.Place().Text() + ") * 1"
	}
	name, ok := arg.(*ast.NameExpr)
	if obj := c.program.Refs[arg]; ok && obj != nil && obj.Kind == Variable {
		made := obj.Place
		if set := c.opts.Set[obj.Name]; set != nil && obj.Global && obj.Module == c.program.Main {
			made = set.Name.Span
		}
		return d.WithRelated(made, fmt.Sprintf("`%s` gets its unit from its value", name.Name)).
			WithHint("leave the unit of the value out, or write `%s`: a product has none", plain)
	}
	return d.WithHint("to take %s as a bare number, write `%s`: a product has no unit", unit, plain)
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
