package assist

import (
	"strings"
	"unicode"

	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/types"
)

// members are what can follow a dot: of a theme or a used file what it defines, of
// any other value its measures, its fields, and the functions that take it
// first.
func (c *completer) members() {
	dot := c.last
	if name := c.text(dot - 1); c.kind(dot-1) == ast.NameToken && c.text(dot-2) != "." {
		if obj := c.target(c.scope, name); obj != nil && obj.Kind == check.ModuleRef {
			c.membersOf(name, obj)
			return
		}
	}
	kinds := c.receiver(dot)
	known := kinds != types.Unknown
	if !known {
		kinds = types.Any
	}
	for _, f := range types.Fields {
		if !kinds.Has(f.Of) {
			continue
		}
		w, ok := c.Words.Lookup("." + f.Name)
		if !ok {
			continue
		}
		page := wordPage(w)
		page.Name, page.Value = f.Name, valueOf(f.Result, f.Unit)
		c.add(page, f.Name, known)
	}
	if kinds.Has(types.Record) {
		for _, name := range c.fieldNames() {
			c.add(Page{Name: name, Sort: Field, Forms: []string{"." + name}, Doc: "A field of a record."}, name, known)
		}
	}
	for _, obj := range c.scope.names {
		if (obj.Kind == check.Function || obj.Kind == check.Figure) && len(obj.Params) > 0 {
			first := obj.Params[0].Object
			c.add(c.page(obj), obj.Name, known && first != nil && first.Kinds.Has(kinds))
		}
	}
	for _, b := range c.Program.Library.Builtins {
		if b.Value || c.method(b.Name) == nil {
			continue
		}
		for _, f := range b.Forms {
			if len(f.Params) > 0 && f.Result != types.Nothing && f.Params[0].Kinds.Has(kinds) {
				if w, ok := c.Words.Lookup(b.Name); ok {
					c.add(wordPage(w), b.Name, known && f.Params[0].Kinds&types.Any != types.Any)
				}
				break
			}
		}
	}
}

// membersOf are what a theme or a used file defines.
func (c *completer) membersOf(name string, of *check.Object) {
	if of.Module != nil {
		for _, member := range sortedKeys(of.Module.Members) {
			if obj := of.Module.Members[member]; obj.Kind != check.ModuleRef {
				c.add(c.page(obj), member, true)
			}
		}
		return
	}
	if of.Place.Known() {
		return // a file that could not be read
	}
	for _, theme := range c.Words.Themes() {
		for _, w := range theme.Words {
			if member, ok := strings.CutPrefix(w.Name, name+"."); ok {
				c.add(wordPage(w), member, true)
			}
		}
	}
}

// receiver are the kinds of the value before a dot.
func (c *completer) receiver(dot int) types.Kind {
	end := 0
	if dot > 0 {
		end = c.tokens()[dot-1].Span.End
	}
	var found ast.Expr
	for _, n := range c.around(c.tokens()[dot].Span.End) {
		if f, ok := n.(*ast.Field); ok && f.X.Place().End == end {
			found = f.X
		}
	}
	if found != nil {
		if k := c.kindsOf(found); k != types.Unknown {
			return k
		}
	}
	switch c.kind(dot - 1) {
	case ast.NameToken:
		if c.text(dot-2) != "." {
			if obj := c.target(c.scope, c.text(dot-1)); obj != nil {
				return kindsOfObject(obj)
			}
		}
	case ast.TextToken:
		return types.Text
	case ast.NumberToken:
		return types.Number
	}
	return types.Unknown
}

// fieldNames are the names of the fields of all records that the program makes.
func (d *Document) fieldNames() []string {
	names := map[string]bool{}
	for _, m := range d.Program.Modules {
		ast.Walk(m.File, func(n ast.Node) bool {
			if f, ok := n.(*ast.RecordField); ok && f.Name.Name != "" && isName(f.Name.Name) {
				names[f.Name.Name] = true
			}
			return true
		})
	}
	for _, obj := range d.Program.Refs {
		if obj.Kind == check.Builtin {
			for _, name := range obj.Builtin.Fields {
				if name != types.AnyField {
					names[name] = true
				}
			}
		}
	}
	return sortedKeys(names)
}

// isName reports whether a field can be read after a dot.
func isName(text string) bool {
	for i, r := range text {
		if r != '_' && !unicode.IsLetter(r) && (i == 0 || r < '0' || r > '9') {
			return false
		}
	}
	return text != ""
}
