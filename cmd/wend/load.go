package main

import (
	"wend/cmd/wend/engine"
	"wend/cmd/wend/kind"
	"wend/lang/diag"
	"wend/lang/source"
)

// load reads a file that can be drawn, of whatever kind, and makes it ready. The
// program is nil if any of the list is an error.
func (c console) load(name, command string, settings engine.Settings) (*engine.Program, diag.List) {
	in, err := c.readInput(name)
	if err != nil {
		return nil, engine.Faults(err)
	}
	return in.load(command, settings)
}

// load makes of an input what can be drawn.
func (in input) load(command string, settings engine.Settings) (*engine.Program, diag.List) {
	make, ok := loaders[in.kind]
	if !ok {
		return nil, engine.Faults(wrongKind(in, command, "name a program, a drawing (SVG), a photo or an instruction file"))
	}
	file, err := in.text()
	if err != nil {
		return nil, engine.Faults(err)
	}
	return make(file, settings)
}

// loaders are the kinds that can be drawn: one row a kind.
var loaders = map[kind.Kind]func(*source.File, engine.Settings) (*engine.Program, diag.List){
	kind.Program:      engine.Load,
	kind.Instructions: engine.Trace,
	kind.Drawing:      engine.Picture,
	kind.Photo:        engine.Photo,
}

// readProgramFile reads a program; files that are plainly of another kind are
// refused by name.
func (c console) readProgramFile(name, command string) (*source.File, error) {
	in, err := c.readInput(name)
	if err != nil {
		return nil, err
	}
	if in.kind != kind.Program {
		return nil, wrongKind(in, command, "name a program, such as a file that ends in .wend")
	}
	return in.text()
}

// wrongKind says what a file is that a command does not work with. Of what is
// not known, it says where it is no text.
func wrongKind(in input, command, want string) error {
	if in.kind == kind.Unknown {
		if _, err := in.text(); err != nil {
			return err
		}
	}
	return aboutFile(in.name, "file-kind", diag.Args{"kind": in.kind.Described(), "command": "wend " + command, "want": want})
}
