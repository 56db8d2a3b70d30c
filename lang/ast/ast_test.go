package ast_test

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/ast"
	"wend/lang/ast/asttest"
	"wend/lang/parse"
	"wend/lang/source"
)

// corpus is a tree that holds every kind of node.
func corpus(t *testing.T) []*ast.File {
	names, err := filepath.Glob("../parse/testdata/programs/*.wend")
	require.NoError(t, err)
	require.NotEmpty(t, names)
	var files []*ast.File
	for _, name := range names {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		file, list := parse.File(source.New(name, string(text)))
		require.Empty(t, list)
		files = append(files, file)
	}
	return files
}

func TestWalkVisitsEveryNodeOnceInSourceOrder(t *testing.T) {
	kinds := map[string]bool{}
	for _, file := range corpus(t) {
		seen := map[ast.Node]bool{}
		last := 0
		ast.Walk(file, func(n ast.Node) bool {
			require.False(t, seen[n])
			seen[n] = true
			kinds[reflect.TypeOf(n).Elem().Name()] = true
			require.GreaterOrEqual(t, n.Place().Start, last, "%T", n)
			last = n.Place().Start
			return true
		})
	}
	for _, kind := range strings.Fields("File Ident Block Param Arg Use Let Assign FuncDef FigureDef Repeat LoopIn LoopWhile If Return Break " +
		"Continue Draw Branch Do NumberLit TextLit TextPart BoolLit NameExpr PointLit ListLit Range Unary Binary Compare Call " +
		"Index Field Paren FuncLit PathLit Curve") {
		require.True(t, kinds[kind], "the corpus has no %s", kind)
	}
}

// A walk that finds children by reflection must find the same ones, so a field
// added to a node cannot be left out.
func TestChildrenAreAllNodesThatANodeHolds(t *testing.T) {
	node := reflect.TypeFor[ast.Node]()
	var held func(v reflect.Value, out map[ast.Node]bool)
	held = func(v reflect.Value, out map[ast.Node]bool) {
		switch v.Kind() {
		case reflect.Slice:
			for i := range v.Len() {
				held(v.Index(i), out)
			}
		case reflect.Interface, reflect.Pointer:
			if !v.IsNil() && v.Type().Implements(node) {
				out[v.Interface().(ast.Node)] = true
			}
		case reflect.Struct:
			if v.Type() != reflect.TypeFor[ast.Spanned]() && v.CanAddr() && v.Addr().Type().Implements(node) {
				out[v.Addr().Interface().(ast.Node)] = true
			}
		}
	}
	for _, file := range corpus(t) {
		ast.Walk(file, func(n ast.Node) bool {
			want := map[ast.Node]bool{}
			value := reflect.ValueOf(n).Elem()
			for i := range value.NumField() {
				if name := value.Type().Field(i).Name; name != "Comments" && name != "Spanned" {
					held(value.Field(i), want)
				}
			}
			got := map[ast.Node]bool{}
			for _, child := range ast.Children(n) {
				got[child] = true
			}
			require.Equal(t, want, got, "%T", n)
			return true
		})
	}
}

func TestWalkLeavesOutWhatItIsToldTo(t *testing.T) {
	file, _ := parse.File(source.New("test", "loop 3 {\n  ahead 5\n}\nturn 7"))
	var numbers []float64
	ast.Walk(file, func(n ast.Node) bool {
		if n, ok := n.(*ast.NumberLit); ok {
			numbers = append(numbers, n.Value)
		}
		_, block := n.(*ast.Block)
		return !block
	})
	require.Equal(t, []float64{3, 7}, numbers)
}

func TestDumpShowsOneNodeALine(t *testing.T) {
	file, _ := parse.File(source.New("test", "ahead -5mm # on"))
	require.Equal(t, `File
  Do
    Call
      NameExpr ahead
      Arg
        Unary -
          NumberLit 5mm
  Comment "# on"
`, asttest.Dump(file, false))
	require.Contains(t, asttest.Dump(file, true), "Unary - [6:10]\n")
}
