package compile

import (
	"maps"
	"math"

	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/code"
	"wend/lang/types"
)

// deepest is how far calls within calls are followed.
const deepest = 24

func (j *jet) constant(k float64) quantity {
	return quantity{x: j.add(code.JetNode{Op: code.JetConstant, K: k})}
}

// compare follows `a < b <= c`: each of its comparisons, and all of them.
func (j *jet) compare(e *ast.Compare) (quantity, bool) {
	all := -1
	for i, op := range e.Ops {
		x, okX := j.expr(e.Operands[i])
		if i > 0 {
			j.guarded++
		}
		y, okY := j.expr(e.Operands[i+1])
		if i > 0 {
			j.guarded--
		}
		if !okX || !okY || x.point || y.point {
			return quantity{}, false
		}
		var one int
		switch op {
		case ast.Less:
			one = j.two(code.JetLess, x.x, y.x)
		case ast.Greater:
			one = j.two(code.JetLess, y.x, x.x)
		case ast.LessEqual:
			one = j.two(code.JetLessEqual, x.x, y.x)
		case ast.GreaterEqual:
			one = j.two(code.JetLessEqual, y.x, x.x)
		case ast.Equal:
			one = j.two(code.JetEqual, x.x, y.x)
		case ast.NotEqual:
			one = j.not(j.two(code.JetEqual, x.x, y.x))
		}
		if all < 0 {
			all = one
		} else {
			all = j.two(code.JetAnd, all, one)
		}
	}
	return quantity{x: all}, true
}

// choose is one of two quantities, as a condition says.
func (j *jet) choose(condition int, a, b quantity) (quantity, bool) {
	if a.point != b.point {
		return quantity{}, false
	}
	if a == b {
		return a, true
	}
	q := quantity{x: j.add(code.JetNode{Op: code.JetChoose, Args: []int{condition, a.x, b.x}}), point: a.point}
	if a.point {
		q.y = j.add(code.JetNode{Op: code.JetChoose, Args: []int{condition, a.y, b.y}})
	}
	return q, true
}

// choice follows one of two values; both, unless it is known which.
func (j *jet) choice(e *ast.Choice) (quantity, bool) {
	condition, ok := j.expr(e.Cond)
	if !ok {
		return quantity{}, false
	}
	if k := j.nodes[condition.x]; k.Op == code.JetConstant {
		if k.K != 0 {
			return j.expr(e.Then)
		}
		return j.expr(e.Else)
	}
	j.guarded++
	defer func() { j.guarded-- }()
	yes, okYes := j.expr(e.Then)
	no, okNo := j.expr(e.Else)
	if !okYes || !okNo {
		return quantity{}, false
	}
	return j.choose(condition.x, yes, no)
}

// constantly is an expression that does not depend on the curve's variable and
// is worked out whenever the formula is. It gets code of its own, behind that of
// the formula.
func (j *jet) constantly(e ast.Expr) (quantity, bool) {
	e = unwrap(e)
	kinds := j.b.c.kinds(e)
	if j.guarded > 0 || !kinds.Has(types.Number|types.Bool|types.Point) || !j.still(e) {
		return quantity{}, false
	}
	entry, there := j.fixed[e]
	if !there {
		b := j.b
		entry = len(b.f.Code)
		outer, m := b.at, b.mark()
		b.at = e.Place()
		r := b.toV(e)
		b.emit(code.ReturnV, r, 0, 0, 0)
		b.release(m)
		b.at = outer
		j.fixed[e] = entry
	}
	part := func(which int) int { return j.add(code.JetNode{Op: code.JetFixed, A: entry, B: which}) }
	if kinds == types.Point {
		return quantity{x: part(1), y: part(2), point: true}, true
	}
	return quantity{x: part(0)}, true
}

// still reports whether an expression reads neither the curve's variable
// nor a variable of a function that is followed.
func (j *jet) still(e ast.Expr) bool {
	constant, span := true, e.Place()
	ast.Walk(e, func(n ast.Node) bool {
		x, ok := n.(ast.Expr)
		if !ok {
			return constant
		}
		if o := j.b.c.checked.Refs[x]; o != nil {
			_, known := j.b.vars[o]
			_, global := j.b.c.globals[o]
			_, local := j.bound[o]
			inside := o.Place.File == span.File && span.Start <= o.Place.Start && o.Place.End <= span.End
			if !inside && (o.Kind == check.CurveVar || local || o.Kind <= check.Parameter && !known && !global) {
				constant = false
			}
		}
		return constant
	})
	return constant
}

func (j *jet) call(e *ast.Call) (quantity, bool) {
	how := j.b.c.checked.Calls[e]
	switch {
	case how == nil || how.Target == nil:
	case how.Target.Kind == check.Builtin:
		if q, ok := j.constantly(e); ok {
			return q, true
		}
		return j.library(how)
	case how.Target.Kind == check.Function:
		return j.function(how)
	}
	return quantity{}, false
}

// function follows a call of a function of the program.
func (j *jet) function(how *check.Call) (quantity, bool) {
	def, ok := how.Target.Def.(*ast.FuncDef)
	if !ok || j.depth == deepest {
		return quantity{}, false
	}
	given := map[*check.Object]quantity{}
	for i, param := range how.Target.Params {
		var arg ast.Expr
		if i < len(how.Args) {
			arg = how.Args[i]
		}
		if arg == nil {
			continue
		}
		q, ok := j.expr(arg)
		if !ok {
			return quantity{}, false
		}
		given[param.Object] = q
	}
	outer := j.bound
	defer func() { j.bound = outer; j.depth-- }()
	j.depth++
	j.bound = maps.Clone(outer)
	maps.Copy(j.bound, given)
	for _, param := range how.Target.Params {
		if _, ok := given[param.Object]; ok || param.Default == nil {
			continue
		}
		if j.bound[param.Object], ok = j.expr(param.Default); !ok {
			return quantity{}, false
		}
	}
	if def.Result != nil {
		return j.expr(def.Result)
	}
	return j.run(def.Body.Stmts, func() (quantity, bool) { return quantity{}, false })
}

// run follows the statements of a function up to the value that it returns;
// then goes on behind them.
func (j *jet) run(stmts []ast.Stmt, then func() (quantity, bool)) (quantity, bool) {
	for i, stmt := range stmts {
		if len(j.nodes) > mostSteps {
			return quantity{}, false
		}
		rest := func() (quantity, bool) { return j.run(stmts[i+1:], then) }
		switch s := stmt.(type) {
		case *ast.Let:
			if !j.set(j.b.c.checked.Defs[s], s.Value) {
				return quantity{}, false
			}
		case *ast.Assign:
			name, plain := s.Target.(*ast.NameExpr)
			if !plain || !j.change(j.b.c.checked.Refs[name], s) {
				return quantity{}, false
			}
		case *ast.Return:
			if s.Value == nil {
				return quantity{}, false
			}
			return j.expr(s.Value)
		case *ast.If:
			if done, value, ok := j.branches(s, rest); done || !ok {
				return value, ok
			}
		case *ast.LoopIn:
			passes, ok := j.passes(s.Values)
			if !ok || s.Index != nil {
				return quantity{}, false
			}
			variable := j.b.c.checked.Defs[s]
			return j.loop(s.Body, len(passes), func(k int) { j.bound[variable] = j.constant(passes[k]) }, rest)
		case *ast.Repeat:
			count, ok := j.known(s.Count)
			if !ok || count != math.Trunc(count) || count < 0 || count > mostSteps {
				return quantity{}, false
			}
			return j.loop(s.Body, int(count), func(int) {}, rest)
		default:
			return quantity{}, false
		}
	}
	return then()
}

// set gives a variable of the function that is followed a value.
func (j *jet) set(o *check.Object, e ast.Expr) bool {
	q, ok := j.expr(e)
	if ok {
		j.bound[o] = q
	}
	return ok
}

// change follows `x = 2` and `x += 2`.
func (j *jet) change(o *check.Object, s *ast.Assign) bool {
	if s.Op == "" {
		return j.set(o, s.Value)
	}
	before, known := j.bound[o]
	by, ok := j.expr(s.Value)
	if !known || !ok {
		return false
	}
	j.bound[o], ok = j.operation(s.Op, before, by)
	return ok
}

// branches follows an `if`. It is done if that led to the function's value;
// otherwise what follows it is still to do.
func (j *jet) branches(s *ast.If, rest func() (quantity, bool)) (done bool, value quantity, ok bool) {
	condition, ok := j.expr(s.Cond)
	if !ok {
		return false, quantity{}, false
	}
	otherwise := func(then func() (quantity, bool)) (quantity, bool) {
		switch e := s.Else.(type) {
		case *ast.Block:
			return j.run(e.Stmts, then)
		case *ast.If:
			return j.run([]ast.Stmt{e}, then)
		}
		return then()
	}
	if k := j.nodes[condition.x]; k.Op == code.JetConstant {
		if k.K != 0 {
			value, ok = j.run(s.Then.Stmts, rest)
		} else {
			value, ok = otherwise(rest)
		}
		return true, value, ok
	}
	j.guarded++
	defer func() { j.guarded-- }()
	before := maps.Clone(j.bound)
	if !leaves(s) {
		nothing := func() (quantity, bool) { return quantity{}, true }
		_, okThen := j.run(s.Then.Stmts, nothing)
		then := j.bound
		j.bound = maps.Clone(before)
		_, okElse := otherwise(nothing)
		if !okThen || !okElse {
			return false, quantity{}, false
		}
		for o := range before {
			if j.bound[o], ok = j.choose(condition.x, then[o], j.bound[o]); !ok {
				return false, quantity{}, false
			}
		}
		return false, quantity{}, true
	}
	yes, okYes := j.run(s.Then.Stmts, rest)
	j.bound = before
	no, okNo := otherwise(rest)
	if !okYes || !okNo {
		return true, quantity{}, false
	}
	value, ok = j.choose(condition.x, yes, no)
	return true, value, ok
}

// leaves reports whether a statement may return, or go on or end a loop.
func leaves(stmt ast.Node) (found bool) {
	ast.Walk(stmt, func(n ast.Node) bool {
		switch n.(type) {
		case *ast.Return, *ast.Break, *ast.Continue:
			found = true
		}
		return !found
	})
	return found
}

// loop follows the passes of a loop, and then what comes after it.
func (j *jet) loop(body *ast.Block, passes int, begin func(k int), rest func() (quantity, bool)) (quantity, bool) {
	var pass func(k int) (quantity, bool)
	pass = func(k int) (quantity, bool) {
		if k == passes {
			return rest()
		}
		begin(k)
		return j.run(body.Stmts, func() (quantity, bool) { return pass(k + 1) })
	}
	return pass(0)
}

// passes are the numbers of a range that is known, which are few.
func (j *jet) passes(e ast.Expr) ([]float64, bool) {
	span, ok := unwrap(e).(*ast.Range)
	if !ok {
		return nil, false
	}
	from, okFrom := j.known(span.From)
	to, okTo := j.known(span.To)
	by, okBy := 1.0, true
	if span.By != nil {
		by, okBy = j.known(span.By)
	}
	if !okFrom || !okTo || !okBy || by == 0 {
		return nil, false
	}
	count := math.Floor((to-from)/by+1e-9) + 1
	if !(count <= mostSteps) {
		return nil, false
	}
	passes := make([]float64, max(0, int(count)))
	for k := range passes {
		passes[k] = from + float64(float64(k)*by)
	}
	return passes, true
}

// known is a number that is known before the program runs.
func (j *jet) known(e ast.Expr) (float64, bool) {
	q, ok := j.expr(e)
	if !ok || q.point || j.nodes[q.x].Op != code.JetConstant {
		return 0, false
	}
	return j.nodes[q.x].K, true
}

// folded is a step on numbers that are known, worked out as the program would.
func folded(op code.JetOp, x, y float64) (float64, bool) {
	truth := func(b bool) (float64, bool) {
		if b {
			return 1, true
		}
		return 0, true
	}
	result := math.NaN()
	switch op {
	case code.JetAdd:
		result = x + y
	case code.JetSub:
		result = x - y
	case code.JetMul:
		result = x * y
	case code.JetDiv:
		result = x / y
	case code.JetLess:
		return truth(x < y)
	case code.JetLessEqual:
		return truth(x <= y)
	case code.JetEqual:
		return truth(x == y)
	case code.JetAnd:
		return truth(x != 0 && y != 0)
	case code.JetOr:
		return truth(x != 0 || y != 0)
	}
	return result, result-result == 0
}
