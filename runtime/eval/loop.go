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
// local variables; everything else is in the machine, behind methods that are
// not inlined. Registers are reached through pointers to arrays of 256, so that
// a byte needs no bounds check. The results of arithmetic are tested with
// r-r != 0, which holds for infinities and NaN alone. After anything that may
// run program code again (host calls), the pointers are fetched anew, since the
// banks may have been moved to grow.
func (m *machine) run(floor int) {
	instructions, pc := m.fn.Code, m.pc
	n, v := m.numberWindow(), m.valueWindow()
	k := m.program.Numbers
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
			}
			n[in.A] = v[in.B].Number()
		case code.UnboxB, code.UnboxP, code.Check:
			m.pc = pc
			m.unbox(in, n, v)
		case code.Share:
			v[in.A].Share()
		case code.GlobalN, code.GlobalP, code.GlobalV, code.GlobalF, code.FarGet, code.FarSet:
			m.pc = pc
			m.variable(in, n, v)

		case code.AddN:
			r := n[in.B] + n[in.C]
			if r-r != 0 {
				m.pc = pc
				m.notFinite(in, n)
			}
			n[in.A] = r
		case code.SubN:
			r := n[in.B] - n[in.C]
			if r-r != 0 {
				m.pc = pc
				m.notFinite(in, n)
			}
			n[in.A] = r
		case code.MulN:
			r := float64(n[in.B] * n[in.C])
			if r-r != 0 {
				m.pc = pc
				m.notFinite(in, n)
			}
			n[in.A] = r
		case code.DivN:
			r := n[in.B] / n[in.C]
			if r-r != 0 {
				m.pc = pc
				m.notFinite(in, n)
			}
			n[in.A] = r
		case code.PowN:
			m.pc = pc
			n[in.A] = m.power(n[in.B], n[in.C])
		case code.NegN:
			n[in.A] = 0 - n[in.B]
		case code.AddK:
			r := n[in.B] + k[in.D]
			if r-r != 0 {
				m.pc = pc
				m.notFinite(in, n)
			}
			n[in.A] = r
		case code.MulK:
			r := float64(n[in.B] * k[in.D])
			if r-r != 0 {
				m.pc = pc
				m.notFinite(in, n)
			}
			n[in.A] = r
		case code.DivK:
			r := n[in.B] / k[in.D]
			if r-r != 0 {
				m.pc = pc
				m.notFinite(in, n)
			}
			n[in.A] = r
		case code.KSub:
			r := k[in.D] - n[in.B]
			if r-r != 0 {
				m.pc = pc
				m.notFinite(in, n)
			}
			n[in.A] = r
		case code.KDiv:
			r := k[in.D] / n[in.B]
			if r-r != 0 {
				m.pc = pc
				m.notFinite(in, n)
			}
			n[in.A] = r
		case code.MulKAdd:
			r := float64(n[in.B]*k[in.D]) + n[in.C]
			if r-r != 0 {
				m.pc = pc
				m.notFinite(in, n)
			}
			n[in.A] = r
		case code.MulAdd:
			r := float64(n[in.B]*n[in.C]) + n[uint8(in.D)]
			if r-r != 0 {
				m.pc = pc
				m.notFinite(in, n)
			}
			n[in.A] = r
		case code.MulSub:
			r := float64(n[in.B]*n[in.C]) - n[uint8(in.D)]
			if r-r != 0 {
				m.pc = pc
				m.notFinite(in, n)
			}
			n[in.A] = r
		case code.NotB:
			n[in.A] = 1 - n[in.B]
		case code.ArithV, code.NegV, code.Compare2:
			m.pc = pc
			m.generic(in, n, v)

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
			pc = int(in.D)
		case code.RangeLoop:
			i := n[in.A+3] + 1
			n[in.A+3] = i
			if i < n[in.A+2] {
				n[in.B] = n[in.A] + float64(i*n[in.A+1])
				if m.fuel--; m.fuel < 0 {
					m.refuel(pc)
				}
				pc = int(in.D)
			}
		case code.RepeatLoop:
			i := n[in.A+1] + 1
			n[in.A+1] = i
			if i < n[in.A] {
				if m.fuel--; m.fuel < 0 {
					m.refuel(pc)
				}
				pc = int(in.D)
			}
		case code.Pass:
			n[in.A]++
			if m.fuel--; m.fuel < 0 {
				m.refuel(pc)
			}
		case code.IterN, code.IterP, code.IterV:
			i := n[in.B] + 1
			n[in.B] = i
			m.pc = pc
			if m.next(in, int(i), n, v) {
				if m.fuel--; m.fuel < 0 {
					m.refuel(pc)
				}
				pc = int(in.D)
			}

		case code.Call:
			if m.fuel--; m.fuel < 0 {
				m.refuel(pc)
			}
			m.enter(in.D, pc, in.A, in.B, plain)
			instructions, pc = m.fn.Code, 0
			n, v = m.numberWindow(), m.valueWindow()
		case code.CallFigure:
			if m.fuel--; m.fuel < 0 {
				m.refuel(pc)
			}
			m.enter(in.D, pc, in.A, in.B, figure)
			m.enterFigure()
			instructions, pc = m.fn.Code, 0
			n, v = m.numberWindow(), m.valueWindow()
		case code.CallPath:
			if m.fuel--; m.fuel < 0 {
				m.refuel(pc)
			}
			m.enter(in.D, pc, in.A, in.B, path)
			m.enterPath()
			instructions, pc = m.fn.Code, 0
			n, v = m.numberWindow(), m.valueWindow()
		case code.ReturnN:
			n[0] = n[in.A]
			pc = m.leave()
			if len(m.frames) == floor {
				return
			}
			instructions = m.fn.Code
			n, v = m.numberWindow(), m.valueWindow()
		case code.ReturnP:
			n[0], n[1] = n[in.A], n[in.A+1]
			pc = m.leave()
			if len(m.frames) == floor {
				return
			}
			instructions = m.fn.Code
			n, v = m.numberWindow(), m.valueWindow()
		case code.ReturnV:
			v[0] = v[in.A]
			pc = m.leave()
			if len(m.frames) == floor {
				return
			}
			instructions = m.fn.Code
			n, v = m.numberWindow(), m.valueWindow()
		case code.Return:
			m.pc = pc
			if len(m.frames) == 1 {
				return // a module's own body: its frame stays
			}
			switch m.frames[len(m.frames)-1].kind {
			case figure:
				pc = m.leave()
				m.pc = pc
				m.leaveFigure()
			case path:
				v[0] = m.leavePath()
				pc = m.leave()
			}
			if len(m.frames) == floor {
				return
			}
			instructions = m.fn.Code
			n, v = m.numberWindow(), m.valueWindow()
		case code.Native1:
			x := n[in.B]
			if f := m.natives[in.D].Num1; f != nil {
				if r := f(x); r-r == 0 {
					n[in.A] = r
					continue
				}
			}
			m.pc = pc
			r := m.unboxedNative(in, x, 0)
			n, v = m.numberWindow(), m.valueWindow()
			n[in.A] = r
		case code.Native2:
			x, y := n[in.B], n[in.C]
			if f := m.natives[in.D].Num2; f != nil {
				if r := f(x, y); r-r == 0 {
					n[in.A] = r
					continue
				}
			}
			m.pc = pc
			r := m.unboxedNative(in, x, y)
			n, v = m.numberWindow(), m.valueWindow()
			n[in.A] = r
		case code.WordN:
			n[in.A] = m.words[in.D].Number()
		case code.WordV:
			v[in.A] = m.words[in.D]
		case code.CallValue, code.Native, code.Curve:
			m.pc = pc
			m.outside(in)
			n, v = m.numberWindow(), m.valueWindow()

		case code.Ahead:
			m.pc = pc
			m.goAhead(n[in.A], in.D)
		case code.TurnBy:
			m.turnBy(n[in.A])
		case code.Reach:
			m.pc = pc
			m.goTo(geom.Point{X: n[in.A], Y: n[in.A+1]}, in.D)
		case code.Here:
			n[in.A], n[in.A+1] = m.pen.at.X, m.pen.at.Y
		case code.Heading:
			n[in.A] = m.pen.heading
		case code.IndexN:
			m.pc = pc
			n[in.A] = m.item(v[in.B], n[in.C]).Number()
		case code.IndexV:
			m.pc = pc
			v[in.A] = m.item(v[in.B], n[in.C])

		default:
			m.pc = pc
			m.rare(in, n, v)
		}
	}
}

// leave goes back to the caller and gives the instruction to go on with.
func (m *machine) leave() int {
	top := len(m.frames) - 1
	f := &m.frames[top]
	if m.fn.Far > 0 {
		m.fars = m.fars[:len(m.fars)-1]
	}
	m.fn, m.fnIndex = m.program.Funcs[f.fn], f.fn
	m.numBase, m.vBase = int(f.numBase), int(f.vBase)
	m.frames = m.frames[:top]
	return int(f.pc)
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
	case code.SetIndex:
		v[in.A] = m.setItem(v[in.A], n[in.B:int(in.B)+int(in.C)], v[uint8(in.D)])
	case code.Field:
		v[in.A] = m.field(v[in.B], m.program.Texts[in.D])
	case code.FieldN:
		n[in.A] = m.field(v[in.B], m.program.Texts[in.D]).Number()
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
	case code.Say:
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
	}
}
