package engine

import (
	"errors"
	"path/filepath"
	"strings"

	"wend/cmd/wend/kind"
	"wend/lang/ast"
	"wend/lang/diag"
	"wend/lang/source"
)

// named finds a file that a text of the program names: it lies beside that text
// or below. The program of a picture names the one file that it was made for, which
// may lie anywhere.
func (p *Program) named(from *source.File, path string) (use, error) {
	name := filepath.FromSlash(path)
	if p.picture == nil && !filepath.IsLocal(name) {
		return use{}, &diag.Fault{Code: "file-outside", Args: diag.Args{"name": path}}
	}
	program, isUsed := p.users[from]
	if !isUsed {
		program = from.Name
	}
	return use{program, filepath.Join(filepath.Dir(from.Name), name)}, nil
}

// read gives the evaluator what a program reads while it runs. All runs of a
// program are given the same, also when the file has changed since.
func (p *Program) read(from *source.File, path string) (*source.File, error) {
	this, err := p.named(from, path)
	if err != nil {
		return nil, err
	}
	if before, ok := p.data[this]; ok {
		return before, nil
	}
	file, err := p.Read(this.program, this.path)
	if err == nil {
		p.data[this] = file
	}
	return file, err
}

// Text is a file as a text: UTF-8 without a byte-order mark. The error is a
// diag.List with the place at which it is none.
func Text(file *source.File) (*source.File, error) {
	if text, marked := strings.CutPrefix(file.Text, "\uFEFF"); marked {
		file = source.New(file.Name, text)
	}
	fault, ok := kind.Text([]byte(file.Text))
	if ok {
		return file, nil
	}
	d := diag.New("file-not-text", source.Span{File: file, Start: fault.Offset, End: fault.Offset + 1}, diag.Args{
		"name": file.Name, "reason": fault.Reason,
	})
	if fault.Way != "" {
		d.Hint = fault.Way
	}
	return nil, diag.List{d}
}

// readers are the words of the library that read a file.
var readers = map[string]bool{"drawing": true, "image": true, "data": true}

// absent names files that are not there, in a program that does not run for other
// reasons: who put in a wrong name should not hear of it last.
func (p *Program) absent(tree *ast.File) diag.List {
	if p.Read == nil {
		return nil
	}
	own := map[string]bool{}
	for _, s := range tree.Body {
		switch s := s.(type) {
		case *ast.FuncDef:
			own[s.Name.Name] = true
		case *ast.FigureDef:
			own[s.Name.Name] = true
		case *ast.Let:
			own[s.Name.Name] = true
		}
	}
	var list diag.List
	ast.Walk(tree, func(n ast.Node) bool {
		call, ok := n.(*ast.Call)
		if !ok || len(call.Args) == 0 {
			return true
		}
		word, ok := call.Fn.(*ast.NameExpr)
		text, isText := call.Args[0].Value.(*ast.TextLit)
		if !ok || !isText || !readers[word.Name] || own[word.Name] {
			return true
		}
		name, plain := text.Plain()
		if !plain {
			return true
		}
		_, err := p.read(tree.Source, name)
		var fault *diag.Fault
		if errors.As(err, &fault) && fault.Code == "file-missing" {
			list = append(list, fault.At(text.Place()))
		}
		return true
	})
	return list
}
