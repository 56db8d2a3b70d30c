package compile

import "wend/lang/ast"

// names calls visit for every expression in a part of the tree that may stand
// for a variable: names, and fields (which may be members of a module).
func names(node ast.Node, visit func(ast.Expr)) {
	each := func(nodes ...ast.Expr) {
		for _, n := range nodes {
			if n != nil {
				names(n, visit)
			}
		}
	}
	params := func(list []ast.Param) {
		for _, p := range list {
			each(p.Default)
		}
	}
	block := func(b *ast.Block) {
		if b != nil {
			names(b, visit)
		}
	}
	switch n := node.(type) {
	case *ast.Block:
		for _, s := range n.Stmts {
			names(s, visit)
		}
	case *ast.Let:
		each(n.Value)
	case *ast.Assign:
		each(n.Target, n.Value)
	case *ast.Repeat:
		each(n.Count)
		block(n.Body)
	case *ast.LoopIn:
		each(n.Values)
		block(n.Body)
	case *ast.LoopWhile:
		each(n.Cond)
		block(n.Body)
	case *ast.If:
		each(n.Cond)
		block(n.Then)
		if n.Else != nil {
			names(n.Else, visit)
		}
	case *ast.Return:
		each(n.Value)
	case *ast.Draw:
		each(n.Path, n.At)
	case *ast.Branch:
		block(n.Body)
	case *ast.Do:
		each(n.Call)
	case *ast.TextLit:
		for _, p := range n.Parts {
			each(p.Value)
		}
	case *ast.NameExpr:
		visit(n)
	case *ast.PointLit:
		each(n.X, n.Y)
	case *ast.ListLit:
		each(n.Items...)
	case *ast.Range:
		each(n.From, n.To, n.By)
	case *ast.Unary:
		each(n.X)
	case *ast.Binary:
		each(n.X, n.Y)
	case *ast.Compare:
		each(n.Operands...)
	case *ast.Call:
		each(n.Fn)
		for _, a := range n.Args {
			each(a.Value)
		}
	case *ast.Index:
		each(n.X, n.I)
	case *ast.Field:
		visit(n)
		each(n.X)
	case *ast.Paren:
		each(n.X)
	case *ast.FuncLit:
		params(n.Params)
		each(n.Result)
		block(n.Body)
	case *ast.PathLit:
		block(n.Body)
	case *ast.Curve:
		each(n.Interval, n.Formula)
	}
}
