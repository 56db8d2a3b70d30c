package parse_test

import (
	"testing"

	"wend/lang/ast"
	"wend/lang/diag"
	"wend/lang/parse"
	"wend/lang/source"
)

func FuzzFileReadsAnyText(f *testing.F) {
	for _, text := range programs(f) {
		f.Add(text)
	}
	for _, page := range diag.Pages() {
		if page.Subject == diag.Program && len(page.Bad) < 1000 {
			f.Add(page.Bad)
		}
	}
	for _, text := range []string{
		"note \"{f(path { ahead 5 }, \"{x\"})}\"", "((((((", "))))", "{[(}])", "\"{\"{\"{", "\\u{", "x = [\n(\n{", "else else {", "if a { } else b { }",
		"fn(", "fn (a", "figure", "loop", "use", "curve t in", "draw at", "let", "return )", "a.b[1](2).", "1.2.3.4", "1__", "x.y.", "\xff\xfe", "\ufeff\ufeff",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		src := source.New("fuzz", text)
		file, list := parse.File(src)
		requireWellFormed(t, file)
		lines := map[int]bool{}
		for _, d := range list {
			requirePlaced(t, src, d)
			line := src.LineOf(d.Span.Start)
			if lines[line] {
				t.Fatalf("two faults on line %d: %v", line, list)
			}
			lines[line] = true
		}
		ast.Walk(file, func(n ast.Node) bool {
			if _, bad := n.(*ast.Bad); bad && len(list) == 0 {
				t.Fatal("a part could not be read, and nothing is said about it")
			}
			return true
		})
		parse.Incomplete(src)
	})
}

func requirePlaced(t testing.TB, src *source.File, d diag.Diagnostic) {
	t.Helper()
	spans := []source.Span{d.Span}
	for _, r := range d.Related {
		spans = append(spans, r.Span)
	}
	for _, e := range d.Edits {
		spans = append(spans, e.Span)
	}
	for _, s := range spans {
		if s.File != src || s.Start < 0 || s.Start > s.End || s.End > len(src.Text) {
			t.Fatalf("%s names %d:%d in a text of %d bytes", d.Code, s.Start, s.End, len(src.Text))
		}
	}
}
