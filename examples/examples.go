// Package examples holds the example programs, each with what it uses, and the
// lessons.
package examples

import (
	"embed"
	"io/fs"
	"path"
	"slices"
	"strings"
)

//go:embed *.wend */*.wend */*.svg */*.png */*.csv
var files embed.FS

//go:embed lessons
var lessons embed.FS

// Lessons are the folders of the lessons, in order: NN-name with its page.md,
// start.wend, teacher.md and tasks (cmd/wend/lesson says what stands in them).
func Lessons() fs.FS {
	folder, _ := fs.Sub(lessons, "lessons") // the name is well formed
	return folder
}

// Names are the names of all examples, in order.
func Names() []string {
	found, _ := fs.Glob(files, "*.wend") // the pattern is well formed
	for i, name := range found {
		found[i] = strings.TrimSuffix(name, ".wend")
	}
	slices.Sort(found)
	return found
}

// Program is the text of an example.
func Program(name string) (string, bool) {
	text, err := files.ReadFile(name + ".wend")
	return string(text), err == nil && !strings.Contains(name, "/")
}

// Beside are the files that an example uses, by the path that it names them by.
func Beside(name string) map[string]string {
	used := map[string]string{}
	entries, _ := files.ReadDir(name) // none for most
	for _, e := range entries {
		from := path.Join(name, e.Name())
		if text, err := files.ReadFile(from); err == nil {
			used[from] = string(text)
		}
	}
	return used
}
