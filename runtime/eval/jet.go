package eval

import (
	"wend/lang/code"
	"wend/runtime/geom"
	"wend/runtime/geom/interval"
)

// bound gives what interval arithmetic knows of a closed formula over a range
// of its variable.
func (f *formula) bound() geom.Bound {
	nodes := f.fn.Jet.Nodes
	jets := make([]interval.Jet, len(nodes))
	return func(t0, t1 float64) (x, y interval.Jet, ok bool) {
		for i, node := range nodes {
			jets[i] = f.jet(node, jets, t0, t1)
		}
		return jets[f.fn.Jet.X], jets[f.fn.Jet.Y], true
	}
}

func (f *formula) jet(node code.JetNode, jets []interval.Jet, t0, t1 float64) interval.Jet {
	switch node.Op {
	case code.JetConstant:
		return interval.Constant(node.K)
	case code.JetParameter:
		return interval.Variable(interval.Between(t0, t1))
	case code.JetVariable:
		return interval.Constant(f.captured(node.A))
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
	}
	return interval.Undefined()
}

// captured is number register i of the formula's captured variables.
func (f *formula) captured(i int) float64 { return f.numbers[i-1] }
