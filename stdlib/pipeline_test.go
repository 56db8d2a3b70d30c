package stdlib_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/diag"
	"wend/lang/parse"
	"wend/lang/source"
	"wend/stdlib"
)

// flowers is the file that the examples of `use` use.
const flowers = `figure tulip(height) {
  ahead height
  loop 3 { arc height * 0.3, 70; turn 50 }
}
`

// checked reads and checks a program, with everything there is to say about it.
func checked(t *testing.T, name, text string) (*check.Program, diag.List) {
	t.Helper()
	tree, list := parse.File(source.New(name, text))
	program, more := check.Check(tree, check.Options{
		Library: stdlib.Library(),
		Load: func(_ *source.File, path string) (*ast.File, diag.List) {
			require.Equal(t, "flowers.wend", path)
			return parse.File(source.New(path, flowers))
		},
		Module: func(name string) *ast.File {
			tree, list := parse.File(stdlib.Module(name))
			require.Empty(t, list)
			return tree
		},
	})
	return program, append(list, more...)
}
