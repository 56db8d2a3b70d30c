package check

import (
	"wend/lang/ast"
	"wend/lang/diag"
	"wend/lang/source"
)

// reach knows which functions and figures can draw on the random sequence, by
// themselves or through those that they call.
type reach struct {
	callers map[*Object][]*Object // who calls a function or figure
	direct  []*Object             // those that use chance themselves, in order
	curves  []curveCall
}

// curveCall is a call within a curve's formula.
type curveCall struct {
	stmt   ast.Stmt
	target *Object
	span   source.Span
}

func newReach() reach { return reach{callers: map[*Object][]*Object{}} }

// uses notes that a function or figure calls another.
func (x *reach) uses(unit, target *Object) {
	if unit != nil {
		x.callers[target] = append(x.callers[target], unit)
	}
}

// chance notes that a function or figure uses chance. A function value within
// it may never be called, so what that does is not counted.
func (x *reach) chance(unit *Object, body *Body) {
	if unit == nil {
		return
	}
	for b := body; b != nil; b = b.Outer {
		if _, ok := b.Node.(*ast.FuncLit); ok {
			return
		}
	}
	x.direct = append(x.direct, unit)
}

// reportChance reports calls in curve formulas that reach the random sequence.
func (c *checker) reportChance() {
	if len(c.reach.curves) == 0 {
		return
	}
	takes := map[*Object]bool{}
	work := c.reach.direct
	for len(work) > 0 {
		obj := work[len(work)-1]
		work = work[:len(work)-1]
		if !takes[obj] {
			takes[obj] = true
			work = append(work, c.reach.callers[obj]...)
		}
	}
	for _, call := range c.reach.curves {
		if takes[call.target] {
			c.report(call.stmt, diag.New("chance-in-curve", call.span, diag.Args{"word": call.target.Name}))
		}
	}
}
