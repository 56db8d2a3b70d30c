package compile

import (
	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/code"
	"wend/lang/source"
	"wend/lang/types"
)

// registers is how many registers of a bank the code of one body may use; some
// are kept free so that a call of a library function always finds room.
const registers = 250

// variableRegisters is how many of them variables may take; the others are
// for values in passing. Further variables live outside the frame.
const variableRegisters = 160

// body is a body while it is compiled.
type body struct {
	c    *compiler
	f    *code.Func
	vars map[*check.Object]variable
	at   source.Span // what messages about the next instructions point at
	site source.Span // the statement being compiled: where line comes from

	topN, topV int // registers in use
	loops      []*loop
	branches   int // open at this point
}

// variable is where a variable lives.
type variable struct {
	rep      code.Rep
	register uint8
	spilled  bool // then index is its place outside the frame
	index    int
	captured bool
	taken    map[string]uint8 // registers of the fields that a loop took of its item (see taken.go)
}

// operand is a value in registers.
type operand struct {
	rep code.Rep
	reg uint8
}

// loop is a loop whose body is being compiled.
type loop struct {
	out, next label
	branches  int // open where the loop stands
}

// label is a place in the code that jumps lead to, known or not yet.
type label struct {
	pc    int
	known bool
	jumps []int
}

func (b *body) emit(op code.Op, x, y, z uint8, d int32) int {
	b.f.Code = append(b.f.Code, code.Instr{Op: op, A: x, B: y, C: z, D: d})
	b.f.Spans = append(b.f.Spans, b.at)
	return len(b.f.Code) - 1
}

// jump emits an instruction that leads to a label.
func (b *body) jump(op code.Op, x, y, z uint8, to *label) {
	pc := b.emit(op, x, y, z, int32(to.pc))
	if !to.known {
		to.jumps = append(to.jumps, pc)
	}
}

// place puts a label here.
func (b *body) place(l *label) {
	l.pc, l.known = len(b.f.Code), true
	for _, pc := range l.jumps {
		b.f.Code[pc].D = int32(l.pc)
	}
}

// mark is how many registers are in use.
type mark struct{ n, v int }

func (b *body) mark() mark { return mark{b.topN, b.topV} }

// release gives back the registers taken since a mark.
func (b *body) release(m mark) { b.topN, b.topV = m.n, m.v }

func (b *body) takeN(n int) uint8 {
	first := b.topN
	b.topN += n
	if b.topN > registers {
		panic(tooFull{})
	}
	b.f.Numbers = max(b.f.Numbers, b.topN)
	return uint8(first)
}

func (b *body) takeV(n int) uint8 {
	first := b.topV
	b.topV += n
	if b.topV > registers {
		panic(tooFull{})
	}
	b.f.Values = max(b.f.Values, b.topV)
	return uint8(first)
}

func (b *body) take(rep code.Rep) operand {
	if rep == code.Val {
		return operand{rep, b.takeV(1)}
	}
	return operand{rep, b.takeN(rep.Numbers())}
}

// declare gives a variable a place.
func (b *body) declare(o *check.Object) variable {
	v := variable{rep: repOf(o.Kinds)}
	if b.topN+v.rep.Numbers() > variableRegisters || b.topV+v.rep.Values() > variableRegisters {
		v = variable{rep: code.Val, spilled: true, index: b.f.Spilled}
		b.f.Spilled++
	} else {
		v.register = b.take(v.rep).reg
	}
	b.vars[o] = v
	where := code.Variable{Name: o.Name, Rep: v.rep, Register: v.register, Spilled: -1, From: len(b.f.Code)}
	if v.spilled {
		where.Spilled = v.index
	}
	b.f.Variables = append(b.f.Variables, where)
	return v
}

// params makes variables of the parameters that head or literal laid out, and
// fills in the defaults of those that were left out.
func (b *body) params(params []ast.Param) {
	b.topN, b.topV = b.f.Numbers, b.f.Values
	for i := range params {
		p := b.f.Params[i]
		b.vars[b.c.checked.Defs[&params[i]]] = variable{rep: p.Rep, register: p.Register}
	}
	for i := range params {
		if params[i].Default == nil {
			continue
		}
		p := b.f.Params[i]
		var given label
		b.at, b.site = params[i].Span, params[i].Span
		if p.Rep == code.Val {
			b.jump(code.GivenV, p.Register, 0, 0, &given)
		} else {
			b.jump(code.GivenN, p.Register, 0, 0, &given)
		}
		b.to(params[i].Default, operand{p.Rep, p.Register})
		b.place(&given)
	}
}

// file compiles a module's body.
func (b *body) file(file *ast.File, module int) {
	for _, s := range file.Body {
		let, ok := s.(*ast.Let)
		if !ok {
			continue
		}
		o := b.c.checked.Defs[let]
		v := b.declare(o)
		b.c.globals[o] = global{module, v}
		b.at = let.Name.Span
		switch {
		case v.spilled:
			// The places outside the frame begin as nothing.
		case v.rep == code.Val:
			b.emit(code.ForgetV, v.register, 0, 0, 0)
		default:
			b.emit(code.Forget, v.register, 0, 0, 0)
		}
	}
	b.stmts(file.Body)
	b.at = source.Span{File: file.Source, Start: len(file.Source.Text), End: len(file.Source.Text)}
	b.emit(code.Return, 0, 0, 0, 0)
	b.leaveScope(0)
}

// literal numbers the function of a literal that stands in b: a fn value, a
// path body or a formula. It gives the captured variables, which arrive as the
// last parameters.
func (b *body) literal(f *code.Func, node ast.Node, params []ast.Param, copiesGlobals bool, fill func(inner *body)) (int32, []*check.Object) {
	captured := b.captures(node, copiesGlobals)
	f.Captures = len(captured)
	reps := make([]code.Rep, len(captured))
	for i, o := range captured {
		if v, ok := b.vars[o]; ok {
			reps[i] = v.rep
		} else {
			reps[i] = b.c.globals[o].rep
		}
		addParam(f, code.Param{Name: o.Name, Rep: reps[i]})
	}
	index := b.c.add(f, func(inner *body) {
		inner.topN, inner.topV = f.Numbers, f.Values
		for i, o := range captured {
			p := f.Params[len(f.Params)-len(captured)+i]
			inner.vars[o] = variable{rep: p.Rep, register: p.Register, captured: true}
		}
		inner.params(params)
		fill(inner)
	})
	return index, captured
}

// captures are the variables of b that a literal reads, in order of first use.
// What stands at file scope is read where it is, unless the literal copies it
// (a fn value does) or b itself has a copy.
func (b *body) captures(node ast.Node, copiesGlobals bool) []*check.Object {
	var captured []*check.Object
	seen := map[*check.Object]bool{}
	span := node.Place()
	names(node, func(e ast.Expr) {
		o := b.c.checked.Refs[e]
		if o == nil || seen[o] || o.Kind > check.Parameter {
			return
		}
		inside := o.Place.File == span.File && span.Start <= o.Place.Start && o.Place.End <= span.End
		if inside {
			return
		}
		seen[o] = true
		if o.Global && !copiesGlobals && !b.vars[o].captured {
			return
		}
		captured = append(captured, o)
	})
	return captured
}

// mayHoldList reports whether a value of these kinds can be a list or a record.
func mayHoldList(k types.Kind) bool { return k.Has(types.List | types.Record) }
