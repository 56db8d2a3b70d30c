package compile

import (
	"golang.org/x/text/unicode/norm"

	"wend/lang/ast"
	"wend/lang/code"
	"wend/lang/types"
)

// assign is `x = v`, `xs[i] = v`, `r.name = v`, and changes in place.
func (b *body) assign(s *ast.Assign) {
	target := unwrap(s.Target)
	if _, ok := target.(*ast.NameExpr); !ok {
		b.store(s, target)
		return
	}
	value := s.Value
	if change := b.c.checked.Changes[s]; change != nil {
		value = change
	}
	v := b.vars[b.c.checked.Refs[target]]
	if more, ok := b.appended(target, value); ok && !v.spilled && v.rep == code.Val {
		m := b.mark()
		list := b.val(more)
		b.at = value.Place()
		b.emit(code.ListAppend, v.register, list, 0, 0)
		b.release(m)
		return
	}
	if part, ok := b.shortened(target, value); ok && !v.spilled && v.rep == code.Val {
		m := b.mark()
		ends := b.takeN(2)
		b.expect(part.From, operand{code.Num, ends}, "the start of a range")
		b.expect(part.To, operand{code.Num, ends + 1}, "the end of a range")
		b.at = value.Place()
		b.emit(code.Shorten, v.register, ends, 0, 0)
		b.release(m)
		return
	}
	b.set(v, value)
}

// shortened reports whether the value that a variable is given is a part of its
// own.
func (b *body) shortened(target, value ast.Expr) (part *ast.Range, ok bool) {
	index, ok := unwrap(value).(*ast.Index)
	if !ok {
		return nil, false
	}
	part, ok = unwrap(index.I).(*ast.Range)
	name, same := unwrap(index.X).(*ast.NameExpr)
	ok = ok && same && part.By == nil && b.c.checked.Refs[name] == b.c.checked.Refs[target]
	return part, ok
}

// appended reports whether the value that a variable is given may be `xs + more`
// with lists, for the variable xs itself.
func (b *body) appended(target, value ast.Expr) (more ast.Expr, ok bool) {
	sum, ok := unwrap(value).(*ast.Binary)
	if !ok || sum.Op != ast.Add || !b.c.kinds(sum.X).Has(types.List) || !b.c.kinds(sum.Y).Has(types.List) {
		return nil, false
	}
	name, ok := unwrap(sum.X).(*ast.NameExpr)
	if !ok || b.c.checked.Refs[name] != b.c.checked.Refs[target] {
		return nil, false
	}
	return sum.Y, true
}

// part is one step from a variable into what it holds: an item or a field.
type part struct {
	expr  ast.Expr // of the whole up to here
	index ast.Expr // nil for a field
	name  string   // of a field that is named in the program
	place operand  // of an index, once it was worked out
}

// parts are the steps of a target, from the variable on.
func parts(target ast.Expr) (base ast.Expr, list []part) {
	for {
		switch t := target.(type) {
		case *ast.Index:
			list = append(list, part{expr: t, index: t.I})
			target = unwrap(t.X)
		case *ast.Field:
			list = append(list, part{expr: t, name: norm.NFC.String(t.Name.Name)})
			target = unwrap(t.X)
		default:
			for i, j := 0, len(list)-1; i < j; i, j = i+1, j-1 {
				list[i], list[j] = list[j], list[i]
			}
			return target, list
		}
	}
}

// store gives a value to an item or a field. Indexes are worked out once, from
// left to right, then the value, then what is there changes.
func (b *body) store(s *ast.Assign, target ast.Expr) {
	m := b.mark()
	defer b.release(m)
	base, list := parts(target)
	numeric := true
	for _, p := range list {
		numeric = numeric && p.index != nil && b.c.kinds(p.index) == types.Number
	}
	var places uint8
	ofItem := len(list) == 2 && list[0].index != nil && list[1].index == nil && b.c.kinds(list[0].index) == types.Number
	switch {
	case ofItem:
		places = b.takeN(1)
		list[0].place = operand{code.Num, places}
		b.expect(list[0].index, list[0].place, "a place in a list")
	case numeric:
		places = b.takeN(len(list))
		for i := range list {
			list[i].place = operand{code.Num, places + uint8(i)}
			b.expect(list[i].index, list[i].place, "a place in a list")
		}
	default:
		places = b.takeV(len(list))
		for i := range list {
			p := &list[i]
			p.place = operand{code.Val, places + uint8(i)}
			if p.index != nil {
				b.lend(p.index, p.place.reg)
			} else {
				b.emit(code.ConstT, p.place.reg, 0, 0, b.c.text(p.name))
			}
		}
	}
	x := b.takeV(1)
	v := b.vars[b.c.checked.Refs[base]]
	holder := v.register
	switch {
	case v.spilled:
		holder = b.takeV(1)
	case v.rep != code.Val:
		holder = b.takeV(1)
		b.box(operand{v.rep, v.register}, holder) // fails when run, and says what it is
	}
	if s.Op == "" {
		b.to(s.Value, operand{code.Val, x})
		if v.spilled {
			b.emit(code.GetSpilled, holder, 0, 0, int32(v.index))
		}
	} else {
		b.changed(s, list, v, holder, x)
	}
	b.at = s.Target.Place()
	switch {
	case numeric:
		b.emit(code.SetIndex, holder, places, uint8(len(list)), int32(x))
	case ofItem:
		b.emit(code.SetOfItem, holder, places, x, b.c.text(list[1].name))
	case len(list) == 1 && list[0].index == nil:
		b.emit(code.SetField, holder, x, 0, b.c.text(list[0].name))
	default:
		b.emit(code.SetAt, holder, places, uint8(len(list)), int32(x))
	}
	if v.spilled {
		b.emit(code.SetSpilled, holder, 0, 0, int32(v.index))
	}
}

// changed puts the value that a change in place makes of an item or field
// into x.
func (b *body) changed(s *ast.Assign, list []part, v variable, holder, x uint8) {
	kinds := b.c.kinds(s.Target)
	numbers := kinds == types.Number && b.c.kinds(s.Value) == types.Number
	rep := code.Val
	if numbers {
		rep = code.Num
	}
	by := b.as(s.Value, rep)
	if v.spilled {
		b.emit(code.GetSpilled, holder, 0, 0, int32(v.index))
	}
	// Down to what is there now, which stays where it is.
	inner, outer := holder, holder
	steps := b.takeV(2)
	appends := s.Op == ast.Add && kinds.Has(types.List)
	for i, p := range list {
		next := steps + uint8(i%2)
		b.at = p.expr.Place()
		switch {
		case p.index == nil:
			b.emit(code.Field, next, inner, 0, b.c.text(p.name))
		case p.place.rep == code.Num:
			b.emit(code.IndexV, next, inner, p.place.reg, 0)
		default:
			b.emit(code.IndexAny, next, inner, p.place.reg, 0)
		}
		inner, outer = next, inner
		if appends {
			b.emit(code.ToChange, inner, outer, 0, 0)
		}
	}
	b.at = s.Span
	switch {
	case numbers:
		now := operand{code.Num, b.takeN(1)}
		b.unbox(inner, now, "this")
		op := map[ast.BinaryOp]code.Op{ast.Add: code.AddN, ast.Sub: code.SubN, ast.Mul: code.MulN, ast.Div: code.DivN}[s.Op]
		b.emit(op, now.reg, now.reg, by.reg, 0)
		b.box(now, x)
	case appends:
		b.emit(code.ListAppend, inner, by.reg, 0, 0)
		b.emit(code.MoveV, x, inner, 0, 0)
	default:
		b.emit(code.ArithV, x, inner, by.reg, int32(ariths[s.Op]))
	}
}
