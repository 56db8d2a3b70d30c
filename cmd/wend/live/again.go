package live

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/diag"
	"wend/lang/parse"
	"wend/lang/source"
)

// A new definition of a name replaces the old one from there on; what was
// entered before keeps doing what it did. The entries stay one ordinary program
// all the same:
//
//   - a new `let` of a variable is an assignment, so it becomes one;
//   - any other old definition that earlier statements need, by themselves or
//     through figures and functions, gets a new name with a number (`petal_1`),
//     and so does every figure and function on the way to it; these enter the
//     program once more under their own names, with the new definition in force;
//   - an old definition that nothing has needed yet is left out.

// replaced gives the earlier entries and the new one, rewritten so that what
// the new one defines again replaces what was. The list says why that cannot be.
func (s *Session) replaced(added entry) ([]entry, entry, diag.List) {
	entries := slices.Clone(s.now.entries)
	if s.now.program == nil {
		return entries, added, nil
	}
	uses := s.now.uses()
	var lets []edit
	changed := map[*check.Object]bool{}
	for _, stmt := range added.tree.Body {
		name, ok := definedName(stmt)
		if !ok {
			continue
		}
		old := s.now.program.Checked.Main.Members[name.Name]
		let, isLet := stmt.(*ast.Let)
		switch {
		case old == nil:
			if span, used := uses.library(name.Name, isLet); used {
				return nil, added, diag.List{diag.New("live-word-used", name.Span, diag.Args{"name": name.Name}).
					WithRelated(span, "here it is the word of the library")}
			}
		case isLet && old.Kind == check.Variable:
			lets = append(lets, edit{source.Span{File: added.source, Start: let.Span.Start, End: let.Name.Span.Start}, ""})
		default:
			changed[old] = true
		}
	}
	if len(lets) > 0 {
		added = rewritten(added, lets)
	}
	if len(changed) == 0 {
		return entries, added, nil
	}
	edits, copies := uses.rename(changed, s.now.names(added.source.Text))
	for i, e := range entries {
		var own []edit
		for _, change := range edits {
			if change.span.File == e.source {
				own = append(own, change)
			}
		}
		if len(own) > 0 {
			entries[i] = rewritten(e, own)
		}
	}
	if len(copies) > 0 {
		file := source.New(added.source.Name, strings.Join(copies, "\n")+"\n"+added.source.Text)
		added = read(file)
	}
	return entries, added, nil
}

func definedName(stmt ast.Stmt) (ast.Ident, bool) {
	switch s := stmt.(type) {
	case *ast.Let:
		return s.Name, true
	case *ast.FuncDef:
		return s.Name, true
	case *ast.FigureDef:
		return s.Name, true
	}
	return ast.Ident{}, false
}

// edit replaces the text of a span.
type edit struct {
	span source.Span
	text string
}

// rewritten is an entry after some edits of its text.
func rewritten(e entry, edits []edit) entry {
	slices.SortFunc(edits, func(a, b edit) int { return cmp.Compare(a.span.Start, b.span.Start) })
	var text strings.Builder
	at := 0
	for _, change := range edits {
		if change.span.Start < at {
			continue // within what is left out
		}
		text.WriteString(e.source.Text[at:change.span.Start] + change.text)
		at = change.span.End
	}
	text.WriteString(e.source.Text[at:])
	return read(source.New(e.source.Name, text.String()))
}

func read(file *source.File) entry {
	tree, _ := parse.File(file) // it was read before without fault
	return entry{file, tree}
}

// uses is who mentions what in a program.
type uses struct {
	program *check.Program
	// units are the definitions of the main file and, under nil, all its other
	// statements.
	units map[*check.Object][]mention
}

// mention is a place in the text that stands for an object.
type mention struct {
	object *check.Object
	span   source.Span
}

func (s *state) uses() *uses {
	u := &uses{program: s.program.Checked, units: map[*check.Object][]mention{}}
	for _, stmt := range u.program.Main.File.Body {
		var unit *check.Object
		switch s := stmt.(type) {
		case *ast.FuncDef, *ast.FigureDef:
			unit = u.program.Defs[stmt]
		case *ast.Let:
			if o := u.program.Defs[stmt]; o != nil {
				u.units[nil] = append(u.units[nil], mention{o, s.Name.Span})
			}
		}
		ast.Walk(stmt, func(n ast.Node) bool {
			e, ok := n.(ast.Expr)
			if !ok {
				return true
			}
			if o := u.program.Refs[e]; o != nil {
				span := e.Place()
				if field, ok := e.(*ast.Field); ok {
					span = field.Name.Span
				}
				u.units[unit] = append(u.units[unit], mention{o, span})
			}
			return true
		})
	}
	return u
}

// library reports whether the entries use a word of the library that a new
// definition would take away from them, and where. A variable is seen by
// functions and figures alone before its `let`.
func (u *uses) library(name string, let bool) (source.Span, bool) {
	needed := u.reached()
	for _, unit := range u.order() {
		if unit == nil && let || unit != nil && !needed[unit] {
			continue
		}
		for _, m := range u.units[unit] {
			if m.object.Name == name && (m.object.Kind == check.Builtin || m.object.Kind == check.ModuleRef) {
				return m.span, true
			}
		}
	}
	return source.Span{}, false
}

// order is nil and all definitions in the order of the text.
func (u *uses) order() []*check.Object {
	order := []*check.Object{nil}
	for _, stmt := range u.program.Main.File.Body {
		switch stmt.(type) {
		case *ast.FuncDef, *ast.FigureDef:
			order = append(order, u.program.Defs[stmt])
		}
	}
	return order
}

// reached are the functions, figures and variables that the statements need.
func (u *uses) reached() map[*check.Object]bool {
	reached := map[*check.Object]bool{}
	work := []*check.Object{nil}
	for len(work) > 0 {
		unit := work[len(work)-1]
		work = work[:len(work)-1]
		for _, m := range u.units[unit] {
			if !reached[m.object] {
				reached[m.object] = true
				work = append(work, m.object)
			}
		}
	}
	return reached
}

// rename gives the edits that keep the old meaning of changed objects for what
// was entered, and the texts of definitions that begin a new life with them.
func (u *uses) rename(changed map[*check.Object]bool, taken func(string) bool) (edits []edit, copies []string) {
	needed := u.reached()
	order := u.order()[1:]

	// affected: changed itself, or on the way to it.
	affected := map[*check.Object]bool{}
	for o := range changed {
		affected[o] = true
	}
	for grew := true; grew; {
		grew = false
		for _, unit := range order {
			if affected[unit] {
				continue
			}
			for _, m := range u.units[unit] {
				if affected[m.object] {
					affected[unit], grew = true, true
					break
				}
			}
		}
	}

	names := map[*check.Object]string{}
	fresh := func(o *check.Object) {
		for i := 1; ; i++ {
			name := fmt.Sprintf("%s_%d", o.Name, i)
			if !taken(name) {
				names[o] = name
				return
			}
		}
	}
	for _, unit := range order {
		if !affected[unit] {
			continue
		}
		span := unit.Def.Place()
		switch {
		case needed[unit]:
			fresh(unit)
			edits = append(edits, edit{unit.Place, names[unit]})
			if !changed[unit] {
				copies = append(copies, span.Text())
			}
		case changed[unit]:
			edits = append(edits, edit{withComment(span), ""})
		}
	}
	for _, o := range u.program.Main.Body.Vars {
		if changed[o] {
			fresh(o)
		}
	}
	for _, unit := range append([]*check.Object{nil}, order...) {
		if unit != nil && !needed[unit] {
			continue
		}
		for _, m := range u.units[unit] {
			if name := names[m.object]; name != "" {
				edits = append(edits, edit{m.span, name})
			}
		}
	}
	return edits, copies
}

// withComment is a statement with the comment lines right above it and the end
// of its line.
func withComment(span source.Span) source.Span {
	file := span.File
	line := file.LineOf(span.Start)
	if strings.TrimSpace(file.Text[file.LineStart(line):span.Start]) != "" {
		return span
	}
	for line > 1 && strings.HasPrefix(strings.TrimSpace(file.Line(line-1)), "#") {
		line--
	}
	return source.Span{File: file, Start: file.LineStart(line), End: span.End}
}

// names tells of every name whether it is taken anywhere in the entries, in a
// further text or in the library.
func (s *state) names(more string) func(string) bool {
	texts := []string{more}
	for _, e := range s.entries {
		texts = append(texts, e.source.Text)
	}
	given := map[string]bool{}
	return func(name string) bool {
		if given[name] || s.program.Checked.Library.Lookup(name) != nil {
			return true
		}
		for _, text := range texts {
			if strings.Contains(text, name) {
				return true
			}
		}
		given[name] = true
		return false
	}
}
