package assist

import (
	"maps"
	"slices"
	"strings"

	"wend/lang/ast"
	"wend/lang/source"
)

// comments are the comments of a file by the line on which they stand.
type comments map[*source.File]map[int]string

func commentsOf(files ...*ast.File) comments {
	all := comments{}
	for _, f := range files {
		for _, c := range f.Comments {
			if all[c.Span.File] == nil {
				all[c.Span.File] = map[int]string{}
			}
			all[c.Span.File][c.Span.File.LineOf(c.Span.Start)] = c.Span.Text()
		}
	}
	return all
}

// about is what a comment says about a definition: the one right above it, or
// else the one behind it on its line.
func (c comments) about(def source.Span) string {
	lines := c[def.File]
	if len(lines) == 0 {
		return ""
	}
	line := def.File.LineOf(def.Start)
	var above []string
	for n := line - 1; lines[n] != "" && alone(def.File, n); n-- {
		above = append(above, lines[n])
	}
	slices.Reverse(above)
	if len(above) == 0 && lines[line] != "" {
		above = []string{lines[line]}
	}
	return paragraph(above)
}

// alone reports whether a line holds nothing but a comment.
func alone(file *source.File, line int) bool {
	return strings.HasPrefix(strings.TrimSpace(file.Line(line)), "#")
}

// paragraph joins the lines of a comment; lines that are set in by four more
// blanks are an example, which is left out.
func paragraph(lines []string) string {
	var prose []string
	for _, line := range lines {
		line = strings.TrimPrefix(strings.TrimPrefix(line, "#"), " ")
		if text := strings.TrimSpace(line); text != "" && !strings.HasPrefix(line, "    ") {
			prose = append(prose, text)
		}
	}
	return strings.Join(prose, " ")
}

func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }
