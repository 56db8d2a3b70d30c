package assist

import (
	"slices"

	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/source"
	"wend/lang/types"
	"wend/lang/vocabulary"
)

// mention is a place where a name stands.
type mention struct {
	span source.Span
	obj  *check.Object // nil for measures, fields and parameters of the library
	expr ast.Expr      // that the name is the value of, if it is one
	def  bool          // the name is defined here
	dot  bool          // it stands after a dot
	word string        // of a measure, with its dot, or of a field
}

// mentions are all names of a file, in source order.
func (d *Document) mentions(file *ast.File) []mention {
	var all []mention
	define := func(name ast.Ident, node any) {
		if name.Name != "" {
			all = append(all, mention{span: name.Span, obj: d.Program.Defs[node], def: true})
		}
	}
	params := func(list []ast.Param) {
		for i := range list {
			define(list[i].Name, &list[i])
		}
	}
	ast.Walk(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.Use:
			define(n.Name, n)
		case *ast.Let:
			define(n.Name, n)
		case *ast.FuncDef:
			define(n.Name, n)
			params(n.Params)
		case *ast.FigureDef:
			define(n.Name, n)
			params(n.Params)
		case *ast.FuncLit:
			params(n.Params)
		case *ast.LoopIn:
			if n.Index != nil {
				define(*n.Index, n.Index)
			}
			define(n.Var, n)
		case *ast.Curve:
			define(n.Var, n)
		case *ast.NameExpr:
			all = append(all, mention{span: n.Span, obj: d.Program.Refs[n], expr: n})
		case *ast.Field:
			m := mention{span: n.Name.Span, obj: d.Program.Refs[n], expr: n, dot: true}
			if m.obj == nil {
				m.word = n.Name.Name
				if k := d.kindsOf(n.X); !k.Has(types.Record) || !slices.Contains(d.fieldNames(), m.word) {
					m.word = "." + m.word
				}
			}
			all = append(all, m)
		case *ast.RecordField:
			if !n.Quoted {
				all = append(all, mention{span: n.Name.Span, word: n.Name.Name, def: true})
			}
		case *ast.Call:
			target := d.Program.Calls[n]
			for _, arg := range n.Args {
				if arg.Name == nil {
					continue
				}
				m := mention{span: arg.Name.Span, word: arg.Name.Name}
				if target != nil && target.Target != nil {
					for _, p := range target.Target.Params {
						if p.Name == arg.Name.Name {
							m.obj = p.Object
						}
					}
				}
				all = append(all, m)
			}
		}
		return true
	})
	slices.SortStableFunc(all, func(a, b mention) int { return a.span.Start - b.span.Start })
	return all
}

// mentionAt is the name at an offset of the text; nil where there is none.
func (d *Document) mentionAt(at int) *mention {
	for _, m := range d.mentions(d.Tree) {
		if d.ours(m.span) && m.span.Start <= at && at <= m.span.End && m.span.Start < m.span.End {
			return &m
		}
	}
	return nil
}

// Hover is what is shown about the name or word at an offset.
type Hover struct {
	Page
	Span source.Span
}

// Hover finds the page of what stands at an offset; nil where there is nothing to
// say.
func (d *Document) Hover(at int) *Hover {
	at = d.clamped(at)
	if m := d.mentionAt(at); m != nil {
		switch {
		case m.obj != nil:
			page := d.pageOf(m.obj)
			if k := d.Program.Kinds[m.expr]; m.expr != nil && page.Value != "" && k.Single() && m.obj.Kinds != k {
				page.Value = valueOf(k, m.obj.Unit)
			}
			return &Hover{page, m.span}
		case m.expr != nil && m.dot:
			if w, ok := d.Words.Lookup(m.word); ok && w.Sort == vocabulary.Measure {
				page := wordPage(w)
				page.Value = valueOf(d.Program.Kinds[m.expr], types.Plain)
				return &Hover{page, m.span}
			}
			return &Hover{Page{Name: m.word, Sort: Field, Forms: []string{m.span.Text()}, Value: valueOf(d.Program.Kinds[m.expr], types.Plain)}, m.span}
		case m.expr == nil && m.word != "":
			sort := Parameter
			if m.def {
				sort = Field
			}
			return &Hover{Page{Name: m.word, Sort: sort, Forms: []string{m.word + ": VALUE"}}, m.span}
		}
	}
	i := d.before(at + 1)
	for ; i >= 0 && d.tokens()[i].Span.End >= at; i-- {
		if d.kind(i) != ast.KeywordToken && d.kind(i) != ast.NameToken || d.text(i-1) == "." {
			continue
		}
		if w, ok := d.Words.Lookup(d.text(i)); ok && w.Sort <= vocabulary.Value {
			return &Hover{wordPage(w), d.tokens()[i].Span}
		}
	}
	return nil
}

// Definition is where the name at an offset is defined. The place may be in another
// file; a used file itself is meant by its start.
func (d *Document) Definition(at int) (source.Span, bool) {
	m := d.mentionAt(d.clamped(at))
	if m == nil || m.obj == nil {
		return source.Span{}, false
	}
	if m.obj.Kind == check.ModuleRef && m.obj.Module != nil {
		return source.Span{File: m.obj.Module.File.Source}, true
	}
	return m.obj.Place, m.obj.Place.Known()
}

// References are all places that mean the same as the name at an offset, its
// definition among them, file by file.
func (d *Document) References(at int) []source.Span {
	m := d.mentionAt(d.clamped(at))
	if m == nil || m.obj == nil {
		return nil
	}
	var all []source.Span
	for _, other := range d.meaning(m.obj) {
		all = append(all, other.span)
	}
	return all
}

// meaning are the mentions of one thing in all files of the program. What the
// library has may be known by several objects.
func (d *Document) meaning(obj *check.Object) []mention {
	var all []mention
	for _, module := range d.Program.Modules {
		if d.isTheme(module) {
			continue
		}
		for _, m := range d.mentions(module.File) {
			if m.obj != nil && (m.obj == obj || obj.Builtin != nil && m.obj.Builtin == obj.Builtin) {
				all = append(all, m)
			}
		}
	}
	return all
}

// isTheme reports whether a file is a part of the library.
func (d *Document) isTheme(m *check.Module) bool {
	return m != d.Program.Main && m.File.Source.Library
}
