package compile

import (
	"sort"

	"wend/lang/ast"
	"wend/lang/check"
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
//     it, or only to the item of the pass that runs.
//   - The captured variables of a path body or a formula, which nobody assigns
//     to and which run at once.

// changes are the statements by which each variable, or what it holds, is
// assigned to after it was made.
func changes(checked *check.Program) map[*check.Object][]*ast.Assign {
	found := map[*check.Object][]*ast.Assign{}
	for _, module := range checked.Modules {
		ast.Walk(module.File, func(n ast.Node) bool {
			if s, ok := n.(*ast.Assign); ok {
				base, _ := parts(unwrap(s.Target))
				o := checked.Refs[base]
				found[o] = append(found[o], s)
			}
			return true
		})
	}
	return found
}

// keepsList reports whether a loop may look at its list where it is: a variable
// holds the list, and the body assigns nothing to that variable, or only changes
// the item that the pass has come to, which was taken before.
func (b *body) keepsList(s *ast.LoopIn) (kept, changed bool) {
	base, way := parts(unwrap(s.Values))
	name, ok := base.(*ast.NameExpr)
	if !ok {
		return false, false
	}
	all := b.c.changes[b.c.checked.Refs[name]] // all in one file, in its order
	i := sort.Search(len(all), func(i int) bool { return all[i].Span.Start >= s.Body.Span.Start })
	for ; i < len(all) && all[i].Span.Start < s.Body.Span.End; i++ {
		if !b.ofThisPass(s, way, all[i]) {
			return false, true
		}
		changed = true
	}
	return true, changed
}

// ofThisPass reports whether an assignment changes the item, or what it holds,
// that is counted by the first name of a loop over what a variable holds at
// the end of way.
func (b *body) ofThisPass(s *ast.LoopIn, way []part, change *ast.Assign) bool {
	_, to := parts(unwrap(change.Target))
	if s.Index == nil || len(to) <= len(way) {
		return false
	}
	for i, p := range way {
		if p.index != nil || to[i].index != nil || p.name != to[i].name {
			return false
		}
	}
	index, ok := unwrap(to[len(way)].index).(*ast.NameExpr)
	return ok && b.c.checked.Refs[index] == b.c.checked.Defs[s.Index]
}
