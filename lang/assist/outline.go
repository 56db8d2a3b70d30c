package assist

import (
	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/source"
)

// Symbol is a definition of the program.
type Symbol struct {
	Page
	Span source.Span // of the whole definition
	At   source.Span // of its name
}

// Outline are the definitions of the whole main file, in order: figures,
// functions, used files and top-level variables.
func (d *Document) Outline() []Symbol {
	var all []Symbol
	read := commentsOf(d.Program.Main.File)
	for _, stmt := range d.Program.Main.File.Body {
		var obj *check.Object
		switch s := stmt.(type) {
		case *ast.Use, *ast.Let, *ast.FuncDef, *ast.FigureDef:
			obj = d.Program.Defs[s]
		}
		if obj != nil && obj.Name != "" {
			all = append(all, Symbol{Page: d.pageIn(obj, read), Span: stmt.Place(), At: obj.Place})
		}
	}
	return all
}
