package compile

import (
	"math"

	"golang.org/x/text/unicode/norm"

	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/code"
	"wend/lang/types"
)

// Getting an expression's value into registers:
//
//	expr      wherever it is or comes to be, in the way it naturally lies
//	as        likewise, but in a given way
//	to        into given registers
//	val, toV  into a value register: any, or one of its own
//
// expected and expect are as and to with the words for a message, should the
// value turn out to be of another kind. None of them gives registers back: the
// caller does, when the value has been used.

// expr compiles an expression. With a wish, the result may be put there if it
// lies in that way.
func (b *body) expr(e ast.Expr, wish *operand) operand {
	outer := b.at
	defer func() { b.at = outer }()
	e = unwrap(e)
	b.at = e.Place()
	if x, ok := constantOf(e); ok {
		r := b.target(code.Num, wish)
		b.constant(r.reg, x)
		return r
	}
	switch e := e.(type) {
	case *ast.BoolLit:
		r := b.target(code.Bool, wish)
		d := int32(0)
		if e.Value {
			d = 1
		}
		b.emit(code.ConstI, r.reg, 0, 0, d)
		return r
	case *ast.TextLit:
		return b.textLit(e, wish)
	case *ast.NameExpr:
		return b.name(e, wish)
	case *ast.PointLit:
		r := b.target(code.Point, wish)
		b.expect(e.X, operand{code.Num, r.reg}, "x of a point")
		b.expect(e.Y, operand{code.Num, r.reg + 1}, "y of a point")
		return r
	case *ast.ListLit:
		return b.listLit(e, wish)
	case *ast.RecordLit:
		return b.recordLit(e)
	case *ast.Range:
		m := b.mark()
		state := b.takeN(3)
		b.rangeParts(e, state)
		b.release(m)
		r := b.target(code.Val, wish)
		b.at = e.Span
		b.emit(code.RangeList, r.reg, state, 0, 0)
		return r
	case *ast.Unary:
		if e.Op == ast.Not {
			return b.truth(e, wish)
		}
		return b.minus(e, wish)
	case *ast.Binary:
		if e.Op == ast.And || e.Op == ast.Or {
			return b.truth(e, wish)
		}
		return b.binary(e, wish)
	case *ast.Compare:
		return b.truth(e, wish)
	case *ast.Call:
		r := b.call(e)
		return b.narrow(r, b.c.kinds(e), wish)
	case *ast.Index:
		return b.index(e, wish)
	case *ast.Field:
		return b.field(e, wish)
	case *ast.Choice:
		return b.choice(e, wish)
	case *ast.FuncLit:
		return b.funcLit(e, wish)
	case *ast.PathLit:
		return b.pathLit(e)
	case *ast.Curve:
		return b.curve(e, wish)
	}
	r := b.target(code.Val, wish) // ast.Bad: no checked program holds one
	b.emit(code.Fail, 0, 0, 0, 0)
	return r
}

// target is the registers of a wish if they fit, else new ones.
func (b *body) target(rep code.Rep, wish *operand) operand {
	if wish != nil && wish.rep == rep {
		return *wish
	}
	return b.take(rep)
}

// narrow unboxes a value that is known to be of an unboxed kind.
func (b *body) narrow(r operand, kinds types.Kind, wish *operand) operand {
	if r.rep != code.Val {
		return r
	}
	rep := repOf(kinds)
	if rep == code.Val {
		return r
	}
	n := b.target(rep, wish)
	b.unbox(r.reg, n, "this")
	return n
}

func (b *body) as(e ast.Expr, rep code.Rep) operand {
	return b.expected(e, rep, "this")
}

func (b *body) expected(e ast.Expr, rep code.Rep, what string) operand {
	r := b.expr(e, nil)
	if r.rep == rep {
		return r
	}
	outer := b.at
	b.at = e.Place()
	n := b.take(rep)
	b.convert(r, n, what)
	b.at = outer
	return n
}

func (b *body) to(e ast.Expr, dst operand) { b.expect(e, dst, "this") }

func (b *body) expect(e ast.Expr, dst operand, what string) {
	b.put(e, dst, what)
	if dst.rep == code.Val && b.held(e) {
		b.emit(code.Share, dst.reg, 0, 0, 0)
	}
}

// lend puts a value into the register of a reader who changes nothing and holds
// nothing (see lend.go).
func (b *body) lend(e ast.Expr, reg uint8) { b.put(e, operand{code.Val, reg}, "this") }

func (b *body) put(e ast.Expr, dst operand, what string) {
	m := b.mark()
	defer b.release(m)
	r := b.expr(e, &dst)
	if r != dst {
		outer := b.at
		b.at = e.Place()
		b.convert(r, dst, what)
		b.at = outer
	}
}

// held reports whether an expression gives a list that somebody holds already.
func (b *body) held(e ast.Expr) bool {
	e = unwrap(e)
	switch e.(type) {
	case *ast.NameExpr, *ast.Field, *ast.Index:
		return mayHoldList(b.c.kinds(e))
	}
	return false // all else is new
}

// val gives the value of an expression to be looked at only: it may be the
// register of a variable.
func (b *body) val(e ast.Expr) uint8 { return b.as(e, code.Val).reg }

// toV gives the value of an expression in a register of its own.
func (b *body) toV(e ast.Expr) uint8 {
	r := b.takeV(1)
	b.to(e, operand{code.Val, r})
	return r
}

// convert moves a value, boxing or unboxing it.
func (b *body) convert(from, dst operand, what string) {
	switch {
	case from.rep == dst.rep:
		b.move(from, dst)
	case dst.rep == code.Val:
		b.box(from, dst.reg)
	case from.rep == code.Val:
		b.unbox(from.reg, dst, what)
	default: // another kind than wanted: the message is the business of the run
		m := b.mark()
		v := b.takeV(1)
		b.box(from, v)
		b.unbox(v, dst, what)
		b.release(m)
	}
}

func (b *body) move(from, dst operand) {
	if from.rep != dst.rep {
		b.convert(from, dst, "this")
		return
	}
	if from.reg == dst.reg {
		return
	}
	switch dst.rep {
	case code.Val:
		b.emit(code.MoveV, dst.reg, from.reg, 0, 0)
	case code.Point:
		b.emit(code.MoveP, dst.reg, from.reg, 0, 0)
	default:
		b.emit(code.MoveN, dst.reg, from.reg, 0, 0)
	}
}

func (b *body) box(from operand, v uint8) {
	switch from.rep {
	case code.Num:
		b.emit(code.BoxN, v, from.reg, 0, 0)
	case code.Bool:
		b.emit(code.BoxB, v, from.reg, 0, 0)
	case code.Point:
		b.emit(code.BoxP, v, from.reg, 0, 0)
	}
}

func (b *body) unbox(v uint8, dst operand, what string) {
	switch dst.rep {
	case code.Num:
		b.emit(code.UnboxN, dst.reg, v, 0, b.c.note(what, types.Number))
	case code.Bool:
		b.emit(code.UnboxB, dst.reg, v, 0, b.c.note(what, types.Bool))
	case code.Point:
		b.emit(code.UnboxP, dst.reg, v, 0, b.c.note(what, types.Point))
	}
}

// numberOf is a number in millimetres or degrees.
func numberOf(e *ast.NumberLit) float64 {
	switch e.Unit {
	case ast.Centimetre:
		return e.Value * 10
	case ast.Inch:
		return e.Value * 25.4 // the international inch, in mm
	case ast.Radian:
		return e.Value * (180 / math.Pi)
	}
	return e.Value
}

func (b *body) constant(reg uint8, x float64) {
	if whole := int32(x); float64(whole) == x && !(x == 0 && math.Signbit(x)) {
		b.emit(code.ConstI, reg, 0, 0, whole)
		return
	}
	b.emit(code.ConstN, reg, 0, 0, b.c.number(x))
}

// constantOf is the number that an expression is whatever happens.
func constantOf(e ast.Expr) (float64, bool) {
	switch e := unwrap(e).(type) {
	case *ast.NumberLit:
		return numberOf(e), true
	case *ast.Unary:
		if x, ok := constantOf(e.X); ok && e.Op == ast.Minus {
			return -x, true
		}
	case *ast.Binary:
		x, okX := constantOf(e.X)
		y, okY := constantOf(e.Y)
		if !okX || !okY {
			return 0, false
		}
		var r float64
		switch e.Op {
		case ast.Add:
			r = x + y
		case ast.Sub:
			r = x - y
		case ast.Mul:
			r = x * y
		case ast.Div:
			r = x / y
		default:
			return 0, false
		}
		return r, r-r == 0 // a fault is left to the run, which knows where it is
	}
	return 0, false
}

// group is how many values at a time are gathered into a list or a text.
const group = 16

func (b *body) textLit(e *ast.TextLit, wish *operand) operand {
	plain := true
	for _, p := range e.Parts {
		plain = plain && p.Value == nil
	}
	r := b.target(code.Val, wish)
	if plain {
		text := ""
		for _, p := range e.Parts {
			text += p.Plain
		}
		b.emit(code.ConstT, r.reg, 0, 0, b.c.text(norm.NFC.String(text)))
		return r
	}
	m := b.mark()
	defer b.release(m)
	first := b.takeV(min(len(e.Parts), group))
	n := uint8(0)
	join := func(into uint8) {
		b.at = e.Span
		b.emit(code.Concat, into, first, n, 0)
		n = 0
	}
	for _, p := range e.Parts {
		if n == group {
			join(first)
			n = 1
		}
		if p.Value == nil {
			b.emit(code.ConstT, first+n, 0, 0, b.c.text(norm.NFC.String(p.Plain)))
		} else {
			b.lend(p.Value, first+n)
		}
		n++
	}
	join(r.reg)
	return r
}

func (b *body) listLit(e *ast.ListLit, wish *operand) operand {
	// The items may read the variable that the list is for.
	list := b.takeV(1)
	m := b.mark()
	first := b.takeV(min(len(e.Items), group))
	n := min(len(e.Items), group)
	for i, item := range e.Items[:n] {
		b.to(item, operand{code.Val, first + uint8(i)})
	}
	b.at = e.Span
	b.emit(code.ListOf, list, first, uint8(n), 0)
	for _, item := range e.Items[n:] {
		b.to(item, operand{code.Val, first})
		b.at = e.Span
		b.emit(code.ListPush, list, first, 0, 0)
	}
	b.release(m)
	return operand{code.Val, list}
}

// choice is one of two values; only the chosen one is worked out.
func (b *body) choice(e *ast.Choice, wish *operand) operand {
	r := b.target(repOf(b.c.kinds(e)), wish)
	if r.rep != code.Num && r.rep != code.Bool {
		// The branches may read the variable that it is for.
		r = b.take(r.rep)
	}
	var otherwise, end label
	b.cond(e.Cond, &otherwise, false)
	b.to(e.Then, r)
	b.jump(code.Jump, 0, 0, 0, &end)
	b.place(&otherwise)
	b.to(e.Else, r)
	b.place(&end)
	return r
}

// recordLit makes a record. The values may read the variable that it is for.
func (b *body) recordLit(e *ast.RecordLit) operand {
	r := operand{code.Val, b.takeV(1)}
	m := b.mark()
	first := b.takeV(len(e.Fields))
	names := make([]string, len(e.Fields))
	for i, f := range e.Fields {
		names[i] = norm.NFC.String(f.Name.Name)
		b.to(f.Value, operand{code.Val, first + uint8(i)})
	}
	b.release(m)
	b.at = e.Span
	b.emit(code.RecordOf, r.reg, first, uint8(len(names)), b.c.layout(names))
	return r
}

// name is a name used as a value.
func (b *body) name(e ast.Expr, wish *operand) operand {
	o := b.c.checked.Refs[e]
	return b.object(o, wish)
}

func (b *body) object(o *check.Object, wish *operand) operand {
	switch o.Kind {
	case check.Function, check.Figure:
		r := b.target(code.Val, wish)
		b.emit(code.FuncRef, r.reg, 0, 0, b.c.function(o))
		return r
	case check.Builtin:
		return b.word(o.Builtin, wish)
	}
	if v, ok := b.vars[o]; ok {
		if v.spilled {
			r := b.target(code.Val, wish)
			b.emit(code.GetSpilled, r.reg, 0, 0, int32(v.index))
			return r
		}
		return operand{v.rep, v.register}
	}
	g := b.c.globals[o]
	r := b.target(g.rep, wish)
	slot := int32(g.register)
	op := code.GlobalN
	switch {
	case g.spilled:
		op, slot = code.GlobalSpilled, int32(g.index)
	case g.rep == code.Point:
		op = code.GlobalP
	case g.rep == code.Val:
		op = code.GlobalV
	}
	b.emit(op, r.reg, 0, 0, int32(g.module)<<16|slot)
	return r
}

// word is a word of the library that is read, or used as a function value.
func (b *body) word(word *types.Builtin, wish *operand) operand {
	switch {
	case !word.Value:
		r := b.target(code.Val, wish)
		b.emit(code.BuiltinRef, r.reg, 0, 0, b.c.builtin(word))
		return r
	case word.Op == types.Here:
		r := b.target(code.Point, wish)
		b.emit(code.Here, r.reg, 0, 0, 0)
		return r
	case word.Op == types.Heading:
		r := b.target(code.Num, wish)
		b.emit(code.Heading, r.reg, 0, 0, 0)
		return r
	case word.Op == types.Page:
		r := b.target(code.Val, wish)
		b.emit(code.Page, r.reg, 0, 0, 0)
		return r
	}
	if len(word.Forms) > 0 && word.Forms[0].Result == types.Number {
		r := b.target(code.Num, wish)
		b.emit(code.WordN, r.reg, 0, 0, b.c.builtin(word))
		return r
	}
	r := b.target(code.Val, wish)
	b.emit(code.WordV, r.reg, 0, 0, b.c.builtin(word))
	return r
}

func (b *body) index(e *ast.Index, wish *operand) operand {
	r := operand{rep: code.Val}
	if b.c.kinds(e) == types.Number {
		r.rep = code.Num
	}
	r = b.target(r.rep, wish)
	m := b.mark()
	defer b.release(m)
	list := b.val(e.X)
	if part, ok := unwrap(e.I).(*ast.Range); ok && part.By == nil {
		ends := b.takeN(2)
		b.expect(part.From, operand{code.Num, ends}, "the start of a range")
		b.expect(part.To, operand{code.Num, ends + 1}, "the end of a range")
		b.at = e.Span
		b.emit(code.Part, r.reg, list, ends, 0)
		return r
	}
	i := b.expr(e.I, nil)
	b.at = e.Span
	switch {
	case i.rep == code.Num && r.rep == code.Num:
		b.emit(code.IndexN, r.reg, list, i.reg, 0)
	case i.rep == code.Num:
		b.emit(code.IndexV, r.reg, list, i.reg, 0)
	default:
		v := i
		if i.rep != code.Val {
			v = b.take(code.Val)
			b.box(i, v.reg)
		}
		item := r
		if r.rep != code.Val {
			item = b.take(code.Val)
		}
		b.emit(code.IndexAny, item.reg, list, v.reg, 0)
		if r.rep != code.Val {
			b.unbox(item.reg, r, "this")
		}
	}
	return r
}

func (b *body) field(e *ast.Field, wish *operand) operand {
	if o := b.c.checked.Refs[e]; o != nil {
		return b.object(o, wish)
	}
	name := e.Name.Name
	r := operand{rep: code.Val}
	if b.c.kinds(e) == types.Number {
		r.rep = code.Num
	}
	if r.rep == code.Num && (name == "x" || name == "y") && b.c.kinds(e.X) == types.Point {
		p := b.as(e.X, code.Point)
		if name == "y" {
			p.reg++
		}
		return operand{code.Num, p.reg}
	}
	r = b.target(r.rep, wish)
	m := b.mark()
	x := b.val(e.X)
	b.release(m)
	b.at = e.Name.Span
	op := code.Field
	if r.rep == code.Num {
		op = code.FieldN
	}
	taken, ahead := b.takenField(e)
	if ahead {
		op = code.Taken
		if r.rep == code.Num {
			op = code.TakenN
		}
	}
	b.emit(op, r.reg, x, taken, b.c.text(name))
	return b.narrow(r, b.c.kinds(e), wish)
}
