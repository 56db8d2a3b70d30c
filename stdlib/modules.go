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

// Parameters are the names of what a member of a theme takes, in order; none if the
// theme has no such member.
func Parameters(theme, member string) []string {
	file := Module(theme)
	if file == nil {
		return nil
	}
	var names []string
	for _, w := range moduleTheme(theme, file.Text).Words {
		if w.Member() != member {
			continue
		}
		_, list, _ := strings.Cut(strings.TrimSuffix(w.Forms[0], ")"), "(")
		for p := range strings.SplitSeq(list, ",") {
			p, _, _ = strings.Cut(p, "=")
			if p = strings.TrimSpace(p); p != "" {
				names = append(names, p)
			}
		}
	}
	return names
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
