package eval

import (
	"cmp"
	"strconv"
	"strings"

	"wend/lang/code"
	"wend/lang/diag"
	"wend/lang/types"
	"wend/runtime/elementary"
	"wend/runtime/geom"
	"wend/runtime/value"
)

// notFinite ends the run: an operation has no finite result.
//
//go:noinline
func (m *machine) notFinite(in *code.Instr, n *[window]float64) {
	k := func() float64 { return m.program.Numbers[in.D] }
	x, y := n[in.B], n[in.C]
	switch in.Op {
	case code.AddN:
		m.noNumber(x, "+", y)
	case code.SubN:
		m.noNumber(x, "-", y)
	case code.MulN:
		m.noNumber(x, "*", y)
	case code.DivN:
		m.noNumber(x, "/", y)
	case code.AddK:
		m.noNumber(x, "+", k())
	case code.MulK:
		m.noNumber(x, "*", k())
	case code.DivK:
		m.noNumber(x, "/", k())
	case code.KSub:
		m.noNumber(k(), "-", x)
	case code.KDiv:
		m.noNumber(k(), "/", x)
	case code.MulKAdd:
		m.noSum(x, k(), "+", y)
	case code.MulKSub:
		difference := k() - y
		if !finite(difference) {
			m.noNumber(k(), "-", y)
		}
		m.noNumber(x, "*", difference)
	case code.MulAdd:
		m.noSum(x, y, "+", n[uint8(in.D)])
	case code.MulSub:
		m.noSum(x, y, "-", n[uint8(in.D)])
	}
}

// noSum tells a product that is too large from a sum that is.
func (m *machine) noSum(x, y float64, op string, z float64) {
	product := float64(x * y)
	if product-product != 0 {
		m.noNumber(x, "*", y)
	}
	m.noNumber(product, op, z)
}

func (m *machine) noNumber(x float64, op string, y float64) {
	if op == "/" && y == 0 {
		m.fail("divide-by-zero", diag.Args{"value": shown(x)})
	}
	m.fail("result-beyond-numbers", diag.Args{"left": shown(x), "op": op, "right": shown(y)})
}

func finite(x float64) bool { return x-x == 0 }

//go:noinline
func (m *machine) powerOf(in *code.Instr, n *[window]float64) {
	n[in.A] = m.power(n[in.B], n[in.C])
}

func (m *machine) power(x, y float64) float64 {
	r, ok := elementary.Pow(x, y)
	if ok && finite(r) {
		return r
	}
	switch {
	case x == 0 && y < 0:
		d := diag.New("no-power", m.span(), diag.Args{"base": "0", "exponent": shown(y)})
		m.halt(d.WithHint("a negative power is 1 divided by the positive one, and nothing can be divided by 0"))
	case x < 0:
		m.fail("no-power", diag.Args{"base": shown(x), "exponent": shown(y)})
	}
	m.noNumber(x, "^", y)
	return 0
}

// number is plain arithmetic with the result tested.
func (m *machine) number(x float64, op code.Arith, y float64) float64 {
	var r float64
	switch op {
	case code.Plus:
		r = x + y
	case code.Minus:
		r = x - y
	case code.Times:
		r = x * y
	case code.Over:
		r = x / y
	case code.Power:
		return m.power(x, y)
	}
	if !finite(r) {
		m.noNumber(x, op.String(), y)
	}
	return r
}

// generic carries out operators whose values have kinds that are known only now.
//
//go:noinline
func (m *machine) generic(in *code.Instr, n *[window]float64, v *[window]value.Value) {
	switch in.Op {
	case code.Compare2:
		n[in.A] = value.Bool(m.compare(v[in.B], code.Compare(in.D), v[in.C])).Number()
	case code.ArithV:
		v[in.A] = m.arith(v[in.B], code.Arith(in.D), v[in.C])
	case code.NegV:
		switch x := v[in.B]; x.Kind() {
		case types.Number:
			v[in.A] = value.Number(0 - x.Number())
		case types.Point:
			p := x.Point()
			v[in.A] = value.Point(geom.Point{X: 0 - p.X, Y: 0 - p.Y})
		default:
			m.fail("negate-kind", diag.Args{"found": x.Kind()})
		}
	}
}

func (m *machine) arith(x value.Value, op code.Arith, y value.Value) value.Value {
	xk, yk := x.Kind(), y.Kind()
	switch {
	case xk == types.Number && yk == types.Number:
		return value.Number(m.number(x.Number(), op, y.Number()))
	case xk == types.Point && yk == types.Point && (op == code.Plus || op == code.Minus):
		p, q := x.Point(), y.Point()
		return value.Point(geom.Point{X: m.number(p.X, op, q.X), Y: m.number(p.Y, op, q.Y)})
	case xk == types.Point && yk == types.Number && (op == code.Times || op == code.Over):
		p, k := x.Point(), y.Number()
		return value.Point(geom.Point{X: m.number(p.X, op, k), Y: m.number(p.Y, op, k)})
	case xk == types.Number && yk == types.Point && op == code.Times:
		return m.arith(y, op, x)
	case op == code.Plus && (xk | yk).Has(types.Text|types.List):
		return m.plus(x, y)
	}
	m.fail("operator-kinds", diag.Args{"op": op, "x": xk, "y": yk})
	return value.Nothing
}

// plus joins texts, and lists.
func (m *machine) plus(x, y value.Value) value.Value {
	xk, yk := x.Kind(), y.Kind()
	switch {
	case xk == types.Text && yk == types.Text:
		return m.concat([]value.Value{x, y})
	case xk == types.List && yk == types.List:
		joined, copied := x.Append(y.List(), false)
		m.keep(64 + 16*copied)
		m.charge(copied / 8)
		return joined
	case xk == types.Text:
		m.fail("text-plus", diag.Args{"found": yk})
	case yk == types.Text:
		m.fail("text-plus", diag.Args{"found": xk})
	case xk == types.List:
		m.fail("list-plus", diag.Args{"found": yk})
	default:
		m.fail("list-plus", diag.Args{"found": xk})
	}
	return value.Nothing
}

func (m *machine) compare(x value.Value, op code.Compare, y value.Value) bool {
	xk, yk := x.Kind(), y.Kind()
	if xk != yk {
		m.fail("compare-kinds", diag.Args{"op": op, "x": xk, "y": yk})
	}
	if op == code.Equal || op == code.NotEqual {
		return value.Equal(x, y) == (op == code.Equal)
	}
	var order int
	switch xk {
	case types.Number:
		order = cmp.Compare(x.Number(), y.Number())
	case types.Text:
		order = strings.Compare(x.Text(), y.Text())
	default:
		m.fail("compare-order", diag.Args{"op": op, "x": xk, "y": yk})
	}
	switch op {
	case code.Less:
		return order < 0
	case code.LessEqual:
		return order <= 0
	case code.Greater:
		return order > 0
	}
	return order >= 0
}

// nearly is a number to six digits, for a place that was searched for.
func nearly(x float64) string {
	short, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 6, 64), 64)
	if err != nil {
		return shown(x)
	}
	return shown(short)
}

func shown(x float64) string { return value.MessageNumber(x) }
