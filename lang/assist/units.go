package assist

import (
	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/types"
)

// UnitHint says what a plain number that is written in a call counts.
type UnitHint struct {
	At   int // right behind the number
	Unit types.Unit
}

// Units are the numbers between two offsets that stand without a unit where a word
// of the library wants a length or an angle.
func (d *Document) Units(first, last int) []UnitHint {
	var all []UnitHint
	ast.Walk(d.Tree, func(n ast.Node) bool {
		s := n.Place()
		if s.End < first || last < s.Start {
			return false
		}
		call, is := n.(*ast.Call)
		if !is {
			return true
		}
		obj := d.Program.Refs[call.Fn]
		if obj == nil || obj.Kind != check.Builtin {
			return true
		}
		_, receiver := call.Fn.(*ast.Field)
		for i, arg := range call.Args {
			if !plainNumber(arg.Value) {
				continue
			}
			if unit := unitOf(obj.Builtin, call, i, receiver); unit != types.Plain {
				all = append(all, UnitHint{At: arg.Value.Place().End, Unit: unit})
			}
		}
		return true
	})
	return all
}

func plainNumber(e ast.Expr) bool {
	if u, ok := e.(*ast.Unary); ok {
		e = u.X
	}
	n, ok := e.(*ast.NumberLit)
	return ok && n.Unit == ""
}

// unitOf is the unit of an argument by all forms of a word that the call can be;
// plain where they differ.
func unitOf(b *types.Builtin, call *ast.Call, i int, receiver bool) types.Unit {
	unit, found := types.Plain, false
	for _, f := range b.Forms {
		p := parameter(f, call.Args[i], i, receiver)
		if p == nil || !p.Kinds.Has(types.Number) {
			continue
		}
		if found && p.Unit != unit {
			return types.Plain
		}
		unit, found = p.Unit, true
	}
	return unit
}

func parameter(f types.Form, arg ast.Arg, i int, receiver bool) *types.Param {
	if arg.Name != nil {
		for j := range f.Params {
			if f.Params[j].Name == arg.Name.Name {
				return &f.Params[j]
			}
		}
		return nil
	}
	if receiver {
		i++
	}
	switch last := len(f.Params) - 1; {
	case i <= last:
		return &f.Params[i]
	case last >= 0 && f.Params[last].Rest:
		return &f.Params[last]
	}
	return nil
}
