package check

import (
	"wend/lang/ast"
	"wend/lang/diag"
	"wend/lang/types"
)

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
	d := diag.New("operator-kinds", e.OpSpan, diag.Args{"op": e.Op, "x": x.kinds, "y": y.kinds})
	switch {
	case e.Op == ast.Add && x.kinds == types.Path && y.kinds == types.Path:
		d = d.WithHint("`join` makes one path of two: `join(%s, %s)`", shorten(e.X.Place().Text()), shorten(e.Y.Place().Text()))
	case e.Op == ast.Add && x.kinds == types.Record:
		d = d.WithHint("a record keeps the fields it was made with: make a new one, as in `{name: \"oak\", height: 12}`")
	}
	return d
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
