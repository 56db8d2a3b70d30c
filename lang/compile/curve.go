package compile

import (
	"wend/lang/ast"
	"wend/lang/code"
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
