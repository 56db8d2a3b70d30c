package assist

import (
	"fmt"
	"strings"

	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/types"
	"wend/lang/vocabulary"
)

// Page is what there is to say about a name.
type Page struct {
	Name    string
	Sort    Sort
	Forms   []string // the ways to write it
	Value   string   // what it can hold or gives, in words: "a number, in mm"
	Doc     string
	Example string // a whole program; empty for names of the program itself
}

// Sort is what a name stands for.
type Sort uint8

// What names stand for.
const (
	Keyword Sort = iota
	Statement
	Function
	Figure
	Variable
	Parameter
	Module
	Measure // read after a dot
	Field   // of a record
	Word    // any other word of the table: a kind, a unit, a term
)

func (s Sort) String() string {
	return [...]string{"keyword", "statement", "function", "figure", "variable", "parameter", "theme", "measure", "field", "word"}[s]
}

// ofWord is the sort of a word of the table.
func ofWord(w vocabulary.Word) Sort {
	switch w.Sort {
	case vocabulary.Keyword:
		return Keyword
	case vocabulary.Statement:
		return Statement
	case vocabulary.Function:
		return Function
	case vocabulary.Value:
		return Variable
	case vocabulary.Measure:
		return Measure
	}
	return Word
}

// wordPage is the page of a word of the table.
func wordPage(w vocabulary.Word) Page {
	return Page{Name: w.Name, Sort: ofWord(w), Forms: w.Forms, Doc: w.Doc, Example: w.Example}
}

// pageOf is the page of what a name stands for.
func (d *Document) pageOf(obj *check.Object) Page {
	return d.pageIn(obj, nil)
}

// pageIn is pageOf with the comments of the files, if they were read already.
func (d *Document) pageIn(obj *check.Object, read comments) Page {
	p := Page{Name: obj.Name}
	switch obj.Kind {
	case check.Builtin:
		if w, ok := d.Words.Lookup(obj.Name); ok {
			p = wordPage(w)
			if obj.Builtin.Value {
				p.Value = valueOf(obj.Builtin.Forms[0].Result, obj.Builtin.Forms[0].Unit)
			}
		}
		return p
	case check.ModuleRef:
		p.Sort, p.Forms = Module, []string{obj.Name}
		if theme, ok := d.Words.Theme(obj.Name); ok && obj.Place.File == nil {
			p.Doc = theme.Intro
		}
		return p
	case check.Function, check.Figure:
		name := obj.Name
		if obj.Module != nil && obj.Module.Name != "" {
			name = obj.Module.Name + "." + name
			if w, ok := d.Words.Lookup(name); ok {
				return wordPage(w)
			}
		}
		p.Sort = Function
		if obj.Kind == check.Figure {
			p.Sort = Figure
		} else {
			p.Value = valueOf(obj.Result, types.Plain)
		}
		for _, f := range formsOf(obj, name) {
			p.Forms = append(p.Forms, f.Label)
		}
	case check.Parameter:
		p.Sort, p.Forms, p.Value = Parameter, []string{obj.Name}, valueOf(obj.Kinds, obj.Unit)
	default:
		p.Sort, p.Forms, p.Value = Variable, []string{obj.Name}, valueOf(obj.Kinds, obj.Unit)
	}
	if read == nil && obj.Place.Known() {
		read = commentsOf(d.fileOf(obj))
	}
	if obj.Kind != check.Parameter {
		p.Doc = read.about(obj.Place)
	}
	return p
}

// fileOf is the file that defines a name.
func (d *Document) fileOf(obj *check.Object) *ast.File {
	for _, m := range d.Program.Modules {
		if m.File.Source == obj.Place.File {
			return m.File
		}
	}
	return d.Program.Main.File
}

// valueOf says what a value can be, in words; empty where anything can be.
func valueOf(k types.Kind, u types.Unit) string {
	switch {
	case k == types.Unknown, k&types.Any == types.Any, k == types.Nothing:
		return ""
	case k == types.Number && u == types.Length:
		return "a number, in mm"
	case k == types.Number && u == types.Angle:
		return "a number, in degrees"
	}
	return k.String()
}

// Text is the page in plain words: how it is written, what it can be, what it
// does.
func (p Page) Text() string {
	var out strings.Builder
	for _, form := range p.Forms {
		out.WriteString(form + "\n")
	}
	if p.Value != "" {
		fmt.Fprintf(&out, "%s: %s\n", p.Sort, p.Value)
	}
	if p.Doc != "" {
		out.WriteString(p.Doc + "\n")
	}
	return out.String()
}
