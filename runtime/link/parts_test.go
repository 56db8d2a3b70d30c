package link_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The parts of a link know each other in one direction: in what a type holds and
// in what its methods do, no part above it is named.
func TestThePartsOfALinkKnowOnlyThoseBelow(t *testing.T) {
	above := map[string][]string{
		"board":    {"position", "flow", "Link", "drawing", "journal", "Memory"},
		"position": {"board", "flow", "Link", "drawing", "journal"},
		"flow":     {"Link", "drawing", "journal", "Memory"},
		"journal":  {"board", "flow", "Link", "drawing", "position"},
	}
	seen := map[string]int{}
	names, err := os.ReadDir(".")
	require.NoError(t, err)
	files := token.NewFileSet()
	for _, entry := range names {
		if name := entry.Name(); !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(files, entry.Name(), nil, parser.SkipObjectResolution)
		require.NoError(t, err)
		for part, declared := range declarationsOf(file) {
			seen[part]++
			ast.Inspect(declared, func(n ast.Node) bool {
				if used, ok := n.(*ast.Ident); ok {
					require.NotContains(t, above[part], used.Name, "%s: %s", files.Position(used.Pos()), part)
				}
				return true
			})
		}
	}
	for part := range above {
		require.Positive(t, seen[part], part)
	}
}

// declarationsOf goes through what a file declares of each type: its parts, and its
// methods.
func declarationsOf(file *ast.File) func(yield func(part string, declared ast.Node) bool) {
	return func(yield func(string, ast.Node) bool) {
		for _, d := range file.Decls {
			switch d := d.(type) {
			case *ast.FuncDecl:
				if d.Recv == nil {
					continue
				}
				of := d.Recv.List[0].Type
				if star, ok := of.(*ast.StarExpr); ok {
					of = star.X
				}
				if !yield(of.(*ast.Ident).Name, d) {
					return
				}
			case *ast.GenDecl:
				for _, spec := range d.Specs {
					if declared, ok := spec.(*ast.TypeSpec); ok && !yield(declared.Name.Name, declared.Type) {
						return
					}
				}
			}
		}
	}
}
