package compile

import (
	"sort"

	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/source"
)

// A list that somebody holds is marked as shared when it gets a second holder,
// and the next change copies it. Where a program only looks at a list for a
// while, the list is lent and not marked, so that a program which reads and
// appends in turn is linear:
//
//   - A parameter that its body never assigns to. Until the call ends, nobody
//     else can change the list either, since a body assigns only to its own
//     variables. Whatever the body keeps of it (a variable, an item, what it
//     returns, a function value that captures it) is marked there and then.
//   - An argument of a function value, until it is known which body is called.
//   - The list of a loop whose body does not assign to the variable that holds
//     it.
//   - The captured variables of a path body or a formula, which nobody assigns
//     to and which run at once.

// changes are the places where each variable, or what it holds, is assigned to
// after it was made.
func changes(checked *check.Program) map[*check.Object][]source.Span {
	found := map[*check.Object][]source.Span{}
	for _, module := range checked.Modules {
		ast.Walk(module.File, func(n ast.Node) bool {
			if s, ok := n.(*ast.Assign); ok {
				base, _ := parts(unwrap(s.Target))
				o := checked.Refs[base]
				found[o] = append(found[o], s.Span)
			}
			return true
		})
	}
	return found
}

// unchangedIn reports whether a list is held by a variable to which a block
// assigns nothing.
func (b *body) unchangedIn(block *ast.Block, list ast.Expr) bool {
	base, _ := parts(unwrap(list))
	name, ok := base.(*ast.NameExpr)
	if !ok {
		return false
	}
	at := b.c.changes[b.c.checked.Refs[name]] // all in one file, in its order
	i := sort.Search(len(at), func(i int) bool { return at[i].Start >= block.Span.Start })
	return i == len(at) || at[i].Start >= block.Span.End
}
