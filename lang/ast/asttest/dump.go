// Package asttest shows trees to the tests of the packages that make or read
// them.
package asttest

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"wend/lang/ast"
)

// Dump writes a tree as indented text, one node a line: its kind, what it
// holds besides other nodes, and its offsets if spans are asked for.
func Dump(n ast.Node, spans bool) string {
	d := dumper{spans: spans}
	d.node(n, 0)
	return d.String()
}

type dumper struct {
	strings.Builder
	spans bool
}

func (d *dumper) node(n ast.Node, depth int) {
	for range depth {
		d.WriteString("  ")
	}
	d.WriteString(reflect.TypeOf(n).Elem().Name())
	if detail := detail(n); detail != "" {
		d.WriteByte(' ')
		d.WriteString(detail)
	}
	if d.spans {
		at := n.Place()
		fmt.Fprintf(d, " [%d:%d]", at.Start, at.End)
	}
	d.WriteByte('\n')
	for _, child := range ast.Children(n) {
		d.node(child, depth+1)
	}
	if f, ok := n.(*ast.File); ok {
		for i := range f.Comments {
			d.node(&f.Comments[i], depth+1)
		}
	}
}

// detail is what a node holds besides other nodes.
func detail(n ast.Node) string {
	switch n := n.(type) {
	case *ast.Ident:
		return n.Name
	case *ast.NumberLit:
		return strconv.FormatFloat(n.Value, 'g', -1, 64) + string(n.Unit)
	case *ast.BoolLit:
		return strconv.FormatBool(n.Value)
	case *ast.NameExpr:
		return n.Name
	case *ast.TextPart:
		if n.Value == nil {
			return strconv.Quote(n.Plain)
		}
	case *ast.Unary:
		return string(n.Op)
	case *ast.Binary:
		return string(n.Op)
	case *ast.Compare:
		ops := make([]string, len(n.Ops))
		for i, op := range n.Ops {
			ops[i] = string(op)
		}
		return strings.Join(ops, " ")
	case *ast.Assign:
		if n.Op != "" {
			return string(n.Op) + "="
		}
	case *ast.Call:
		if n.Glued {
			return "glued"
		}
	case *ast.Comment:
		return strconv.Quote(n.Span.Text())
	}
	return ""
}
