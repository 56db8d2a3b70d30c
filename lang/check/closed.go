package check

import (
	"wend/lang/ast"
	"wend/lang/types"
)

// closed tells whether a formula is closed arithmetic, for which the range of
// values over an interval can be computed.
func (c *checker) closed(e ast.Expr) bool {
	switch e := e.(type) {
	case *ast.NumberLit:
		return true
	case *ast.NameExpr:
		return c.closedName(c.program.Refs[e], e)
	case *ast.Field:
		return c.program.Refs[e] != nil && c.closedName(c.program.Refs[e], e)
	case *ast.Paren:
		return c.closed(e.X)
	case *ast.PointLit:
		return c.closed(e.X) && c.closed(e.Y)
	case *ast.Unary:
		return e.Op == ast.Minus && c.closed(e.X)
	case *ast.Binary:
		return e.Op != ast.And && e.Op != ast.Or && c.closed(e.X) && c.closed(e.Y)
	case *ast.Call:
		how := c.program.Calls[e]
		if how == nil || how.Target == nil || how.Target.Kind != Builtin || !how.Target.Builtin.Bounded || how.Form == nil {
			return false
		}
		for _, p := range how.Form.Params {
			if p.Kinds != types.Number {
				return false
			}
		}
		for _, arg := range how.Args {
			if arg != nil && !c.closed(arg) {
				return false
			}
		}
		return true
	}
	return false
}

func (c *checker) closedName(obj *Object, e ast.Expr) bool {
	if obj == nil {
		return false
	}
	switch obj.Kind {
	case Variable, LoopVar, Parameter, CurveVar:
		return c.program.Kinds[e].Has(types.Number | types.Point)
	case Builtin:
		return obj.Builtin.Value && obj.Builtin.Bounded
	}
	return false
}
