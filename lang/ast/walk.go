package ast

// Walk calls visit for a node and all below it, in source order, parents
// first. What is below a node for which visit gives false is left out.
func Walk(n Node, visit func(Node) bool) {
	if !visit(n) {
		return
	}
	for _, child := range Children(n) {
		Walk(child, visit)
	}
}

// Children are the nodes directly below a node, in source order. Comments are
// the file's, beside the tree, and are not among them.
func Children(n Node) []Node {
	var out children
	switch n := n.(type) {
	case *File:
		out.stmts(n.Body)
	case *Block:
		out.stmts(n.Stmts)
	case *Ident, *Break, *Continue, *NumberLit, *BoolLit, *NameExpr, *Bad, *Comment:
	case *Param:
		out = append(out, &n.Name)
		out.expr(n.Default)
	case *Arg:
		if n.Name != nil {
			out = append(out, n.Name)
		}
		out.expr(n.Value)
	case *Use:
		out = append(out, n.Path, &n.Name)
	case *Let:
		out = append(out, &n.Name, n.Value)
	case *Assign:
		out = append(out, n.Target, n.Value)
	case *FuncDef:
		out = append(out, &n.Name)
		out.function(n.Params, n.Result, n.Body)
	case *FigureDef:
		out = append(out, &n.Name)
		out.function(n.Params, nil, n.Body)
	case *Repeat:
		out = append(out, n.Count, n.Body)
	case *LoopIn:
		if n.Index != nil {
			out = append(out, n.Index)
		}
		out = append(out, &n.Var, n.Values, n.Body)
	case *LoopWhile:
		out = append(out, n.Cond, n.Body)
	case *If:
		out = append(out, n.Cond, n.Then)
		if n.Else != nil {
			out = append(out, n.Else)
		}
	case *Return:
		out.expr(n.Value)
	case *Draw:
		out = append(out, n.Path)
		out.expr(n.At)
	case *Branch:
		out = append(out, n.Body)
	case *Do:
		out = append(out, n.Call)
	case *TextLit:
		for i := range n.Parts {
			out = append(out, &n.Parts[i])
		}
	case *TextPart:
		out.expr(n.Value)
	case *PointLit:
		out = append(out, n.X, n.Y)
	case *ListLit:
		for _, item := range n.Items {
			out = append(out, item)
		}
	case *RecordLit:
		for i := range n.Fields {
			out = append(out, &n.Fields[i])
		}
	case *RecordField:
		out = append(out, &n.Name, n.Value)
	case *Range:
		out = append(out, n.From, n.To)
		out.expr(n.By)
	case *Unary:
		out = append(out, n.X)
	case *Binary:
		out = append(out, n.X, n.Y)
	case *Compare:
		for _, x := range n.Operands {
			out = append(out, x)
		}
	case *Call:
		out = append(out, n.Fn)
		for i := range n.Args {
			out = append(out, &n.Args[i])
		}
	case *Index:
		out = append(out, n.X, n.I)
	case *Field:
		out = append(out, n.X, &n.Name)
	case *Paren:
		out = append(out, n.X)
	case *Choice:
		out = append(out, n.Cond, n.Then, n.Else)
	case *FuncLit:
		out.function(n.Params, n.Result, n.Body)
	case *PathLit:
		out = append(out, n.Body)
	case *Curve:
		out = append(out, &n.Var, n.Interval, n.Formula)
	default:
		panic("ast: a node of a kind that is not in the tree")
	}
	return out
}

type children []Node

func (c *children) expr(x Expr) {
	if x != nil {
		*c = append(*c, x)
	}
}

func (c *children) stmts(list []Stmt) {
	for _, s := range list {
		*c = append(*c, s)
	}
}

func (c *children) function(params []Param, result Expr, body *Block) {
	for i := range params {
		*c = append(*c, &params[i])
	}
	c.expr(result)
	if body != nil {
		*c = append(*c, body)
	}
}
