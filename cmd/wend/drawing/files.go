package drawing

import (
	"path/filepath"
	"strings"

	"wend/cmd/wend/kind"
	"wend/lang/diag"
	"wend/lang/source"
)

// named finds a file that a text of the program names: it lies beside that text
// or below.
func (p *Program) named(from *source.File, path string) (use, error) {
	name := filepath.FromSlash(path)
	if !filepath.IsLocal(name) {
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
