package parse_test

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/ast"
	"wend/lang/ast/asttest"
	"wend/lang/parse"
	"wend/lang/source"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// programs are the texts of testdata/programs by name.
func programs(t testing.TB) map[string]string {
	t.Helper()
	files, err := filepath.Glob("testdata/programs/*.wend")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	texts := map[string]string{}
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		texts[strings.TrimSuffix(filepath.Base(file), ".wend")] = string(text)
	}
	return texts
}

func TestPositions(t *testing.T) {
	for name, text := range programs(t) {
		t.Run(name, func(t *testing.T) {
			file, list := parse.File(source.New(name, text))
			require.Empty(t, list)
			got := asttest.Dump(file, true)
			golden := filepath.Join("testdata", "programs", name+".tree")
			if *update {
				require.NoError(t, os.WriteFile(golden, []byte(got), 0o644))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err)
			require.Equal(t, string(want), got)
			requireWellFormed(t, file)
		})
	}
}

// requireWellFormed holds a tree to what every span must be: inside the text,
// inside its parent's, and after its elder sibling's.
func requireWellFormed(t testing.TB, file *ast.File) {
	t.Helper()
	size := len(file.Source.Text)
	var check func(n ast.Node)
	check = func(n ast.Node) {
		at := n.Place()
		if at.File != file.Source || at.Start < 0 || at.Start > at.End || at.End > size {
			t.Fatalf("%T has span %d:%d in a text of %d bytes", n, at.Start, at.End, size)
		}
		before := at.Start
		for _, child := range ast.Children(n) {
			c := child.Place()
			if c.Start < before || c.End > at.End {
				t.Fatalf("%T %d:%d holds %T %d:%d (after %d)", n, at.Start, at.End, child, c.Start, c.End, before)
			}
			before = c.End
			check(child)
		}
	}
	check(file)
	last := 0
	for _, c := range file.Comments {
		if c.Span.Start < last || c.Span.End > size || !strings.HasPrefix(c.Span.Text(), "#") {
			t.Fatalf("comment at %d:%d", c.Span.Start, c.Span.End)
		}
		last = c.Span.End
	}
}
