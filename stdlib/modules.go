package stdlib

import (
	"embed"
	"strings"

	"wend/lang/source"
)

//go:embed *.wend
var moduleFiles embed.FS

// Modules are the names of the themes written in wend, in order.
func Modules() []string {
	entries, err := moduleFiles.ReadDir(".")
	if err != nil {
		panic(err) // the folder is part of the program itself
	}
	names := make([]string, len(entries))
	for i, entry := range entries {
		names[i] = strings.TrimSuffix(entry.Name(), ".wend")
	}
	return names
}

// Module is the text of a theme written in wend, or nil if there is none of
// that name.
func Module(name string) *source.File {
	text, err := moduleFiles.ReadFile(name + ".wend")
	if err != nil {
		return nil
	}
	file := source.New("<"+name+">", string(text))
	file.Library = true
	return file
}

// Members are the names that a theme written in wend defines.
func Members(name string) []string {
	file := Module(name)
	if file == nil {
		return nil
	}
	var names []string
	for _, w := range moduleTheme(name, file.Text).Words {
		names = append(names, w.Member())
	}
	return names
}
