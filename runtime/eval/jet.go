package eval

import (
	"math"

	"wend/lang/code"
	"wend/lang/types"
	"wend/runtime/geom"
	"wend/runtime/geom/interval"
	"wend/runtime/value"
)

// bound gives what interval arithmetic knows of a closed formula over a range
// of its variable. What the formula reads does not change while it is sampled.
// It is nil if that cannot be followed: a variable that holds no number, or a
// function whose bounds are not known here.
func (f *formula) bound() geom.Bound {
	nodes := f.fn.Jet.Nodes
	jets := make([]interval.Jet, len(nodes))
	var moving []int // the steps that depend on the curve's variable
	depends := make([]bool, len(nodes))
	fixed := map[int]value.Value{}
	for i, node := range nodes {
		switch node.Op {
		case code.JetConstant:
			jets[i] = interval.Constant(node.K)
		case code.JetVariable:
			jets[i] = interval.Constant(f.numbers[node.A-1])
		case code.JetHeld:
			if !f.values[node.A].IsNumber() {
				return nil
			}
			jets[i] = interval.Constant(f.values[node.A].Number())
		case code.JetGlobal:
			jets[i] = interval.Constant(f.m.numbers[f.m.modules[node.A].numBase+node.B])
		case code.JetWord:
			jets[i] = interval.Constant(f.m.words[node.A].Number())
		case code.JetFixed:
			held, there := fixed[node.A]
			if !there {
				_, vBase := f.run(0, node.A)
				held = f.m.values[vBase]
				fixed[node.A] = held
			}
			var ok bool
			if jets[i], ok = part(held, node.B); !ok {
				return nil
			}
		default:
			depends[i] = node.Op == code.JetParameter
			for _, arg := range operands(node) {
				depends[i] = depends[i] || arg >= 0 && depends[arg]
			}
			if (node.Op == code.JetCall || node.Op == code.JetCallY) && f.m.natives[node.A].Bounds == nil {
				return nil
			}
			if depends[i] {
				moving = append(moving, i)
			} else {
				jets[i] = f.still(node, jets)
			}
		}
	}
	return func(t0, t1 float64) (x, y interval.Jet, ok bool) {
		f.m.charge(1 + len(moving)/8)
		t := interval.Variable(interval.Between(t0, t1))
		for _, i := range moving {
			if nodes[i].Op == code.JetParameter {
				jets[i] = t
			} else {
				jets[i] = f.step(nodes[i], jets)
			}
		}
		return jets[f.fn.Jet.X], jets[f.fn.Jet.Y], true
	}
}

// part is what a JetFixed takes of a value, if that is of the kind for it.
func part(held value.Value, which int) (interval.Jet, bool) {
	switch kind := held.Kind(); {
	case which == 0 && (kind == types.Number || kind == types.Bool):
		return interval.Constant(held.Number()), true
	case which == 1 && kind == types.Point:
		return interval.Constant(held.Point().X), true
	case which == 2 && kind == types.Point:
		return interval.Constant(held.Point().Y), true
	}
	return interval.Jet{}, false
}

// still works out a step that does not depend on the curve's variable: to the
// number that the program itself would get, where that is easy, so that a
// condition on it is decided.
func (f *formula) still(node code.JetNode, jets []interval.Jet) interval.Jet {
	exact, x, y := math.NaN(), 0.0, 0.0
	if args := operands(node); 1 <= len(args) && len(args) <= 2 && args[0] >= 0 && args[len(args)-1] >= 0 {
		first, last := jets[args[0]], jets[args[len(args)-1]]
		if !first.IsConstant() || !last.IsConstant() {
			return f.step(node, jets)
		}
		x, y = first.V.Lo, last.V.Lo
	}
	switch node.Op {
	case code.JetAdd:
		exact = x + y
	case code.JetSub:
		exact = x - y
	case code.JetMul:
		exact = float64(x * y)
	case code.JetDiv:
		exact = x / y
	case code.JetCall:
		switch native := f.m.natives[node.A]; {
		case len(node.Args) == 1 && native.Num1 != nil:
			exact = native.Num1(x)
		case len(node.Args) == 2 && native.Num2 != nil:
			exact = native.Num2(x, y)
		}
	}
	if finite(exact) {
		return interval.Constant(exact)
	}
	return f.step(node, jets)
}

func operands(node code.JetNode) []int {
	switch node.Op {
	case code.JetCall, code.JetCallY, code.JetChoose:
		return node.Args
	case code.JetNeg, code.JetNot:
		return []int{node.A}
	case code.JetConstant, code.JetParameter, code.JetVariable, code.JetHeld, code.JetGlobal, code.JetWord, code.JetFixed:
		return nil
	}
	return []int{node.A, node.B}
}

// step works out one step from those before it.
func (f *formula) step(node code.JetNode, jets []interval.Jet) interval.Jet {
	switch node.Op {
	case code.JetAdd:
		return jets[node.A].Add(jets[node.B])
	case code.JetSub:
		return jets[node.A].Sub(jets[node.B])
	case code.JetMul:
		if node.A == node.B {
			return jets[node.A].Square()
		}
		return jets[node.A].Mul(jets[node.B])
	case code.JetDiv:
		return jets[node.A].Div(jets[node.B])
	case code.JetPow:
		return jets[node.A].Pow(jets[node.B])
	case code.JetNeg:
		return jets[node.A].Neg()
	case code.JetLess:
		return jets[node.A].Less(jets[node.B])
	case code.JetLessEqual:
		return jets[node.B].Less(jets[node.A]).Not()
	case code.JetEqual:
		return jets[node.A].Equal(jets[node.B])
	case code.JetNot:
		return jets[node.A].Not()
	case code.JetAnd:
		return jets[node.A].Not().Choose(interval.Constant(0), jets[node.B])
	case code.JetOr:
		return jets[node.A].Choose(interval.Constant(1), jets[node.B])
	case code.JetChoose:
		return jets[node.Args[0]].Choose(jets[node.Args[1]], jets[node.Args[2]])
	}
	var few [6]*interval.Jet
	args := few[:0]
	for _, at := range node.Args {
		if at < 0 {
			args = append(args, nil)
		} else {
			args = append(args, &jets[at])
		}
	}
	x, y := f.m.natives[node.A].Bounds(f.m.seed, args)
	if node.Op == code.JetCallY {
		return y
	}
	return x
}
