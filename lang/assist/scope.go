package assist

import (
	"slices"

	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/types"
)

// scope is what is known at a place.
type scope struct {
	names []*check.Object // nearest first; a name that hides another stands for both
	where body
	loops int // loops around, within the body
	depth int // blocks around, within the body
}

// body is what sort of body a place is in.
type body uint8

const (
	inFile body = iota
	inFigure
	inFunction
	inPath
)

func (s *scope) add(obj *check.Object) {
	if obj != nil && obj.Name != "" && s.find(obj.Name) == nil {
		s.names = append(s.names, obj)
	}
}

func (s *scope) find(name string) *check.Object {
	for _, obj := range s.names {
		if obj.Name == name {
			return obj
		}
	}
	return nil
}

// scopeAt finds out what is known at an offset.
func (d *Document) scopeAt(at int) *scope {
	s := &scope{}
	path := d.around(at)
	unit := false // within a function or figure, which may read all variables of the file
	for _, n := range path {
		switch n.(type) {
		case *ast.FuncDef, *ast.FigureDef:
			unit = true
		}
		s.enter(n)
	}
	for _, n := range slices.Backward(path) {
		d.define(s, n, at)
	}
	for _, stmt := range slices.Backward(d.Program.Main.File.Body) {
		if let, ok := stmt.(*ast.Let); ok && (unit || d.isBefore(let, at)) {
			s.add(d.Program.Defs[let])
		}
	}
	for _, stmt := range d.Program.Main.File.Body {
		switch stmt.(type) {
		case *ast.Use, *ast.FuncDef, *ast.FigureDef:
			s.add(d.Program.Defs[stmt])
		}
	}
	return s
}

// enter counts a node around the place.
func (s *scope) enter(n ast.Node) {
	within := func(w body) { s.where, s.loops, s.depth = w, 0, 0 }
	switch n.(type) {
	case *ast.FuncDef, *ast.FuncLit:
		within(inFunction)
	case *ast.FigureDef:
		within(inFigure)
	case *ast.PathLit:
		within(inPath)
	case *ast.Repeat, *ast.LoopIn, *ast.LoopWhile:
		s.loops++
	case *ast.Block:
		s.depth++
	}
}

// define takes in the names that a node around the place defines for it.
func (d *Document) define(s *scope, n ast.Node, at int) {
	params := func(list []ast.Param) {
		for i := range list {
			if list[i].Span.End < at {
				s.add(d.Program.Defs[&list[i]])
			}
		}
	}
	switch n := n.(type) {
	case *ast.Block:
		for _, stmt := range slices.Backward(n.Stmts) {
			if let, ok := stmt.(*ast.Let); ok && d.isBefore(let, at) {
				s.add(d.Program.Defs[let])
			}
		}
	case *ast.LoopIn:
		if n.Body != nil && n.Body.Span.Start < at {
			s.add(d.Program.Defs[n])
			if n.Index != nil {
				s.add(d.Program.Defs[n.Index])
			}
		}
	case *ast.Curve:
		if n.Interval != nil && n.Interval.Place().End < at {
			s.add(d.Program.Defs[n])
		}
	case *ast.FuncDef:
		params(n.Params)
	case *ast.FigureDef:
		params(n.Params)
	case *ast.FuncLit:
		params(n.Params)
	}
}

// isBefore reports whether a `let` has run where an offset is: it stands in an
// earlier text, or in a statement before.
func (d *Document) isBefore(let *ast.Let, at int) bool {
	return !d.ours(let.Span) || let.Span.End < at && !d.holds(let, at)
}

// target finds what a name means: one that the program defines, or a word of
// the library.
func (d *Document) target(s *scope, name string) *check.Object {
	if obj := s.find(name); obj != nil {
		return obj
	}
	if b := d.Program.Library.Lookup(name); b != nil {
		return &check.Object{Kind: check.Builtin, Name: name, Builtin: b}
	}
	if slices.Contains(d.Program.Library.Modules, name) {
		for _, m := range d.Program.Modules {
			if m.Name == name {
				return &check.Object{Kind: check.ModuleRef, Name: name, Module: m}
			}
		}
		return &check.Object{Kind: check.ModuleRef, Name: name}
	}
	return nil
}

// method finds what a name after a dot means: variables are skipped.
func (d *Document) method(name string) *check.Object {
	if obj := d.Program.Main.Members[name]; obj != nil && (obj.Kind == check.Function || obj.Kind == check.Figure) {
		return obj
	}
	if b := d.Program.Library.Lookup(name); b != nil && !b.Value {
		return &check.Object{Kind: check.Builtin, Name: name, Builtin: b}
	}
	return nil
}

// mayDraw reports whether statements may draw in a body.
func (b body) mayDraw() bool { return b != inFunction }

// allowed reports whether a word of the library may stand as a statement where the
// scope is.
func (s *scope) allowed(b *types.Builtin) bool {
	switch {
	case b.May&types.Draws != 0 && !s.where.mayDraw():
		return false
	case b.May&types.TopLevel != 0 && s.where != inFile:
		return false
	case b.May&types.Outermost != 0 && s.depth > 0:
		return false
	}
	return true
}
