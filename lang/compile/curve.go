package compile

import (
	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/code"
	"wend/lang/types"
)

// curve is `curve t in a..b = (x, y)`: the formula becomes a function of t and
// of what it reads.
func (b *body) curve(e *ast.Curve, wish *operand) operand {
	f := &code.Func{Shape: code.Formula, Place: e.Span, Result: code.Point}
	v := b.c.checked.Defs[e]
	addParam(f, code.Param{Name: e.Var.Name, Rep: code.Num})
	index, captured := b.literal(f, e, nil, false, func(inner *body) {
		inner.vars[v] = variable{rep: code.Num, register: 0}
		inner.result(e.Formula)
		f.Jet = inner.jetOf(e.Formula)
		f.Hides = f.Jet == nil && inner.c.conditional(e.Formula, map[ast.Node]bool{})
	})
	r := b.target(code.Val, wish)
	m := b.mark()
	defer b.release(m)
	interval := unwrap(e.Interval).(*ast.Range)
	ends := b.takeN(2 + f.Numbers)
	values := b.takeV(max(f.Values, 1))
	b.expect(interval.From, operand{code.Num, ends}, "the start of a range")
	b.expect(interval.To, operand{code.Num, ends + 1}, "the end of a range")
	b.handOver(index, captured, ends+2, values)
	b.at = e.Span
	b.emit(code.Curve, r.reg, ends, values, index)
	return r
}

// conditional reports whether a formula has a condition in it, or calls a
// function that may have one.
func (c *compiler) conditional(node ast.Node, seen map[ast.Node]bool) (found bool) {
	if seen[node] {
		return false
	}
	seen[node] = true
	ast.Walk(node, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.Choice, *ast.If:
			found = true
		case *ast.NameExpr, *ast.Field:
			o := c.checked.Refs[n.(ast.Expr)]
			switch {
			case found || o == nil:
			case o.Kind == check.Function:
				found = c.conditional(o.Def, seen)
			case o.Kind <= check.Parameter && o.Kinds.Has(types.Function):
				found = c.decides
			}
		}
		return !found
	})
	return found
}

// decides reports whether any function of the program has a condition in it:
// which of them a variable holds is not known.
func decides(checked *check.Program) (found bool) {
	for _, module := range checked.Modules {
		inside := func(n ast.Node) bool {
			switch n.(type) {
			case *ast.Choice, *ast.If:
				found = true
			}
			return !found
		}
		ast.Walk(module.File, func(n ast.Node) bool {
			switch n.(type) {
			case *ast.FuncDef, *ast.FuncLit:
				ast.Walk(n, inside)
				return false
			}
			return !found
		})
	}
	return found
}
