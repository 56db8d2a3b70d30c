package compile

import (
	"wend/lang/ast"
	"wend/lang/code"
)

// A loop that changes the items of its list pass by pass, such as
//
//	loop i, w in walkers { walkers[i].x += w.step }
//
// would hold each item while it changes it, and so copy it. If the body only
// reads fields of the item, they are taken when the pass begins, and nobody holds
// the item itself. What is no record, or has no such field, is held as ever and
// read where the program reads it, so that a message names that place.

// mostTaken is how many fields are taken at most: each has a register.
const mostTaken = 4

// takeFields takes the fields of a loop's item at the beginning of a pass, if
// these are all that the body reads of it, and reports whether it did.
func (b *body) takeFields(s *ast.LoopIn, v variable) bool {
	item := b.c.checked.Defs[s]
	if b.c.steps {
		return false // whoever looks on may ask for the item
	}
	names, only := b.fieldsRead(s)
	if !only || len(names) > mostTaken {
		return false
	}
	v.taken = map[string]uint8{}
	for _, name := range names {
		v.taken[name] = b.takeV(1)
		b.emit(code.TakeField, v.taken[name], v.register, 0, b.c.text(name))
	}
	b.vars[item] = v
	return true
}

// fieldsRead gives the fields of a loop's item that its body reads, and reports
// whether it reads nothing else of it.
func (b *body) fieldsRead(s *ast.LoopIn) (names []string, only bool) {
	only = true
	isItem := func(n ast.Node) bool {
		name, ok := n.(*ast.NameExpr)
		return ok && b.c.checked.Refs[name] == b.c.checked.Defs[s]
	}
	seen := map[string]bool{}
	called := map[*ast.Field]bool{}
	ast.Walk(s.Body, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.FuncLit, *ast.PathLit, *ast.Curve: // they keep what they read
			ast.Walk(n, func(inner ast.Node) bool {
				only = only && !isItem(inner)
				return only
			})
			return false
		case *ast.Call:
			if f, ok := n.Fn.(*ast.Field); ok {
				called[f] = true
			}
		case *ast.Field:
			if isItem(unwrap(n.X)) && !called[n] {
				if !seen[n.Name.Name] {
					seen[n.Name.Name] = true
					names = append(names, n.Name.Name)
				}
				return false
			}
		case *ast.NameExpr:
			only = only && !isItem(n)
		}
		return only
	})
	return names, only
}

// takenField is the register of a field that was taken, if it was.
func (b *body) takenField(e *ast.Field) (reg uint8, ok bool) {
	name, ok := unwrap(e.X).(*ast.NameExpr)
	if !ok {
		return 0, false
	}
	reg, ok = b.vars[b.c.checked.Refs[name]].taken[e.Name.Name]
	return reg, ok
}
