package compile

import (
	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/code"
	"wend/lang/types"
)

// natural is how the value of an expression will lie, without compiling it.
func (b *body) natural(e ast.Expr) code.Rep { return repOf(b.c.kinds(e)) }

func (b *body) minus(e *ast.Unary, wish *operand) operand {
	rep := b.natural(e.X)
	if rep == code.Bool {
		rep = code.Val
	}
	r := b.target(rep, wish)
	m := b.mark()
	x := b.as(e.X, rep).reg
	b.release(m)
	b.at = e.Span
	switch rep {
	case code.Num:
		b.emit(code.NegN, r.reg, x, 0, 0)
	case code.Point:
		b.emit(code.NegN, r.reg, x, 0, 0)
		b.emit(code.NegN, r.reg+1, x+1, 0, 0)
	default:
		b.emit(code.NegV, r.reg, x, 0, 0)
		return b.narrow(r, b.c.kinds(e), wish)
	}
	return r
}

func (b *body) binary(e *ast.Binary, wish *operand) operand {
	x, y := b.natural(e.X), b.natural(e.Y)
	switch {
	case x == code.Num && y == code.Num:
		return b.numbers(e, wish)
	case x == code.Point && y == code.Point && (e.Op == ast.Add || e.Op == ast.Sub):
		op := code.AddN
		if e.Op == ast.Sub {
			op = code.SubN
		}
		r := b.take(code.Point)
		m := b.mark()
		p, q := b.as(e.X, code.Point).reg, b.as(e.Y, code.Point).reg
		b.release(m)
		b.at = e.Span
		b.emit(op, r.reg, p, q, 0)
		b.emit(op, r.reg+1, p+1, q+1, 0)
		return r
	case x == code.Point && y == code.Num && (e.Op == ast.Mul || e.Op == ast.Div),
		x == code.Num && y == code.Point && e.Op == ast.Mul:
		op := code.MulN
		if e.Op == ast.Div {
			op = code.DivN
		}
		r := b.take(code.Point)
		m := b.mark()
		p, k := b.as(e.X, x).reg, b.as(e.Y, y).reg
		if x == code.Num {
			p, k = k, p
		}
		b.release(m)
		b.at = e.Span
		b.emit(op, r.reg, p, k, 0)
		b.emit(op, r.reg+1, p+1, k, 0)
		return r
	}
	// A register of its own: the wish may be a variable that is read here.
	r := b.take(code.Val)
	m := b.mark()
	p, q := b.val(e.X), b.val(e.Y)
	b.release(m)
	b.at = e.Span
	b.emit(code.ArithV, r.reg, p, q, int32(ariths[e.Op]))
	return b.narrow(r, b.c.kinds(e), wish)
}

var ariths = map[ast.BinaryOp]code.Arith{
	ast.Add: code.Plus, ast.Sub: code.Minus, ast.Mul: code.Times, ast.Div: code.Over, ast.Pow: code.Power,
}

// numbers is arithmetic between numbers.
func (b *body) numbers(e *ast.Binary, wish *operand) operand {
	r := b.target(code.Num, wish)
	m := b.mark()
	defer b.release(m)
	one := func(op code.Op, x ast.Expr, k float64) {
		reg := b.as(x, code.Num).reg
		b.at = e.Span
		b.emit(op, r.reg, reg, 0, b.c.number(k))
	}
	if k, ok := constantOf(e.Y); ok {
		switch e.Op {
		case ast.Add:
			one(code.AddK, e.X, k)
			return r
		case ast.Sub:
			one(code.AddK, e.X, -k)
			return r
		case ast.Mul:
			one(code.MulK, e.X, k)
			return r
		case ast.Div:
			if k != 0 {
				one(code.DivK, e.X, k)
				return r
			}
		case ast.Pow:
			if k == 2 {
				reg := b.as(e.X, code.Num).reg
				b.at = e.Span
				b.emit(code.MulN, r.reg, reg, reg, 0)
				return r
			}
		}
	}
	if k, ok := constantOf(e.X); ok {
		switch e.Op {
		case ast.Add:
			one(code.AddK, e.Y, k)
			return r
		case ast.Mul:
			one(code.MulK, e.Y, k)
			return r
		case ast.Sub:
			one(code.KSub, e.Y, k)
			return r
		case ast.Div:
			one(code.KDiv, e.Y, k)
			return r
		}
	}
	if b.fused(e, r) {
		return r
	}
	x, y := b.as(e.X, code.Num).reg, b.as(e.Y, code.Num).reg
	b.at = e.Span
	op := map[ast.BinaryOp]code.Op{
		ast.Add: code.AddN, ast.Sub: code.SubN, ast.Mul: code.MulN, ast.Div: code.DivN, ast.Pow: code.PowN,
	}[e.Op]
	b.emit(op, r.reg, x, y, 0)
	return r
}

// fused compiles two operations as one instruction where that is common: a
// product that is added to something, and a product with a difference from a
// constant, as in interpolation. The inner result is rounded first, as it would
// be by an instruction of its own.
func (b *body) fused(e *ast.Binary, r operand) bool {
	switch e.Op {
	case ast.Mul:
		return b.timesDifference(e, r)
	case ast.Add:
		if x, y, ok := b.product(e.X); ok {
			b.addProduct(e, x, y, func() uint8 { return b.as(e.Y, code.Num).reg }, r)
			return true
		}
		if x, y, ok := b.product(e.Y); ok {
			first := b.as(e.X, code.Num).reg
			b.addProduct(e, x, y, func() uint8 { return first }, r)
			return true
		}
	case ast.Sub:
		if x, y, ok := b.product(e.X); ok {
			p, q, z := b.as(x, code.Num).reg, b.as(y, code.Num).reg, b.as(e.Y, code.Num).reg
			b.at = e.Span
			b.emit(code.MulSub, r.reg, p, q, int32(z))
			return true
		}
	}
	return false
}

// product is the factors of an expression that multiplies two numbers.
func (b *body) product(e ast.Expr) (x, y ast.Expr, ok bool) {
	product, ok := unwrap(e).(*ast.Binary)
	if !ok || product.Op != ast.Mul || b.natural(product.X) != code.Num || b.natural(product.Y) != code.Num {
		return nil, nil, false
	}
	if _, constant := constantOf(product); constant {
		return nil, nil, false
	}
	return product.X, product.Y, true
}

// addProduct is x*y + the other summand.
func (b *body) addProduct(e *ast.Binary, x, y ast.Expr, other func() uint8, r operand) {
	k, constant := constantOf(y)
	if !constant {
		if k, constant = constantOf(x); constant {
			x = y
		}
	}
	if constant {
		p, z := b.as(x, code.Num).reg, other()
		b.at = e.Span
		b.emit(code.MulKAdd, r.reg, p, z, b.c.number(k))
		return
	}
	p, q, z := b.as(x, code.Num).reg, b.as(y, code.Num).reg, other()
	b.at = e.Span
	b.emit(code.MulAdd, r.reg, p, q, int32(z))
}

// timesDifference is x * (k - y).
func (b *body) timesDifference(e *ast.Binary, r operand) bool {
	difference, ok := unwrap(e.Y).(*ast.Binary)
	if !ok || difference.Op != ast.Sub || b.natural(difference.Y) != code.Num {
		return false
	}
	k, ok := constantOf(difference.X)
	if !ok {
		return false
	}
	x, y := b.as(e.X, code.Num).reg, b.as(difference.Y, code.Num).reg
	b.at = e.Span
	b.emit(code.MulKSub, r.reg, x, y, b.c.number(k))
	return true
}

// Conditions.

// truth gives a condition as a value.
func (b *body) truth(e ast.Expr, wish *operand) operand {
	r := b.target(code.Bool, wish)
	m := b.mark()
	defer b.release(m)
	var no, end label
	b.cond(e, &no, false)
	b.emit(code.ConstI, r.reg, 0, 0, 1)
	b.jump(code.Jump, 0, 0, 0, &end)
	b.place(&no)
	b.emit(code.ConstI, r.reg, 0, 0, 0)
	b.place(&end)
	return r
}

// cond goes to a label if a condition comes out as `when`, else on.
func (b *body) cond(e ast.Expr, to *label, when bool) {
	m := b.mark()
	defer b.release(m)
	switch e := unwrap(e).(type) {
	case *ast.BoolLit:
		if e.Value == when {
			b.jump(code.Jump, 0, 0, 0, to)
		}
		return
	case *ast.Unary:
		if e.Op == ast.Not {
			b.cond(e.X, to, !when)
			return
		}
	case *ast.Binary:
		if e.Op == ast.And || e.Op == ast.Or {
			// `x and y` is false as soon as x is; `x or y` is true as soon as x is.
			if (e.Op == ast.Or) == when {
				b.cond(e.X, to, when)
				b.cond(e.Y, to, when)
				return
			}
			var past label
			b.cond(e.X, &past, !when)
			b.cond(e.Y, to, when)
			b.place(&past)
			return
		}
	case *ast.Compare:
		b.comparison(e, to, when)
		return
	}
	r := b.expected(e, code.Bool, "a condition").reg
	if when {
		b.jump(code.JumpTrue, r, 0, 0, to)
	} else {
		b.jump(code.JumpFalse, r, 0, 0, to)
	}
}

func (b *body) comparison(e *ast.Compare, to *label, when bool) {
	if len(e.Ops) == 1 {
		b.pair(e, 0, nil, to, when)
		return
	}
	// In a chain the middle values are worked out once.
	var past label
	var left *operand
	for i := range e.Ops {
		last := i == len(e.Ops)-1
		switch {
		case last:
			b.pair(e, i, left, to, when)
		case when:
			left = b.pair(e, i, left, &past, false)
		default:
			left = b.pair(e, i, left, to, false)
		}
	}
	b.place(&past)
}

// pair compares operands i and i+1 and goes to a label if that comes out as
// `when`. It gives the right one for the next pair of a chain.
func (b *body) pair(e *ast.Compare, i int, left *operand, to *label, when bool) *operand {
	x, y := e.Operands[i], e.Operands[i+1]
	op := code.ComparisonOf(e.Ops[i])
	defer func(outer ast.Node) { b.at = outer.Place() }(e)
	at := e.Span
	if len(e.Ops) > 1 {
		at = x.Place().To(y.Place())
	}
	if b.natural(x) == code.Num && b.natural(y) == code.Num {
		if left == nil {
			if k, ok := constantOf(x); ok {
				r := b.as(y, code.Num)
				b.at = at
				b.jumpK(swapped(op), r.reg, k, to, when)
				return &r
			}
			r := b.as(x, code.Num)
			left = &r
		}
		if k, ok := constantOf(y); ok && i == len(e.Ops)-1 {
			b.at = at
			b.jumpK(op, left.reg, k, to, when)
			return nil
		}
		right := b.as(y, code.Num)
		b.at = at
		b.jumpN(op, left.reg, right.reg, to, when)
		return &right
	}
	if b.natural(x) == code.Bool && b.natural(y) == code.Bool && op <= code.NotEqual {
		p, q := b.as(x, code.Bool), b.as(y, code.Bool)
		b.at = at
		b.jumpN(op, p.reg, q.reg, to, when)
		return nil
	}
	if left == nil {
		left = &operand{code.Val, b.val(x)}
	} else if left.rep != code.Val {
		boxed := operand{code.Val, b.takeV(1)}
		b.convert(*left, boxed, "this")
		left = &boxed
	}
	right := operand{code.Val, b.val(y)}
	b.at = at
	r := b.takeN(1)
	b.emit(code.Compare2, r, left.reg, right.reg, int32(op))
	if when {
		b.jump(code.JumpTrue, r, 0, 0, to)
	} else {
		b.jump(code.JumpFalse, r, 0, 0, to)
	}
	return &right
}

// swapped is the comparison with its sides exchanged.
func swapped(op code.Compare) code.Compare {
	return [...]code.Compare{code.Equal, code.NotEqual, code.Greater, code.GreaterEqual, code.Less, code.LessEqual}[op]
}

// opposite is the comparison that holds when op does not. There is no NaN.
func opposite(op code.Compare) code.Compare {
	return [...]code.Compare{code.NotEqual, code.Equal, code.GreaterEqual, code.Greater, code.LessEqual, code.Less}[op]
}

func (b *body) jumpN(op code.Compare, x, y uint8, to *label, when bool) {
	if !when {
		op = opposite(op)
	}
	switch op {
	case code.Equal:
		b.jump(code.JumpEq, x, y, 0, to)
	case code.NotEqual:
		b.jump(code.JumpNe, x, y, 0, to)
	case code.Less:
		b.jump(code.JumpLt, x, y, 0, to)
	case code.LessEqual:
		b.jump(code.JumpLe, x, y, 0, to)
	case code.Greater:
		b.jump(code.JumpLt, y, x, 0, to)
	case code.GreaterEqual:
		b.jump(code.JumpLe, y, x, 0, to)
	}
}

func (b *body) jumpK(op code.Compare, x uint8, k float64, to *label, when bool) {
	if !when {
		op = opposite(op)
	}
	index := b.c.number(k)
	if index > 0xffff {
		r := b.takeN(1)
		b.emit(code.ConstN, r, 0, 0, index)
		b.jumpN(op, x, r, to, true)
		return
	}
	jumps := [...]code.Op{code.JumpEqK, code.JumpNeK, code.JumpLtK, code.JumpLeK, code.JumpGtK, code.JumpGeK}
	b.jump(jumps[op], x, uint8(index), uint8(index>>8), to)
}

// Bodies inside bodies.

func (b *body) funcLit(e *ast.FuncLit, wish *operand) operand {
	f := &code.Func{Shape: code.Fn, Place: e.Span, Result: code.Val}
	b.c.head(f, e.Params)
	index, captured := b.literal(f, e, e.Params, true, func(inner *body) {
		if e.Result != nil {
			inner.result(e.Result)
			return
		}
		inner.block(e.Body.Stmts)
		inner.emit(code.Fail, 0, 0, 0, 0)
	})
	r := b.target(code.Val, wish)
	m := b.mark()
	first := b.takeV(len(captured))
	for i, o := range captured {
		held := operand{code.Val, first + uint8(i)}
		b.convert(b.object(o, &held), held, "this")
		if mayHoldList(o.Kinds) || o.Kinds == types.Unknown {
			b.emit(code.Share, held.reg, 0, 0, 0)
		}
	}
	b.release(m)
	b.at = e.Span
	b.emit(code.Closure, r.reg, first, uint8(len(captured)), index)
	return r
}

// handOver lays out captured variables as the first registers of a callee.
func (b *body) handOver(index int32, captured []*check.Object, n, v uint8) {
	f := b.c.out.Funcs[index]
	for i, o := range captured {
		p := f.Params[len(f.Params)-f.Captures+i]
		reg := n + p.Register
		if p.Rep == code.Val {
			reg = v + p.Register
		}
		dst := operand{p.Rep, reg}
		b.move(b.object(o, &dst), dst) // lent: nobody assigns to a captured variable
	}
}

func (b *body) pathLit(e *ast.PathLit) operand {
	f := &code.Func{Shape: code.Path, Place: e.Span}
	index, captured := b.literal(f, e, nil, false, func(inner *body) {
		inner.block(e.Body.Stmts)
		inner.at = e.Body.Span.Tail()
		inner.emit(code.Return, 0, 0, 0, 0)
	})
	at := window{uint8(b.topN), uint8(b.topV)}
	b.takeN(f.Numbers)
	b.takeV(max(f.Values, 1))
	b.handOver(index, captured, at.n, at.v)
	b.emit(code.CallPath, at.n, at.v, 0, index)
	return operand{code.Val, at.v}
}
