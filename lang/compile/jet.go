package compile

import (
	"fmt"

	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/code"
	"wend/lang/types"
)

// jet follows a curve's formula as far as interval arithmetic can: operators,
// numbers, points, conditions, variables, functions of the library, and those
// of the program that are made of these. What else there is, and does not depend
// on the curve's variable, is worked out once by code of its own.
type jet struct {
	b       *body // of the formula
	nodes   []code.JetNode
	keys    []string                   // of the nodes
	there   map[string]int             // nodes that are there already, as one step is worked out once
	bound   map[*check.Object]quantity // variables of the functions that are followed
	fixed   map[ast.Expr]int           // where the code is of what does not depend on the variable
	depth   int                        // of calls
	guarded int                        // how many conditions decide whether this is worked out at all
}

// mostSteps bounds a formula that is followed: loops and calls make it longer
// than it was written.
const mostSteps = 4000

// quantity is a number, or what is true or false (one node), or a point (two).
type quantity struct {
	x, y  int
	point bool
}

// jetOf is the formula as steps, or nil if it is more than closed arithmetic.
func (b *body) jetOf(formula ast.Expr) *code.Jet {
	j := &jet{b: b, there: map[string]int{}, bound: map[*check.Object]quantity{}, fixed: map[ast.Expr]int{}}
	end := len(b.f.Code)
	q, ok := j.expr(formula)
	if !ok || !q.point || len(j.nodes) > mostSteps {
		b.f.Code, b.f.Spans = b.f.Code[:end], b.f.Spans[:end]
		return nil
	}
	return &code.Jet{Nodes: j.nodes, X: q.x, Y: q.y}
}

func (j *jet) add(n code.JetNode) int {
	key := fmt.Sprint(n)
	if at, ok := j.there[key]; ok {
		return at
	}
	j.nodes, j.keys = append(j.nodes, n), append(j.keys, key)
	j.there[key] = len(j.nodes) - 1
	return len(j.nodes) - 1
}

// forget takes back the nodes from one on.
func (j *jet) forget(from int) {
	for _, key := range j.keys[from:] {
		delete(j.there, key)
	}
	j.nodes, j.keys = j.nodes[:from], j.keys[:from]
}

func (j *jet) two(op code.JetOp, x, y int) int {
	if a, b := j.nodes[x], j.nodes[y]; a.Op == code.JetConstant && b.Op == code.JetConstant {
		if k, ok := folded(op, a.K, b.K); ok {
			return j.constant(k).x
		}
	}
	return j.add(code.JetNode{Op: op, A: x, B: y})
}

func (j *jet) negated(x int) int {
	if n := j.nodes[x]; n.Op == code.JetConstant {
		return j.constant(-n.K).x
	}
	return j.add(code.JetNode{Op: code.JetNeg, A: x})
}

func (j *jet) not(x int) int {
	if n := j.nodes[x]; n.Op == code.JetConstant {
		return j.constant(1 - n.K).x
	}
	return j.add(code.JetNode{Op: code.JetNot, A: x})
}

func (j *jet) expr(e ast.Expr) (quantity, bool) {
	from := len(j.nodes)
	q, ok := j.follow(e)
	if !ok {
		j.forget(from)
		q, ok = j.constantly(e)
	}
	return q, ok
}

// follow turns an expression into steps.
func (j *jet) follow(e ast.Expr) (quantity, bool) {
	none := quantity{}
	if len(j.nodes) > mostSteps {
		return none, false
	}
	switch e := unwrap(e).(type) {
	case *ast.NumberLit:
		return j.constant(numberOf(e)), true
	case *ast.BoolLit:
		if e.Value {
			return j.constant(1), true
		}
		return j.constant(0), true
	case *ast.Compare:
		return j.compare(e)
	case *ast.NameExpr:
		return j.object(j.b.c.checked.Refs[e])
	case *ast.PointLit:
		x, okX := j.expr(e.X)
		y, okY := j.expr(e.Y)
		return quantity{x: x.x, y: y.x, point: true}, okX && okY && !x.point && !y.point
	case *ast.Field:
		if o := j.b.c.checked.Refs[e]; o != nil {
			return j.object(o)
		}
		if r, ok := unwrap(e.X).(*ast.RecordLit); ok {
			for _, f := range r.Fields {
				if f.Name.Name == e.Name.Name {
					return j.expr(f.Value)
				}
			}
		}
		p, ok := j.expr(e.X)
		switch {
		case !ok || !p.point:
			return none, false
		case e.Name.Name == "x":
			return quantity{x: p.x}, true
		case e.Name.Name == "y":
			return quantity{x: p.y}, true
		}
	case *ast.Unary:
		x, ok := j.expr(e.X)
		if !ok {
			return none, false
		}
		if e.Op == ast.Not {
			return quantity{x: j.not(x.x)}, true
		}
		x.x = j.negated(x.x)
		if x.point {
			x.y = j.negated(x.y)
		}
		return x, true
	case *ast.Binary:
		return j.binary(e)
	case *ast.Choice:
		return j.choice(e)
	case *ast.Call:
		return j.call(e)
	}
	return none, false
}

func (j *jet) object(o *check.Object) (quantity, bool) {
	if o == nil {
		return quantity{}, false
	}
	if q, ok := j.bound[o]; ok {
		return q, true
	}
	if o.Kind == check.Builtin {
		b := o.Builtin
		if !b.Value || b.Op != types.NoOp || b.Forms[0].Result != types.Number {
			return quantity{}, false
		}
		return quantity{x: j.add(code.JetNode{Op: code.JetWord, A: int(j.b.c.builtin(b))})}, true
	}
	if v, ok := j.b.vars[o]; ok {
		register := int(v.register)
		switch {
		case v.spilled:
		case o.Kind == check.CurveVar && v.rep == code.Num && register == 0 && !v.captured:
			return quantity{x: j.add(code.JetNode{Op: code.JetParameter})}, true
		case v.rep == code.Num || v.rep == code.Bool:
			return quantity{x: j.variable(code.JetVariable, register)}, true
		case v.rep == code.Point:
			return quantity{x: j.variable(code.JetVariable, register), y: j.variable(code.JetVariable, register+1), point: true}, true
		case v.rep == code.Val && o.Kinds.Has(types.Number):
			return quantity{x: j.variable(code.JetHeld, register)}, true
		}
		return quantity{}, false
	}
	g, ok := j.b.c.globals[o]
	if !ok || g.spilled {
		return quantity{}, false
	}
	at := func(slot int) int {
		return j.add(code.JetNode{Op: code.JetGlobal, A: g.module, B: slot})
	}
	switch g.rep {
	case code.Num, code.Bool:
		return quantity{x: at(int(g.register))}, true
	case code.Point:
		return quantity{x: at(int(g.register)), y: at(int(g.register) + 1), point: true}, true
	}
	return quantity{}, false
}

func (j *jet) variable(op code.JetOp, register int) int {
	return j.add(code.JetNode{Op: op, A: register})
}

func (j *jet) binary(e *ast.Binary) (quantity, bool) {
	x, okX := j.expr(e.X)
	if e.Op == ast.And || e.Op == ast.Or {
		j.guarded++
		defer func() { j.guarded-- }()
	}
	y, okY := j.expr(e.Y)
	if !okX || !okY {
		return quantity{}, false
	}
	return j.operation(e.Op, x, y)
}

func (j *jet) operation(by ast.BinaryOp, x, y quantity) (quantity, bool) {
	op, ok := map[ast.BinaryOp]code.JetOp{
		ast.Add: code.JetAdd, ast.Sub: code.JetSub, ast.Mul: code.JetMul, ast.Div: code.JetDiv, ast.Pow: code.JetPow,
		ast.And: code.JetAnd, ast.Or: code.JetOr,
	}[by]
	if !ok {
		return quantity{}, false
	}
	sum := op == code.JetAdd || op == code.JetSub
	switch {
	case !x.point && !y.point:
		return quantity{x: j.two(op, x.x, y.x)}, true
	case x.point && y.point && sum:
		return quantity{x: j.two(op, x.x, y.x), y: j.two(op, x.y, y.y), point: true}, true
	case x.point && !y.point && (op == code.JetMul || op == code.JetDiv):
		return quantity{x: j.two(op, x.x, y.x), y: j.two(op, x.y, y.x), point: true}, true
	case !x.point && y.point && op == code.JetMul:
		return quantity{x: j.two(op, x.x, y.x), y: j.two(op, x.x, y.y), point: true}, true
	}
	return quantity{}, false
}

// library follows a call of a word of the library. Whether its bounds are known
// shows when the formula is worked out.
func (j *jet) library(how *check.Call) (quantity, bool) {
	var args []int
	for _, arg := range how.Args {
		if arg == nil {
			args = append(args, -1)
			continue
		}
		x, ok := j.expr(arg)
		if !ok {
			return quantity{}, false
		}
		args = append(args, x.x)
		if x.point {
			args = append(args, x.y)
		}
	}
	word := int(j.b.c.builtin(how.Target.Builtin))
	result := how.Form.Result
	if how.Form.SameKind {
		return quantity{}, false
	}
	x := j.add(code.JetNode{Op: code.JetCall, A: word, Args: args})
	switch {
	case result == types.Number:
		return quantity{x: x}, true
	case result == types.Point:
		return quantity{x: x, y: j.add(code.JetNode{Op: code.JetCallY, A: word, Args: args}), point: true}, true
	}
	return quantity{}, false
}
