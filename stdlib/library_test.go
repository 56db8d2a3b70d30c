package stdlib_test

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/parse"
	"wend/lang/types"
	"wend/lang/vocabulary"
	"wend/stdlib"
)

var keywords = func() map[string]bool {
	known := map[string]bool{}
	for _, k := range stdlib.Vocabulary().Words(vocabulary.Keyword) {
		known[k.Name] = true
	}
	return known
}()

func TestEveryWordIsDescribed(t *testing.T) {
	sentence := regexp.MustCompile(`^\S.*[.]$`)
	seen := map[string]bool{}
	for _, b := range stdlib.Library().Builtins {
		t.Run(b.Name, func(t *testing.T) {
			require.False(t, seen[b.Name], "two words of one name")
			require.False(t, keywords[b.Name])
			seen[b.Name] = true
			require.NotEmpty(t, b.Theme)
			require.Regexp(t, sentence, b.Doc)
			require.True(t, strings.HasSuffix(b.Example, "\n"))
			require.NotEmpty(t, b.Forms)
			for _, form := range b.Forms {
				params := map[string]bool{}
				for i, p := range form.Params {
					require.Regexp(t, `^[a-z][a-z0-9]*$`, p.Name)
					require.False(t, keywords[p.Name], "%s is a keyword", p.Name)
					require.False(t, params[p.Name], "two parameters of one name")
					params[p.Name] = true
					require.NotZero(t, p.Kinds)
					require.True(t, !p.Rest || i == len(form.Params)-1, "only the last parameter takes the rest")
					require.True(t, i == 0 || p.Optional || !form.Params[i-1].Optional, "optional parameters come last")
				}
				require.NotZero(t, form.Result)
				require.True(t, !b.Value || len(form.Params) == 0)
			}
		})
	}
}

func TestEveryWordIsCarriedOutInOneWay(t *testing.T) {
	natives := map[*types.Builtin]bool{}
	for _, n := range stdlib.Natives() {
		require.Same(t, n.Builtin, stdlib.Library().Lookup(n.Name))
		require.NotNil(t, n.Func, n.Name)
		natives[n.Builtin] = true
		for _, form := range n.Forms {
			require.True(t, n.Num1 == nil || fast(n.Forms, 1), "%s has a fast form of one number", n.Name)
			require.True(t, n.Num2 == nil || fast(n.Forms, 2), "%s has a fast form of two numbers", n.Name)
			require.NotEqual(t, types.Nothing, form.Result, "a function gives a value")
		}
	}
	for _, b := range stdlib.Library().Builtins {
		require.NotEqual(t, b.Op != types.NoOp, natives[b], "%s: an op or a function", b.Name)
	}
}

// fast reports whether a form takes just so many numbers and gives one.
func fast(forms []types.Form, count int) bool {
	for _, form := range forms {
		numbers := len(form.Params) == count && form.Result == types.Number
		for _, p := range form.Params {
			numbers = numbers && p.Kinds == types.Number && !p.Optional && !p.Rest
		}
		if numbers {
			return true
		}
	}
	return false
}

func TestWordsThatDrawOnTheRandomSequenceSaySo(t *testing.T) {
	for _, n := range stdlib.Natives() {
		wanted := types.Effect(0)
		if n.Name == "random" || n.Name == "choose" || n.Name == "shuffle" {
			wanted = types.Chance
		}
		require.Equal(t, wanted, n.May, n.Name)
	}
}

func TestThemesInWendAreCheckedWithoutAWord(t *testing.T) {
	for _, name := range stdlib.Modules() {
		tree, list := parse.File(stdlib.Module(name))
		require.Empty(t, list)
		_, list = check.Check(tree, check.Options{Library: stdlib.Library(), Module: func(name string) *ast.File {
			theme, _ := parse.File(stdlib.Module(name))
			return theme
		}})
		require.Empty(t, list)
	}
	require.Nil(t, stdlib.Module("no such theme"))
}

func TestTheReferenceHoldsEveryWordAndEveryMemberOfATheme(t *testing.T) {
	entries := map[string]vocabulary.Word{}
	for _, section := range stdlib.Vocabulary().Themes() {
		require.NotEmpty(t, section.Title)
		require.NotEmpty(t, section.Intro)
		for _, e := range section.Words {
			require.NotEmpty(t, e.Doc, e.Name)
			if e.Sort != vocabulary.Statement && e.Sort != vocabulary.Function && e.Sort != vocabulary.Value {
				continue
			}
			require.NotContains(t, entries, e.Name)
			require.NotEmpty(t, e.Example, e.Name)
			require.NotEmpty(t, e.Forms)
			entries[e.Name] = e
		}
	}
	for _, b := range stdlib.Library().Builtins {
		require.Contains(t, entries, b.Name)
	}
	count := len(stdlib.Library().Builtins)
	for _, name := range stdlib.Modules() {
		tree, _ := parse.File(stdlib.Module(name))
		for _, stmt := range tree.Body {
			member, ok := "", true
			switch def := stmt.(type) {
			case *ast.FuncDef:
				member = def.Name.Name
			case *ast.FigureDef:
				member = def.Name.Name
			default:
				ok = false
			}
			// What has no page is the theme's own: it is not shown, and not completed.
			if _, shown := entries[name+"."+member]; ok && shown {
				count++
			}
		}
	}
	require.Len(t, entries, count, "and nothing else")
	require.Equal(t, []string{"fit(line, width:, height:)"}, entries["fit"].Forms)
	require.Equal(t, []string{"reach x, y", "reach p"}, entries["reach"].Forms)
	require.Equal(t, []string{"mix(a, b, t)"}, entries["mix"].Forms)
	require.Equal(t, []string{"here"}, entries["here"].Forms)
	require.Equal(t, []string{"curves.lissajous(a, b, width, height, phase = 0)"}, entries["curves.lissajous"].Forms)
}
