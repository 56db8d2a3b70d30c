package stdlib_test

import (
	"sort"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/runtime/value"
)

func TestFunctionsOfListsAndTexts(t *testing.T) {
	double := fn(func(x value.Value) value.Value { return value.Number(2 * x.Number()) })
	big := fn(func(x value.Value) value.Value { return value.Bool(x.Number() > 2) })
	minus := fn(func(x value.Value) value.Value { return value.Number(-x.Number()) })
	add := value.OfFunction(&function{func(args ...value.Value) (value.Value, error) {
		return value.Number(args[0].Number() + args[1].Number()), nil
	}})
	for _, c := range []struct {
		name string
		args []any
		want string
	}{
		{"map", []any{[]any{1, 2, 3}, double}, "[2, 4, 6]"},
		{"keep", []any{[]any{1, 2, 3, 4}, big}, "[3, 4]"},
		{"fold", []any{[]any{1, 2, 3}, 10, add}, "16"},
		{"fold", []any{[]any{}, 10, add}, "10"},
		{"sort", []any{[]any{5, 2, 9}, nil}, "[2, 5, 9]"},
		{"sort", []any{[]any{5, 2, 9}, minus}, "[9, 5, 2]"},
		{"sort", []any{[]any{"pear", "fig", "Fig"}, nil}, `["Fig", "fig", "pear"]`},
		{"sort", []any{[]any{}, nil}, "[]"},
		{"sum", []any{[]any{1, 2, 3.5}}, "6.5"},
		{"sum", []any{[]any{}}, "0"},
		{"sum", []any{[]any{pt(1, 2), pt(3, 4)}}, "(4, 6)"},
		{"zip", []any{[]any{1, 2}, []any{"a", "b"}}, `[[1, "a"], [2, "b"]]`},
		{"fill", []any{3, "x"}, `["x", "x", "x"]`},
		{"fill", []any{0, "x"}, "[]"},
		{"contains", []any{[]any{1, "a"}, "a"}, "true"},
		{"contains", []any{[]any{1, "1"}, true}, "false"},
		{"find", []any{[]any{5, 2, 9, 2}, 2}, "2"},
		{"find", []any{[]any{5, 2}, "5"}, "0"},
		{"reverse", []any{[]any{1, 2, 3}}, "[3, 2, 1]"},
		{"find", []any{"moss", "s"}, "3"},
		{"find", []any{"moss", ""}, "1"},
		{"find", []any{"", "s"}, "0"},
		{"contains", []any{"moss", "moss"}, "true"},
		{"reverse", []any{"moss"}, "ssom"},
		{"split", []any{"  fern \t moss\n", nil}, `["fern", "moss"]`},
		{"split", []any{"a,b,,c", ","}, `["a", "b", "", "c"]`},
		{"split", []any{"abc", ""}, `["a", "b", "c"]`},
		{"split", []any{"", ""}, "[]"},
		{"split", []any{"", ","}, `[""]`},
		{"join", []any{[]any{"a", "b"}, ", "}, "a, b"},
		{"join", []any{[]any{}, ", "}, ""},
	} {
		require.Equal(t, c.want, call(t, c.name, c.args...).String(), "%s(%v)", c.name, c.args)
	}
}

// Characters are extended grapheme clusters as in UAX #29, and texts are
// compared in NFC.
func TestTextsAreCutBetweenWhatReadersTakeForCharacters(t *testing.T) {
	const decomposed, composed, flag, family = "e\u0301", "\u00e9", "🇸🇪", "👩‍👧"
	require.Equal(t, "2", call(t, "find", "c"+decomposed+"d", composed).String())
	require.Equal(t, "0", call(t, "find", "q\u0301x", "q").String(), "half a character is not found")
	require.Equal(t, "3", call(t, "find", "q\u0301xq", "q").String())
	require.Equal(t, "0", call(t, "find", flag, "\U0001F1EA").String())
	require.Equal(t, "3", call(t, "find", flag+family+"!", "!").String())
	require.Equal(t, family+flag+composed, call(t, "reverse", decomposed+flag+family).String())
	require.Len(t, call(t, "split", flag+family+decomposed, "").List(), 3)
	require.Equal(t, `["q́a", "b"]`, call(t, "split", "q\u0301aqb", "q").String())
	require.Equal(t, "b\r\na", call(t, "reverse", "a\r\nb").String())
}

func TestSplittingAndJoiningAreInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		letters := rapid.StringOf(rapid.RuneFrom([]rune("ab, é👩\u0301\u200d")))
		text, separator := letters.Draw(t, "text"), letters.Draw(t, "separator")
		parts := call(t, "split", text, separator)
		require.Equal(t, value.Text(text).Text(), call(t, "join", parts, separator).Text())
		require.Equal(t, value.Text(text).Text(), strings.Join(texts(call(t, "split", text, "")), ""))
	})
}

func texts(list value.Value) []string {
	var result []string
	for _, item := range list.List() {
		result = append(result, item.Text())
	}
	return result
}

func TestSortingIsStableAndComplete(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		keys := rapid.SliceOfN(rapid.IntRange(0, 5), 0, 30).Draw(t, "keys")
		items := make([]any, len(keys))
		for i, k := range keys {
			items[i] = []any{k, i}
		}
		sorted := call(t, "sort", items, fn(func(x value.Value) value.Value { return x.List()[0] })).List()
		require.Len(t, sorted, len(keys))
		require.True(t, sort.SliceIsSorted(sorted, func(i, j int) bool {
			a, b := sorted[i].List(), sorted[j].List()
			if a[0].Number() != b[0].Number() {
				return a[0].Number() < b[0].Number()
			}
			return a[1].Number() < b[1].Number()
		}))
	})
}

func TestResultsShareNoListWithTheirArguments(t *testing.T) {
	inner := value.List(values([]any{1, 2}))
	list := value.List([]value.Value{inner, value.Number(3)})
	for _, result := range []value.Value{
		call(t, "reverse", list).List()[1],
		call(t, "fill", 2, inner).List()[0],
		call(t, "zip", list, list).List()[0].List()[0],
		call(t, "keep", list, fn(func(value.Value) value.Value { return value.Bool(true) })).List()[0],
		call(t, "map", list, fn(func(x value.Value) value.Value { return x })).List()[0],
		call(t, "choose", []any{inner}),
		call(t, "shuffle", []any{inner}).List()[0],
		call(t, "fold", []any{}, inner, fn(func(x value.Value) value.Value { return x })),
	} {
		changed, _ := result.SetItem(0, value.Number(99))
		require.Equal(t, "[99, 2]", changed.String())
		require.Equal(t, "[1, 2]", inner.String())
	}
}

func TestListFaultsHaveTheirCodes(t *testing.T) {
	same := fn(func(x value.Value) value.Value { return x })
	require.EqualValues(t, "keep-test", faultOf(t, "keep", []any{1}, same))
	require.EqualValues(t, "sort-kinds", faultOf(t, "sort", []any{1, "a"}, nil))
	require.EqualValues(t, "sort-unordered", faultOf(t, "sort", []any{true}, nil))
	require.EqualValues(t, "list-item-kind", faultOf(t, "sum", []any{1, pt(1, 1)}))
	require.EqualValues(t, "list-item-kind", faultOf(t, "sum", []any{pt(1, 1), 1}))
	require.EqualValues(t, "list-item-kind", faultOf(t, "join", []any{"a", 1}, ""))
	require.EqualValues(t, "result-too-large", faultOf(t, "sum", []any{1e308, 1e308}))
	require.EqualValues(t, "zip-lengths", faultOf(t, "zip", []any{1}, []any{}))
	require.EqualValues(t, "fill-count", faultOf(t, "fill", -1, 0))
	require.EqualValues(t, "fill-count", faultOf(t, "fill", 1.5, 0))
	require.EqualValues(t, "empty-list", faultOf(t, "choose", []any{}))
}

func TestLongWorkIsChargedAndStopsAtTheLimit(t *testing.T) {
	items := make([]any, 1000)
	for i := range items {
		items[i] = i
	}
	points := make([]any, 1000)
	line := pathOf(0, pt(0, 0), pt(1, 1))
	for i := range points {
		points[i] = line
	}
	same := fn(func(x value.Value) value.Value { return x })
	yes := fn(func(value.Value) value.Value { return value.Bool(true) })
	sum := value.OfFunction(&function{func(args ...value.Value) (value.Value, error) { return args[0], nil }})
	long := strings.Repeat("word ", 400)
	for name, args := range map[string][]any{
		"map": {items, same}, "keep": {items, yes}, "fold": {items, 0, sum}, "sort": {items, nil}, "sum": {items},
		"zip": {items, items}, "fill": {1e12, 0}, "contains": {items, -1}, "find": {items, -1}, "max": {items},
		"reverse": {items}, "shuffle": {items}, "split": {long, " "}, "join": {points},
		"scale": {points, 2}, "rotate": {points, 2}, "mirror": {points, 2}, "move": {points, 2, 2}, "centered": {points},
		"fit": {points, 2, 2}, "along": {pathOf(0, pt(0, 0), pt(1e6, 0)), ngon(6, 1)},
	} {
		h := newHost(1)
		h.limit = 900
		_, err := native(name).Func(h, values(args))
		require.ErrorIs(t, err, errLimit, name)
	}
}
