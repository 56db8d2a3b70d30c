package eval

import (
	"wend/lang/code"
	"wend/lang/diag"
	"wend/lang/types"
	"wend/runtime/geom"
	"wend/runtime/value"
)

// formula is a curve's formula with what it reads, ready to be worked out at
// any value of its variable.
type formula struct {
	m       *machine
	fn      *code.Func
	index   int32
	numbers []float64 // registers of the captured variables, from the second on
	values  []value.Value
	pc      int
}

// run works out what the formula's code from a place on returns, with its
// variable at t. The result stands in the first registers of either bank.
func (f *formula) run(t float64, from int) (numBase, vBase int) {
	m := f.m
	n, v := m.top()
	m.enterAt(f.index, f.pc, n, v, plain)
	m.n[0] = t
	copy(m.n[1:], f.numbers)
	copy(m.v[:], f.values)
	numBase, vBase = m.numBase, m.vBase
	m.pc = from
	m.run(len(m.frames) - 1)
	m.pc = f.pc
	return numBase, vBase
}

// at is the point of the curve at t.
func (f *formula) at(t float64) (geom.Point, error) {
	m := f.m
	numBase, vBase := f.run(t, 0)
	p := geom.Point{X: m.numbers[numBase], Y: m.numbers[numBase+1]}
	if f.fn.Result == code.Val {
		result := m.values[vBase]
		if result.Kind() != types.Point {
			m.fail("curve-point", diag.Args{"found": result.Kind()})
		}
		p = result.Point()
	}
	if !reachable(p) {
		return p, &geom.UndefinedError{T0: t, T1: t}
	}
	return p, nil
}

// curve is the path of a formula over an interval.
func (m *machine) curve(in *code.Instr, from, to float64) value.Value {
	fn := m.program.Funcs[in.D]
	n, v := m.n, m.v
	f := &formula{m: m, fn: fn, index: in.D, pc: m.pc}
	var numbers, values int
	for _, p := range fn.Params[1:] {
		numbers += p.Rep.Numbers()
		values += p.Rep.Values()
	}
	f.numbers = append(f.numbers, n[int(in.B)+3:int(in.B)+3+numbers]...)
	f.values = append(f.values, v[in.C:int(in.C)+values]...)
	points := m.sample(f, from, to)
	m.keep(64 + 16*cap(points))
	return value.OfPath(&value.Path{Points: points})
}
