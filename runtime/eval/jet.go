package eval

import (
	"wend/lang/code"
	"wend/runtime/geom"
	"wend/runtime/geom/interval"
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
		default:
			depends[i] = node.Op == code.JetParameter
			for _, arg := range operands(node) {
				depends[i] = depends[i] || depends[arg]
			}
			if depends[i] {
				moving = append(moving, i)
			} else {
				jets[i], _ = jetStep(node, jets)
			}
			if !followed(node) {
				return nil
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
				jets[i], _ = jetStep(nodes[i], jets)
			}
		}
		return jets[f.fn.Jet.X], jets[f.fn.Jet.Y], true
	}
}

func operands(node code.JetNode) []int {
	switch node.Op {
	case code.JetCall, code.JetCallY:
		return node.Args
	case code.JetNeg:
		return []int{node.A}
	case code.JetAdd, code.JetSub, code.JetMul, code.JetDiv, code.JetPow:
		return []int{node.A, node.B}
	}
	return nil
}

func jetStep(node code.JetNode, jets []interval.Jet) (interval.Jet, bool) {
	switch node.Op {
	case code.JetAdd:
		return jets[node.A].Add(jets[node.B]), true
	case code.JetSub:
		return jets[node.A].Sub(jets[node.B]), true
	case code.JetMul:
		if node.A == node.B {
			return jets[node.A].Square(), true
		}
		return jets[node.A].Mul(jets[node.B]), true
	case code.JetDiv:
		return jets[node.A].Div(jets[node.B]), true
	case code.JetPow:
		return jets[node.A].Pow(jets[node.B]), true
	case code.JetNeg:
		return jets[node.A].Neg(), true
	}
	args := make([]interval.Jet, len(node.Args))
	for i, at := range node.Args {
		args[i] = jets[at]
	}
	return jetCall(node, args)
}

// followed tells whether a step can be followed.
func followed(node code.JetNode) bool {
	if node.Op != code.JetCall && node.Op != code.JetCallY {
		return true
	}
	_, ok := jetCall(node, make([]interval.Jet, len(node.Args)))
	return ok
}

// jetCall follows a library function, if its bounds are known here.
func jetCall(node code.JetNode, args []interval.Jet) (interval.Jet, bool) {
	x := args[0]
	switch len(args) {
	case 1:
		switch node.Name {
		case "abs":
			return x.Abs(), true
		case "round":
			return x.Round(), true
		case "floor":
			return x.Floor(), true
		case "ceil":
			return x.Ceil(), true
		case "sign":
			return x.Sign(), true
		case "sqrt":
			return x.Sqrt(), true
		case "sin":
			return x.SinDegrees(), true
		case "cos":
			return x.CosDegrees(), true
		case "tan":
			return x.TanDegrees(), true
		case "asin":
			return x.AsinDegrees(), true
		case "acos":
			return x.AcosDegrees(), true
		case "exp":
			return x.Exp(), true
		case "log":
			return x.Log(), true
		case "min", "max":
			return x, true
		}
	case 2:
		switch node.Name {
		case "atan2":
			return interval.Atan2Degrees(x, args[1]), true
		case "mod":
			return x.Mod(args[1]), true
		case "polar":
			px, py := interval.Polar(x, args[1])
			if node.Op == code.JetCallY {
				return py, true
			}
			return px, true
		}
	case 3:
		if node.Name == "clamp" {
			return x.Clamp(args[1], args[2]), true
		}
	}
	if node.Name == "min" || node.Name == "max" {
		for _, y := range args[1:] {
			if node.Name == "min" {
				x = x.Min(y)
			} else {
				x = x.Max(y)
			}
		}
		return x, true
	}
	return interval.Undefined(), false
}
