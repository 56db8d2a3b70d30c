package compile

import (
	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/code"
	"wend/lang/source"
	"wend/lang/types"
)

// block compiles statements with a scope of their own: registers of variables
// made in it are free again after it.
func (b *body) block(stmts []ast.Stmt) {
	m, first := b.mark(), len(b.f.Variables)
	b.stmts(stmts)
	b.leaveScope(first)
	b.release(m)
}

// leaveScope ends the life of the variables made since there were `first`.
func (b *body) leaveScope(first int) {
	for i := first; i < len(b.f.Variables); i++ {
		if v := &b.f.Variables[i]; v.To == 0 {
			v.To = len(b.f.Code)
		}
	}
}

func (b *body) stmts(stmts []ast.Stmt) {
	for _, s := range stmts {
		switch s.(type) {
		case *ast.FuncDef, *ast.FigureDef, *ast.Use:
			continue // compiled where they are called
		}
		outer := b.site
		b.at, b.site = s.Place(), s.Place()
		b.f.Statements = append(b.f.Statements, code.Statement{PC: len(b.f.Code), Span: s.Place()})
		if b.c.steps {
			b.emit(code.Step, 0, 0, 0, int32(len(b.f.Statements)-1))
		}
		first := len(b.f.Variables)
		b.stmt(s)
		if _, lives := s.(*ast.Let); !lives {
			b.leaveScope(first)
		}
		b.site = outer
	}
}

func (b *body) stmt(s ast.Stmt) {
	switch s := s.(type) {
	case *ast.Let:
		b.let(s)
	case *ast.Assign:
		b.assign(s)
	case *ast.Repeat:
		b.repeat(s)
	case *ast.LoopIn:
		if r, ok := unwrap(s.Values).(*ast.Range); ok {
			b.loopRange(s, r)
		} else {
			b.loopItems(s)
		}
	case *ast.LoopWhile:
		b.loopWhile(s)
	case *ast.If:
		b.branchOn(s)
	case *ast.Return:
		b.leave(s)
	case *ast.Break:
		l := b.loops[len(b.loops)-1]
		b.comeBack(l.branches)
		b.jump(code.Jump, 0, 0, 0, &l.out)
	case *ast.Continue:
		l := b.loops[len(b.loops)-1]
		b.comeBack(l.branches)
		b.jump(code.Jump, 0, 0, 0, &l.next)
	case *ast.Draw:
		b.draw(s)
	case *ast.Branch:
		b.emit(code.Branch, 0, 0, 0, b.c.site(s.Span))
		b.branches++
		b.block(s.Body.Stmts)
		b.branches--
		b.at = s.Span
		b.emit(code.ComeBack, 0, 0, 0, b.c.site(s.Span))
	case *ast.Do:
		m := b.mark()
		b.do(s.Call)
		b.release(m)
	}
}

// comeBack leaves the branches that were opened since there were `until`.
func (b *body) comeBack(until int) {
	for i := b.branches; i > until; i-- {
		b.emit(code.ComeBack, 0, 0, 0, b.c.site(b.site))
	}
}

func (b *body) let(s *ast.Let) {
	o := b.c.checked.Defs[s]
	v, known := b.vars[o] // variables at file scope have their place already
	if !known {
		v = b.declare(o)
	}
	if !known && v.rep == code.Point {
		b.to(s.Value, operand{v.rep, v.register}) // nobody reads it yet
		return
	}
	b.set(v, s.Value)
}

// set gives a variable a new value.
func (b *body) set(v variable, value ast.Expr) {
	m := b.mark()
	defer b.release(m)
	switch {
	case v.spilled:
		b.emit(code.SetSpilled, b.toV(value), 0, 0, int32(v.index))
	case v.rep == code.Point:
		// The value may read the variable: both halves change at once.
		p := b.as(value, code.Point)
		if p.reg != v.register {
			b.emit(code.MoveP, v.register, p.reg, 0, 0)
		}
	default:
		b.to(value, operand{v.rep, v.register})
	}
}

func (b *body) branchOn(s *ast.If) {
	var otherwise, end label
	b.cond(s.Cond, &otherwise, false)
	b.block(s.Then.Stmts)
	if s.Else == nil {
		b.place(&otherwise)
		return
	}
	b.jump(code.Jump, 0, 0, 0, &end)
	b.place(&otherwise)
	switch other := s.Else.(type) {
	case *ast.Block:
		b.block(other.Stmts)
	case *ast.If:
		b.stmts([]ast.Stmt{other})
	}
	b.place(&end)
}

func (b *body) leave(s *ast.Return) {
	if s.Value == nil {
		b.comeBack(0)
		b.emit(code.Return, 0, 0, 0, 0)
		return
	}
	b.result(s.Value)
}

// result returns a value.
func (b *body) result(value ast.Expr) {
	m := b.mark()
	defer b.release(m)
	switch b.f.Result {
	case code.Num, code.Bool:
		r := b.as(value, b.f.Result).reg
		b.emit(code.ReturnN, r, 0, 0, 0)
	case code.Point:
		r := b.as(value, code.Point).reg
		b.emit(code.ReturnP, r, 0, 0, 0)
	default:
		// A variable that the body itself made ends with it, so its list has one
		// holder still. What was handed in, and an item, has another.
		if name, ok := unwrap(value).(*ast.NameExpr); ok {
			o := b.c.checked.Refs[name]
			if v, ok := b.vars[o]; ok && o.Kind == check.Variable && v.rep == code.Val && !v.spilled && !v.captured {
				b.emit(code.ReturnV, v.register, 0, 0, 0)
				return
			}
		}
		b.emit(code.ReturnV, b.toV(value), 0, 0, 0)
	}
}

func (b *body) draw(s *ast.Draw) {
	m := b.mark()
	defer b.release(m)
	path := b.val(s.Path)
	if s.At == nil {
		b.at = s.Span
		b.emit(code.Draw, path, 0, 0, b.c.site(s.Span))
		return
	}
	at := b.expected(s.At, code.Point, "the place after `at`").reg
	b.at = s.Span
	b.emit(code.DrawAt, path, at, 0, b.c.site(s.Span))
}

// Loops.

// enter begins a loop; its head is what a message says a pass is of.
func (b *body) enter(s ast.Stmt, block *ast.Block, passes uint8) (*loop, int) {
	l := &loop{branches: b.branches}
	b.loops = append(b.loops, l)
	head := source.Span{File: s.Place().File, Start: s.Place().Start, End: block.Span.Start}
	for head.End > head.Start && head.File.Text[head.End-1] <= ' ' {
		head.End--
	}
	b.f.Loops = append(b.f.Loops, code.Loop{Span: head, Passes: passes})
	return l, len(b.f.Loops) - 1
}

// begin is where the first pass of a loop begins.
func (b *body) begin(first *label, index int) {
	b.place(first)
	b.f.Loops[index].Start = len(b.f.Code)
}

func (b *body) exit(l *loop, index int) {
	b.place(&l.out)
	b.f.Loops[index].End = len(b.f.Code)
	b.loops = b.loops[:len(b.loops)-1]
}

func (b *body) repeat(s *ast.Repeat) {
	m := b.mark()
	defer b.release(m)
	count := b.takeN(2)
	b.expect(s.Count, operand{code.Num, count}, "the number of passes")
	b.at = s.Count.Place()
	var first label
	l, index := b.enter(s, s.Body, count+1)
	b.jump(code.RepeatPrep, count, 0, 0, &l.next)
	b.begin(&first, index)
	b.block(s.Body.Stmts)
	b.place(&l.next)
	b.at = s.Span
	b.jump(code.RepeatLoop, count, 0, 0, &first)
	b.exit(l, index)
}

func (b *body) loopRange(s *ast.LoopIn, r *ast.Range) {
	m := b.mark()
	defer b.release(m)
	state := b.takeN(4)
	b.rangeParts(r, state)
	o := b.c.checked.Defs[s]
	v := b.declare(o)
	count := b.counter(s, state+3)
	counter := v.register
	if v.rep != code.Num {
		counter = b.takeN(1)
	}
	b.at = r.Span
	var first label
	l, index := b.enter(s, s.Body, state+3)
	b.jump(code.RangePrep, state, 0, 0, &l.next)
	b.begin(&first, index)
	count()
	if v.rep != code.Num {
		b.setItem(v, operand{code.Num, counter})
	}
	b.block(s.Body.Stmts)
	b.place(&l.next)
	b.at = s.Span
	b.jump(code.RangeLoop, state, counter, 0, &first)
	b.exit(l, index)
}

// counter declares the variable that counts the passes of a loop, if it has
// one. The function it gives sets it at the beginning of a pass; passes is the
// register of the finished ones.
func (b *body) counter(s *ast.LoopIn, passes uint8) (set func()) {
	if s.Index == nil {
		return func() {}
	}
	v := b.declare(b.c.checked.Defs[s.Index])
	one := b.c.number(1)
	return func() {
		if v.rep == code.Num {
			b.emit(code.AddK, v.register, passes, 0, one)
			return
		}
		m := b.mark()
		n := b.takeN(1)
		b.emit(code.AddK, n, passes, 0, one)
		b.setItem(v, operand{code.Num, n})
		b.release(m)
	}
}

// rangeParts lays out from, step, to in three registers.
func (b *body) rangeParts(r *ast.Range, state uint8) {
	b.expect(r.From, operand{code.Num, state}, "the start of a range")
	if r.By != nil {
		b.expect(r.By, operand{code.Num, state + 1}, "the step of a range")
	} else {
		b.emit(code.ConstI, state+1, 0, 0, 1)
	}
	b.expect(r.To, operand{code.Num, state + 2}, "the end of a range")
}

// setItem gives a variable the item that a loop has come to.
func (b *body) setItem(v variable, item operand) {
	m := b.mark()
	defer b.release(m)
	if v.spilled {
		boxed := item.reg
		if item.rep != code.Val {
			boxed = b.takeV(1)
			b.box(item, boxed)
		}
		b.emit(code.SetSpilled, boxed, 0, 0, int32(v.index))
		return
	}
	b.move(item, operand{v.rep, v.register})
}

func (b *body) loopItems(s *ast.LoopIn) {
	m := b.mark()
	defer b.release(m)
	items, passes := b.takeV(1), b.takeN(1)
	kept, changed := b.keepsList(s)
	if kept {
		b.lend(s.Values, items)
	} else {
		b.to(s.Values, operand{code.Val, items})
	}
	count := b.counter(s, passes)
	v := b.declare(b.c.checked.Defs[s])
	op, item := code.IterV, operand{v.rep, v.register}
	switch {
	case v.spilled || v.rep == code.Bool:
		item = operand{code.Val, b.takeV(1)}
	case v.rep == code.Num:
		op = code.IterN
	case v.rep == code.Point:
		op = code.IterP
	}
	b.at = s.Values.Place()
	var first label
	l, index := b.enter(s, s.Body, passes)
	b.jump(code.IterPrep, items, passes, 0, &l.next)
	b.begin(&first, index)
	count()
	switch {
	case item.reg != v.register || item.rep != v.rep:
		b.setItem(v, item)
	case op == code.IterV && kept && changed && b.takeFields(s, v):
		op = code.IterLook
	}
	b.block(s.Body.Stmts)
	b.place(&l.next)
	b.at = s.Values.Place()
	b.jump(op, items, passes, item.reg, &first)
	b.exit(l, index)
}

func (b *body) loopWhile(s *ast.LoopWhile) {
	m := b.mark()
	defer b.release(m)
	passes := b.takeN(1)
	b.emit(code.ConstI, passes, 0, 0, -1)
	var first label
	l, index := b.enter(s, s.Body, passes)
	b.jump(code.Jump, 0, 0, 0, &l.next)
	b.begin(&first, index)
	b.block(s.Body.Stmts)
	b.place(&l.next)
	b.at = s.Cond.Place()
	b.emit(code.Pass, passes, 0, 0, 0)
	b.cond(s.Cond, &first, true)
	b.exit(l, index)
}

// do is a call in statement position.
func (b *body) do(call *ast.Call) {
	how := b.c.checked.Calls[call]
	b.at = call.Span
	switch {
	case how.Target != nil && how.Target.Kind == check.Figure:
		at := b.arguments(how.Target, how.Args)
		b.at = call.Span
		b.emit(code.CallFigure, at.n, at.v, 0, b.c.function(how.Target))
		return
	case how.Target != nil && how.Target.Kind == check.Builtin && how.Target.Builtin.Op != types.NoOp:
		b.stylus(call, how)
		return
	}
	value := b.val(call)
	b.at = call.Span
	b.emit(code.DrawCall, value, 0, 0, b.c.site(call.Span))
}
