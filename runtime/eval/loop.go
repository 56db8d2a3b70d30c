package eval

import (
	"math"

	"wend/lang/code"
	"wend/runtime/geom"
	"wend/runtime/value"
)

// run carries out instructions until the frame at depth floor returns.
//
// What makes it fast: everything it looks at for each instruction is in a few
// local variables, and no call is made while they are needed: an instruction
// that needs more stores pc, calls a method that is not inlined, and loads all
// of them anew. So the compiler keeps them in registers. Registers of the
// program are reached through pointers to arrays of 256, so that a byte needs
// no bounds check. The results of arithmetic are tested with r-r != 0, which
// holds for infinities and NaN alone.
func (m *machine) run(floor int) {
reload:
	k := m.program.Numbers
	instructions, pc := m.fn.Code, m.pc
	n, v := m.n, m.v
	for {
		in := &instructions[pc]
		pc++
		switch in.Op {
		case code.ConstN:
			n[in.A] = k[in.D]
		case code.ConstI:
			n[in.A] = float64(in.D)
		case code.ConstT:
			v[in.A] = m.texts[in.D]
		case code.Nothing:
			v[in.A] = value.Nothing
		case code.ForgetV:
			v[in.A] = value.Nothing
		case code.Absent, code.Forget:
			n[in.A] = math.NaN()
		case code.MoveN:
			n[in.A] = n[in.B]
		case code.MoveP:
			n[in.A], n[in.A+1] = n[in.B], n[in.B+1]
		case code.MoveV:
			v[in.A] = v[in.B]
		case code.BoxN:
			v[in.A] = value.Number(n[in.B])
		case code.BoxB:
			v[in.A] = value.Bool(n[in.B] != 0)
		case code.BoxP:
			v[in.A] = value.Point(geom.Point{X: n[in.B], Y: n[in.B+1]})
		case code.UnboxN:
			if !v[in.B].IsNumber() {
				m.pc = pc
				m.wrongKind(in, v[in.B])
				return
			}
			n[in.A] = v[in.B].Number()
		case code.UnboxB, code.UnboxP, code.Fit:
			m.pc = pc
			m.unbox(in, n, v)
			goto reload
		case code.Share:
			v[in.A].Share()
		case code.GlobalN, code.GlobalP, code.GlobalV, code.GlobalSpilled, code.GetSpilled, code.SetSpilled:
			m.pc = pc
			m.variable(in, n, v)
			goto reload

		case code.AddN:
			r := n[in.B] + n[in.C]
			if r-r != 0 {
				m.pc = pc
				m.notFinite(in, n)
				return
			}
			n[in.A] = r
		case code.SubN:
			r := n[in.B] - n[in.C]
			if r-r != 0 {
				m.pc = pc
				m.notFinite(in, n)
				return
			}
			n[in.A] = r
		case code.MulN:
			r := float64(n[in.B] * n[in.C])
			if r-r != 0 {
				m.pc = pc
				m.notFinite(in, n)
				return
			}
			n[in.A] = r
		case code.DivN:
			r := n[in.B] / n[in.C]
			if r-r != 0 {
				m.pc = pc
				m.notFinite(in, n)
				return
			}
			n[in.A] = r
		case code.PowN:
			m.pc = pc
			m.powerOf(in, n)
			goto reload
		case code.NegN:
			n[in.A] = 0 - n[in.B]
		case code.AddK:
			r := n[in.B] + k[in.D]
			if r-r != 0 {
				m.pc = pc
				m.notFinite(in, n)
				return
			}
			n[in.A] = r
		case code.MulK:
			r := float64(n[in.B] * k[in.D])
			if r-r != 0 {
				m.pc = pc
				m.notFinite(in, n)
				return
			}
			n[in.A] = r
		case code.DivK:
			r := n[in.B] / k[in.D]
			if r-r != 0 {
				m.pc = pc
				m.notFinite(in, n)
				return
			}
			n[in.A] = r
		case code.KSub:
			r := k[in.D] - n[in.B]
			if r-r != 0 {
				m.pc = pc
				m.notFinite(in, n)
				return
			}
			n[in.A] = r
		case code.KDiv:
			r := k[in.D] / n[in.B]
			if r-r != 0 {
				m.pc = pc
				m.notFinite(in, n)
				return
			}
			n[in.A] = r
		case code.MulKAdd:
			r := float64(n[in.B]*k[in.D]) + n[in.C]
			if r-r != 0 {
				m.pc = pc
				m.notFinite(in, n)
				return
			}
			n[in.A] = r
		case code.MulKSub:
			r := float64(n[in.B] * (k[in.D] - n[in.C]))
			if r-r != 0 {
				m.pc = pc
				m.notFinite(in, n)
				return
			}
			n[in.A] = r
		case code.MulAdd:
			r := float64(n[in.B]*n[in.C]) + n[uint8(in.D)]
			if r-r != 0 {
				m.pc = pc
				m.notFinite(in, n)
				return
			}
			n[in.A] = r
		case code.MulSub:
			r := float64(n[in.B]*n[in.C]) - n[uint8(in.D)]
			if r-r != 0 {
				m.pc = pc
				m.notFinite(in, n)
				return
			}
			n[in.A] = r
		case code.ArithV, code.NegV, code.Compare2:
			m.pc = pc
			m.generic(in, n, v)
			goto reload

		case code.Jump:
			pc = int(in.D)
		case code.JumpTrue:
			if n[in.A] != 0 {
				pc = int(in.D)
			}
		case code.JumpFalse:
			if n[in.A] == 0 {
				pc = int(in.D)
			}
		case code.JumpLt:
			if n[in.A] < n[in.B] {
				pc = int(in.D)
			}
		case code.JumpLe:
			if n[in.A] <= n[in.B] {
				pc = int(in.D)
			}
		case code.JumpEq:
			if n[in.A] == n[in.B] {
				pc = int(in.D)
			}
		case code.JumpNe:
			if n[in.A] != n[in.B] {
				pc = int(in.D)
			}
		case code.JumpLtK:
			if n[in.A] < k[in.BC()] {
				pc = int(in.D)
			}
		case code.JumpLeK:
			if n[in.A] <= k[in.BC()] {
				pc = int(in.D)
			}
		case code.JumpGtK:
			if n[in.A] > k[in.BC()] {
				pc = int(in.D)
			}
		case code.JumpGeK:
			if n[in.A] >= k[in.BC()] {
				pc = int(in.D)
			}
		case code.JumpEqK:
			if n[in.A] == k[in.BC()] {
				pc = int(in.D)
			}
		case code.JumpNeK:
			if n[in.A] != k[in.BC()] {
				pc = int(in.D)
			}
		case code.GivenN:
			if n[in.A] == n[in.A] {
				pc = int(in.D)
			}
		case code.GivenV:
			if v[in.A] != value.Nothing {
				pc = int(in.D)
			}

		case code.RangePrep, code.RepeatPrep, code.IterPrep:
			m.pc = pc
			m.prepare(in, n, v)
			goto reload
		case code.RangeLoop:
			i := n[in.A+3] + 1
			n[in.A+3] = i
			if i < n[in.A+2] {
				n[in.B] = n[in.A] + float64(i*n[in.A+1])
				if m.fuel--; m.fuel < 0 {
					m.refuel(pc, int(in.D))
					goto reload
				}
				pc = int(in.D)
			} else {
				pc += int(in.C)
			}
		case code.RepeatLoop:
			i := n[in.A+1] + 1
			n[in.A+1] = i
			if i < n[in.A] {
				if m.fuel--; m.fuel < 0 {
					m.refuel(pc, int(in.D))
					goto reload
				}
				pc = int(in.D)
			} else {
				pc += in.BC()
			}
		case code.Pass:
			n[in.A]++
			if m.fuel--; m.fuel < 0 {
				m.refuel(pc, pc)
				goto reload
			}
		case code.IterN, code.IterP, code.IterV, code.IterLook:
			m.pc = pc
			m.next(in, n, v)
			goto reload

		case code.Call, code.CallFigure:
			// What enter does, without a call where nothing is out of the ordinary.
			fn := m.program.Funcs[in.D]
			top := len(m.frames)
			numBase, vBase := m.numBase+int(in.A), m.vBase+int(in.B)
			if m.fuel <= 0 || top >= m.limits.Depth || top >= cap(m.frames) || fn.Spilled > 0 ||
				numBase+window > len(m.numbers) || vBase+window > len(m.values) {
				m.enterCall(in, pc)
				goto reload
			}
			m.fuel--
			m.frames = m.frames[:top+1]
			f := &m.frames[top]
			f.fn, f.pc, f.kind = m.fnIndex, int32(pc), plain
			f.numBase, f.vBase = int32(m.numBase), int32(m.vBase)
			m.numBase, m.vBase = numBase, vBase
			n = (*[window]float64)(m.numbers[numBase : numBase+window])
			v = (*[window]value.Value)(m.values[vBase : vBase+window])
			m.n, m.v, m.fn, m.fnIndex = n, v, fn, in.D
			if in.Op == code.CallFigure {
				f.kind = figure
				m.pc = 0
				m.enterFigure()
				goto reload
			}
			instructions, pc = fn.Code, 0
		case code.CallPath:
			m.enter(in.D, pc, in.A, in.B, path)
			m.enterPath()
			goto reload
		case code.CallApart:
			m.enter(in.D, pc, in.A, in.B, apart)
			m.enterApart()
			goto reload
		case code.ReturnN:
			n[0] = n[in.A]
			top := len(m.frames) - 1
			if top == floor || m.fn.Spilled > 0 {
				m.leave()
				if top == floor {
					return
				}
				goto reload
			}
			// What leave does, without a call.
			f := &m.frames[top]
			fn := m.program.Funcs[f.fn]
			numBase, vBase := int(f.numBase), int(f.vBase)
			n = (*[window]float64)(m.numbers[numBase : numBase+window])
			v = (*[window]value.Value)(m.values[vBase : vBase+window])
			m.numBase, m.vBase = numBase, vBase
			m.n, m.v, m.fn, m.fnIndex = n, v, fn, f.fn
			instructions, pc = fn.Code, int(f.pc)
			m.frames = m.frames[:top]
		case code.ReturnP:
			n[0], n[1] = n[in.A], n[in.A+1]
			m.leave()
			if len(m.frames) == floor {
				return
			}
			goto reload
		case code.ReturnV:
			v[0] = v[in.A]
			m.leave()
			if len(m.frames) == floor {
				return
			}
			goto reload
		case code.Return:
			m.pc = pc
			if len(m.frames) == 1 {
				return // a module's own body: its frame stays
			}
			if m.frames[len(m.frames)-1].kind == figure {
				m.leave()
				m.leaveFigure()
			} else {
				m.leaveWithPath(v)
			}
			if len(m.frames) == floor {
				return
			}
			goto reload
		case code.Native1, code.Native2:
			m.pc = pc
			m.numeric(in, n)
			goto reload
		case code.WordN:
			n[in.A] = m.words[in.D].Number()
		case code.WordV:
			v[in.A] = m.words[in.D]
		case code.CallValue, code.Native, code.Curve:
			m.pc = pc
			m.outside(in)
			goto reload

		case code.Ahead:
			m.pc = pc
			m.goAhead(n[in.A], in.D)
			goto reload
		case code.TurnBy:
			p := m.pen
			p.turned += n[in.A]
			heading := p.heading + n[in.A]
			p.known = false
			if 0 <= heading && heading < 360 {
				p.heading = heading + 0 // no negative zero
				continue
			}
			m.pc = pc
			p.heading = normalized(heading)
			goto reload
		case code.Reach:
			m.pc = pc
			m.goTo(geom.Point{X: n[in.A], Y: n[in.A+1]}, in.D)
			goto reload
		case code.Here:
			n[in.A], n[in.A+1] = m.pen.at.X, m.pen.at.Y
		case code.Heading:
			n[in.A] = m.pen.heading
		case code.Field, code.FieldN, code.TakeField, code.Taken, code.TakenN, code.SetField, code.SetOfItem:
			m.pc = pc
			m.ofRecord(in, n, v)
			goto reload
		case code.IndexN, code.IndexV:
			m.pc = pc
			m.index(in, n, v)
			goto reload

		default:
			m.pc = pc
			m.rare(in, n, v)
			goto reload
		}
	}
}

// leave goes back to the caller.
func (m *machine) leave() {
	top := len(m.frames) - 1
	f := &m.frames[top]
	if m.fn.Spilled > 0 {
		m.spilled = m.spilled[:len(m.spilled)-1]
	}
	m.fn, m.fnIndex = m.program.Funcs[f.fn], f.fn
	m.numBase, m.vBase = int(f.numBase), int(f.vBase)
	m.moveWindows()
	m.pc = int(f.pc)
	m.frames = m.frames[:top]
}

// enterCall is a call in which something is out of the ordinary.
//
//go:noinline
func (m *machine) enterCall(in *code.Instr, pc int) {
	if in.Op == code.CallFigure {
		m.enter(in.D, pc, in.A, in.B, figure)
		m.enterFigure()
		return
	}
	m.enter(in.D, pc, in.A, in.B, plain)
}

// leaveWithPath ends a body whose line becomes a path; v are its registers.
//
//go:noinline
func (m *machine) leaveWithPath(v *[window]value.Value) {
	if m.frames[len(m.frames)-1].kind == apart {
		m.leaveApart()
	} else {
		v[0] = m.leavePath()
	}
	m.leave()
}

// rare carries out the instructions that are seldom in a hurry.
func (m *machine) rare(in *code.Instr, n *[window]float64, v *[window]value.Value) {
	point := func(a uint8) geom.Point { return geom.Point{X: n[a], Y: n[a+1]} }
	switch in.Op {
	case code.Fail:
		m.fail("too-many-at-once", nil)
	case code.Closure:
		captured := append([]value.Value(nil), v[in.B:int(in.B)+int(in.C)]...)
		v[in.A] = value.OfFunction(&function{fn: m.program.Funcs[in.D], index: in.D, captured: captured})
		m.keep(96 + 16*len(captured))
	case code.FuncRef:
		v[in.A] = m.functionValue(in.D)
	case code.BuiltinRef:
		v[in.A] = value.OfFunction(&function{builtin: m.program.Builtins[in.D], native: m.natives[in.D]})
	case code.ListOf:
		v[in.A] = value.List(append(make([]value.Value, 0, int(in.C)+1), v[in.B:int(in.B)+int(in.C)]...))
		m.keep(64 + 16*(int(in.C)+1))
	case code.ListPush:
		v[in.A].Push(v[in.B])
		m.keep(24)
	case code.ListAppend:
		m.listAppend(in, v)
	case code.RangeList:
		v[in.A] = m.rangeList(n[in.B], n[in.B+1], n[in.B+2])
	case code.IndexAny:
		v[in.A] = m.itemAny(v[in.B], v[in.C])
	case code.Part:
		v[in.A] = m.part(v[in.B], n[in.C], n[in.C+1])
	case code.Shorten:
		v[in.A] = m.shorten(v[in.A], n[in.B], n[in.B+1])
	case code.SetIndex:
		v[in.A] = m.setItem(v[in.A], n[in.B:int(in.B)+int(in.C)], v[uint8(in.D)])
	case code.SetAt:
		v[in.A] = m.setAt(v[in.A], v[in.B:int(in.B)+int(in.C)], v[uint8(in.D)])
	case code.ToChange:
		if v[in.B].Shared() {
			v[in.A].Share()
		}
	case code.RecordOf:
		v[in.A] = value.RecordWith(m.layouts[in.D], v[in.B:int(in.B)+int(in.C)])
		m.keep(128 + 16*int(in.C))
	case code.Concat:
		v[in.A] = m.concat(v[in.B : int(in.B)+int(in.C)])
	case code.Face:
		m.faceTo(n[in.A])
	case code.Shift:
		m.goTo(m.pen.at.Add(point(in.A)), in.D)
	case code.Arc:
		m.arc(n[in.A], n[in.A+1], in.D)
	case code.Bezier:
		m.bezier(point(in.A), point(in.A+2), point(in.A+4), in.D)
	case code.Spline:
		m.spline(v[in.A], in.D)
	case code.Draw:
		m.drawable(v[in.A])
		m.drawOn(v[in.A], in.D)
	case code.DrawAt:
		m.drawable(v[in.A])
		m.drawAt(v[in.A], point(in.B), in.D)
	case code.DrawCall:
		m.drawCall(v[in.A], in.D)
	case code.Sneak:
		m.sneakTo(point(in.A), in.D)
	case code.Begin:
		m.begin(point(in.A))
	case code.PrintNote:
		m.say(v[in.A].String(), m.span())
	case code.Pause:
		m.pauseWith(v[in.A])
	case code.Erase:
		m.erase()
	case code.Seed:
		m.setSeed(n[in.A])
	case code.Page:
		v[in.A] = value.Box(m.options.Page)
	case code.Branch:
		m.openBranch()
	case code.ComeBack:
		m.comeBack(in.D)
	case code.Step:
		m.step(in.D)
	}
}
