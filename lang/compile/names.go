package compile

import "wend/lang/ast"

// names calls visit for every expression in a part of the tree that may stand
// for a variable: names, and fields (which may be members of a module).
func names(node ast.Node, visit func(ast.Expr)) {
	ast.Walk(node, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.NameExpr:
			visit(n)
		case *ast.Field:
			visit(n)
		}
		return true
	})
}
