package compile

import (
	"slices"

	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/code"
	"wend/lang/source"
	"wend/lang/types"
)

// window is where a callee's frame begins.
type window struct{ n, v uint8 }

// arguments lays out the arguments of a function or figure as its first
// registers. They are taken from the caller's upper end, and so is a register
// for the result.
func (b *body) arguments(target *check.Object, args []ast.Expr) window {
	index := b.c.function(target)
	f := b.c.out.Funcs[index]
	at := window{uint8(b.topN), uint8(b.topV)}
	n, v := 0, 0
	for _, p := range f.Params {
		n, v = n+p.Rep.Numbers(), v+p.Rep.Values()
	}
	first, firstV := b.takeN(max(n, f.Result.Numbers())), b.takeV(max(v, 1))
	for i, p := range f.Params {
		if i < len(args) && args[i] != nil {
			b.into(args[i], p, first, firstV, p.Name)
		} else if p.Rep == code.Val {
			b.emit(code.Nothing, firstV+p.Register, 0, 0, 0)
		} else {
			b.emit(code.Absent, first+p.Register, 0, 0, 0)
		}
	}
	return at
}

func (b *body) into(arg ast.Expr, p code.Param, n, v uint8, what string) {
	switch {
	case p.Rep == code.Val && p.Changed:
		b.to(arg, operand{p.Rep, v + p.Register})
	case p.Rep == code.Val:
		b.lend(arg, v+p.Register)
	default:
		b.expect(arg, operand{p.Rep, n + p.Register}, what)
	}
}

// call is a call whose value is wanted.
func (b *body) call(call *ast.Call) operand {
	how := b.c.checked.Calls[call]
	switch {
	case how.Target == nil:
		return b.callValue(call, how)
	case how.Target.Kind == check.Builtin:
		return b.native(call, how)
	}
	at := b.arguments(how.Target, how.Args)
	b.at = call.Span
	index := b.c.function(how.Target)
	f := b.c.out.Funcs[index]
	if f.Shape == code.Figure {
		b.emit(code.CallPath, at.n, at.v, 0, index)
		return operand{code.Val, at.v}
	}
	b.emit(code.Call, at.n, at.v, 0, index)
	if f.Result == code.Val {
		return operand{code.Val, at.v}
	}
	return operand{f.Result, at.n}
}

func (b *body) callValue(call *ast.Call, how *check.Call) operand {
	first := b.takeV(len(how.Args) + 1)
	b.to(call.Fn, operand{code.Val, first})
	for i, arg := range how.Args {
		if arg == nil {
			b.emit(code.Nothing, first+1+uint8(i), 0, 0, 0)
		} else {
			b.lend(arg, first+1+uint8(i))
		}
	}
	b.at = call.Span
	b.emit(code.CallValue, first, 0, uint8(len(how.Args)), 0)
	return operand{code.Val, first}
}

// native is a call of a library function.
func (b *body) native(call *ast.Call, how *check.Call) operand {
	word := how.Target.Builtin
	index := b.c.builtin(word)
	if b.c.unboxed(how) {
		result := b.takeN(1)
		m := b.mark()
		var regs [2]uint8
		for i, arg := range how.Args {
			regs[i] = b.expected(arg, code.Num, how.Form.Params[i].Name+" of `"+word.Name+"`").reg
		}
		b.release(m)
		b.at = call.Span
		if len(how.Args) == 1 {
			b.emit(code.Native1, result, regs[0], 0, index)
		} else {
			b.emit(code.Native2, result, regs[0], regs[1], index)
		}
		return operand{code.Num, result}
	}
	result := b.takeV(1)
	m := b.mark()
	first := b.takeV(len(how.Args))
	for i, arg := range how.Args {
		reg := first + uint8(i)
		if arg == nil {
			b.emit(code.Nothing, reg, 0, 0, 0)
			continue
		}
		if slices.ContainsFunc(how.Fits, keeps) {
			b.to(arg, operand{code.Val, reg})
		} else {
			b.lend(arg, reg)
		}
	}
	b.release(m)
	b.at = call.Span
	if !slices.ContainsFunc(how.Fits, func(f *types.Form) bool { return b.c.sure(f, how.Args) }) {
		b.emit(code.Fit, first, 0, 0, b.c.fit(how))
	}
	b.emit(code.Native, result, first, uint8(len(how.Args)), index)
	return operand{code.Val, result}
}

// unboxed reports whether a call takes one or two numbers and gives one,
// whichever of its forms it turns out to be.
func (c *compiler) unboxed(how *check.Call) bool {
	if len(how.Args) < 1 || len(how.Args) > 2 || slices.Contains(how.Args, nil) {
		return false
	}
	for _, form := range how.Fits {
		if form.Result != types.Number || len(form.Params) > 2 && !form.Params[2].Rest {
			return false
		}
		for i := range how.Args {
			if p := form.ParamAt(i); p.Kinds != types.Number || p.Rest {
				return false
			}
		}
	}
	return true
}

// keeps reports whether what a library function gives back may hold what it was
// given.
func keeps(form *types.Form) bool {
	return form.SameKind || form.Result.Has(types.List|types.Record|types.Function)
}

// sure reports whether the arguments fit a form whatever the program does.
func (c *compiler) sure(form *types.Form, args []ast.Expr) bool {
	for i, arg := range args {
		if arg != nil && c.kinds(arg)&^form.ParamAt(i).Kinds != 0 {
			return false
		}
	}
	return true
}

// fit is what the arguments of a call are held to when it runs.
func (c *compiler) fit(how *check.Call) int32 {
	fit := code.Fitting{Word: how.Target.Name, Forms: how.Fits, Args: make([]source.Span, len(how.Args))}
	for i, arg := range how.Args {
		if arg != nil {
			fit.Args[i] = arg.Place()
		}
	}
	c.out.Fits = append(c.out.Fits, fit)
	return int32(len(c.out.Fits) - 1)
}

// stylus is a word that the evaluator carries out itself.
func (b *body) stylus(call *ast.Call, how *check.Call) {
	word := how.Target.Builtin
	site := b.c.site(call.Span)
	what := func(i int) string { return how.Form.ParamAt(i).Name + " of `" + word.Name + "`" }
	// The numbers, and the halves of the points, of all arguments in a row.
	laid := func() uint8 {
		if len(how.Args) == 1 && how.Form.ParamAt(0).Kinds == types.Point {
			return b.expected(how.Args[0], code.Point, what(0)).reg
		}
		size := 0
		for i := range how.Args {
			size += repOf(how.Form.ParamAt(i).Kinds).Numbers()
		}
		first := b.takeN(size)
		next := first
		for i, arg := range how.Args {
			rep := repOf(how.Form.ParamAt(i).Kinds)
			b.expect(arg, operand{rep, next}, what(i))
			next += uint8(rep.Numbers())
		}
		return first
	}
	single := func() uint8 { return b.expected(how.Args[0], code.Num, what(0)).reg }
	emit := func(op code.Op, reg uint8) {
		b.at = call.Span
		b.emit(op, reg, 0, 0, site)
	}
	switch word.Op {
	case types.Ahead:
		emit(code.Ahead, single())
	case types.Turn:
		emit(code.TurnBy, single())
	case types.Face:
		emit(code.Face, single())
	case types.Seed:
		emit(code.Seed, single())
	case types.Reach:
		emit(code.Reach, laid())
	case types.Shift:
		emit(code.Shift, laid())
	case types.Arc:
		emit(code.Arc, laid())
	case types.Bezier:
		emit(code.Bezier, laid())
	case types.Sneak:
		emit(code.Sneak, laid())
	case types.Follow:
		path, origin := b.val(how.Args[0]), b.takeN(2)
		b.constant(origin, 0)
		b.constant(origin+1, 0)
		b.at = call.Span
		b.emit(code.DrawAt, path, origin, 0, site)
	case types.Begin:
		emit(code.Begin, laid())
	case types.Spline:
		emit(code.Spline, b.val(how.Args[0]))
	case types.Note:
		emit(code.PrintNote, b.val(how.Args[0]))
	case types.Pause:
		emit(code.Pause, b.val(how.Args[0]))
	case types.Erase:
		emit(code.Erase, 0)
	}
}
