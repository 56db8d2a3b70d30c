package assist

import (
	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/source"
	"wend/lang/types"
)

// Measured is a number of the text with what it measures.
type Measured struct {
	Span  source.Span // a sign before it and a unit behind it included
	Value float64     // as written, in the unit that is written or meant
	Unit  types.Unit  // plain where nothing says what it counts
	// Written is the unit as it stands behind the number; empty for mm and degrees
	// that stand there bare.
	Written string
}

// Measured are the numbers of the text, in source order. What a bare number counts
// is known where a word of the library takes it.
func (d *Document) Measured() []Measured {
	var all []Measured
	meant := map[ast.Node]types.Unit{}
	ast.Walk(d.Tree, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.Call:
			obj := d.Program.Refs[n.Fn]
			if obj == nil || obj.Kind != check.Builtin {
				return true
			}
			_, receiver := n.Fn.(*ast.Field)
			for i, arg := range n.Args {
				meant[arg.Value] = unitOf(obj.Builtin, n, i, receiver)
			}
		case *ast.Unary:
			if x, ok := n.X.(*ast.NumberLit); ok && n.Place().Text()[0] == '-' {
				all = append(all, measured(n.Place(), x, -x.Value, meant[n]))
				return false
			}
		case *ast.NumberLit:
			all = append(all, measured(n.Place(), n, n.Value, meant[n]))
		}
		return true
	})
	return all
}

func measured(span source.Span, x *ast.NumberLit, value float64, meant types.Unit) Measured {
	m := Measured{Span: span, Value: value, Unit: meant, Written: string(x.Unit)}
	switch x.Unit {
	case "":
	case ast.Degree, ast.Radian:
		m.Unit = types.Angle
	default:
		m.Unit = types.Length
	}
	return m
}
