package compile_test

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/check"
	"wend/lang/code"
	"wend/lang/compile"
	"wend/lang/parse"
	"wend/lang/source"
	"wend/lang/types"
)

var update = flag.Bool("update", false, "rewrite the golden listings")

// library is a few words of each sort.
func library() *types.Library {
	number := func(names ...string) (params []types.Param) {
		for _, name := range names {
			params = append(params, types.Param{Name: name, Kinds: types.Number})
		}
		return params
	}
	form := func(result types.Kind, params []types.Param) []types.Form {
		return []types.Form{{Params: params, Result: result}}
	}
	point := []types.Param{{Name: "p", Kinds: types.Point}}
	return &types.Library{Builtins: []*types.Builtin{
		{Name: "ahead", Op: types.Ahead, May: types.Draws, Forms: form(types.Nothing, number("distance"))},
		{Name: "turn", Op: types.Turn, May: types.Draws, Forms: form(types.Nothing, number("angle"))},
		{Name: "arc", Op: types.Arc, May: types.Draws, Forms: form(types.Nothing, number("radius", "angle"))},
		{Name: "reach", Op: types.Reach, May: types.Draws, Forms: append(form(types.Nothing, number("x", "y")), form(types.Nothing, point)...)},
		{Name: "note", Op: types.Note, Forms: form(types.Nothing, []types.Param{{Name: "value", Kinds: types.Any}})},
		{Name: "here", Op: types.Here, Value: true, May: types.Stylus, Forms: form(types.Point, nil)},
		{Name: "pi", Value: true, Forms: form(types.Number, nil)},
		{Name: "sin", Forms: form(types.Number, number("angle"))},
		{Name: "mod", Forms: form(types.Number, number("a", "b"))},
		{Name: "map", Forms: form(types.List, []types.Param{{Name: "list", Kinds: types.List}, {Name: "f", Kinds: types.Function}})},
	}}
}

func compiled(t testing.TB, name, text string) *code.Program {
	t.Helper()
	tree, diags := parse.File(source.New(name, text))
	require.False(t, diags.Failed(), "%v", diags)
	checked, diags := check.Check(tree, check.Options{Library: library()})
	require.False(t, diags.Failed(), "%v", diags)
	return compile.Program(checked)
}

func TestListings(t *testing.T) {
	files, err := filepath.Glob("testdata/*.wend")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			text, err := os.ReadFile(file)
			require.NoError(t, err)
			got := compiled(t, filepath.Base(file), string(text)).String()
			golden := strings.TrimSuffix(file, ".wend") + ".golden"
			if *update {
				require.NoError(t, os.WriteFile(golden, []byte(got), 0o644))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err)
			require.Equal(t, string(want), got)
		})
	}
}

func TestManyVariablesLiveOutsideTheFrame(t *testing.T) {
	var text strings.Builder
	for i := range 400 {
		text.WriteString("let v" + strings.Repeat("x", i) + " = 1\n")
	}
	program := compiled(t, "many.wend", text.String())
	require.Equal(t, 400-160, program.Funcs[0].Spilled)
}

func TestABodyThatNeedsTooManyRegistersFailsWhenRun(t *testing.T) {
	text := "let x = 1\nnote " + strings.Repeat("sin(x) - (", 130) + "x" + strings.Repeat(")", 130)
	program := compiled(t, "deep.wend", text)
	require.Len(t, program.Funcs[0].Code, 1)
	require.Equal(t, code.Fail, program.Funcs[0].Code[0].Op)
}

func TestCompilingTakesTimeInProportion(t *testing.T) {
	size := func(n int) int {
		return len(compiled(t, "long.wend", strings.Repeat("ahead 1; turn 2\n", n)).Funcs[0].Code)
	}
	require.Equal(t, 10*(size(1000)-1), size(10000)-1)
}

func BenchmarkCompile(b *testing.B) {
	text := strings.Repeat("loop i in 1..3 { if i > 2 { reach (i * 3, sin(i)) } else { ahead i + 1 } }\n", 50)
	tree, diags := parse.File(source.New("bench.wend", text))
	require.False(b, diags.Failed())
	checked, _ := check.Check(tree, check.Options{Library: library()})
	b.ReportAllocs()
	for b.Loop() {
		compile.Program(checked)
	}
}
