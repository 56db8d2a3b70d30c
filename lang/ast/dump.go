package ast

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"
)

// Dump writes a tree as indented text, one node a line: its kind, what it
// holds besides other nodes, and its offsets if spans are asked for.
func Dump(n Node, spans bool) string {
	d := dumper{spans: spans}
	d.node(n, 0)
	return d.String()
}

type dumper struct {
	strings.Builder
	spans bool
}

func (d *dumper) node(n Node, depth int) {
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
	for _, child := range Children(n) {
		d.node(child, depth+1)
	}
	if f, ok := n.(*File); ok {
		for i := range f.Comments {
			d.node(&f.Comments[i], depth+1)
		}
	}
}

// detail is what a node holds besides other nodes.
func detail(n Node) string {
	switch n := n.(type) {
	case *Ident:
		return n.Name
	case *NumberLit:
		return strconv.FormatFloat(n.Value, 'g', -1, 64) + string(n.Unit)
	case *BoolLit:
		return strconv.FormatBool(n.Value)
	case *NameExpr:
		return n.Name
	case *TextPart:
		if n.Value == nil {
			return strconv.Quote(n.Plain)
		}
	case *Unary:
		return string(n.Op)
	case *Binary:
		return string(n.Op)
	case *Compare:
		ops := make([]string, len(n.Ops))
		for i, op := range n.Ops {
			ops[i] = string(op)
		}
		return strings.Join(ops, " ")
	case *Assign:
		if n.Op != "" {
			return string(n.Op) + "="
		}
	case *Call:
		if n.Glued {
			return "glued"
		}
	case *Comment:
		return strconv.Quote(n.Span.Text())
	}
	return ""
}
