package eval_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/types"
	"wend/stdlib"
)

// Calls of each form of each word that has several, with what they give.
var forms = []struct {
	word string
	form int // which of the word's forms it is
	args []string
	want string
}{
	{"contains", 0, []string{"[5, \"oss\"]", "\"oss\""}, "true"},
	{"contains", 1, []string{"\"moss\"", "\"oss\""}, "true"},
	{"find", 0, []string{"[5, \"s\"]", "\"s\""}, "2"},
	{"find", 1, []string{"\"moss\"", "\"s\""}, "3"},
	{"behind", 0, []string{"[path { ahead 5 }, path { ahead 7 }]"}, "[path of 2 points, 5 mm, path of 2 points, 7 mm]"},
	{"behind", 1, []string{"path { ahead 5 }", "move(path { loop 4 { ahead 2; turn 90 } }, 2, -1)"}, "[path of 2 points, 2 mm, path of 2 points, 1 mm]"},
	{"reverse", 0, []string{"path { ahead 5; turn 90; ahead 2 }"}, "path of 3 points, 7 mm"},
	{"reverse", 1, []string{"[1, \"a\", (2, 3)]"}, "[(2, 3), \"a\", 1]"},
	{"reverse", 2, []string{"\"moss\""}, "ssom"},
	{"join", 0, []string{"path { ahead 5 }", "path { ahead 6; turn 9 }"}, "path of 3 points, 11 mm"},
	{"join", 1, []string{"[path { ahead 5 }, path { ahead 7 }]"}, "path of 3 points, 12 mm"},
	{"join", 2, []string{"[\"fern\", \"moss\"]", "\"-\""}, "fern-moss"},
	{"min", 0, []string{"3", "2"}, "2"},
	{"min", 1, []string{"3", "2", "1"}, "1"},
	{"min", 2, []string{"[3, 4]"}, "3"},
	{"min", 3, []string{"[\"fern\", \"ivy\"]", "fn(t) = t.length"}, "ivy"},
	{"max", 0, []string{"3", "2"}, "3"},
	{"max", 1, []string{"3", "2", "9"}, "9"},
	{"max", 2, []string{"[3, 4]"}, "4"},
	{"max", 3, []string{"[\"fern\", \"ivy\"]", "fn(t) = t.length"}, "fern"},
	{"mix", 0, []string{"3", "5", "0.5"}, "4"},
	{"mix", 1, []string{"(3, 4)", "(5, 8)", "0.5"}, "(4, 6)"},
	{"near", 0, []string{"3", "3.0001"}, "true"},
	{"near", 1, []string{"(3, 4)", "(3, 5)"}, "false"},
	{"scale", 0, []string{"path { ahead 5 }", "2"}, "path of 2 points, 10 mm"},
	{"scale", 1, []string{"path { ahead 5 }", "3", "4"}, "path of 2 points, 15 mm"},
	{"move", 0, []string{"path { ahead 5 }", "3", "4"}, "path of 2 points, 5 mm"},
	{"move", 1, []string{"path { ahead 5 }", "(3, 4)"}, "path of 2 points, 5 mm"},
	{"round", 0, []string{"2.345"}, "2"},
	{"round", 1, []string{"2.345", "1"}, "2.3"},
	{"number", 0, []string{"\"12\""}, "12"},
	{"number", 1, []string{"\"twelve\"", "\"none\""}, "none"},
	{"noise", 0, []string{"1", "2", "3"}, "0"},
	{"noise", 1, []string{"1", "2"}, "0"},
	{"noise", 2, []string{"1"}, "0"},
	{"random", 0, nil, "0.5666"},
	{"random", 1, []string{"0"}, "0"},
	{"random", 2, []string{"4", "4"}, "4"},
}

// A word with several forms takes what its reference promises wherever it is
// called from: the kinds of its arguments may be known before the program runs,
// or only then.
func TestWordsOfSeveralFormsAreChosenByTheirArguments(t *testing.T) {
	held := map[string]map[int]bool{}
	for _, c := range forms {
		if held[c.word] == nil {
			held[c.word] = map[int]bool{}
		}
		held[c.word][c.form] = true
		t.Run(fmt.Sprint(c.word, "-", c.form), func(t *testing.T) {
			values := strings.Join(c.args, ", ")
			names := []string{"a", "b", "c"}[:len(c.args)]
			params := strings.Join(names, ", ")
			var items []string
			for i := range c.args {
				items = append(items, fmt.Sprintf("all[%d]", i+1))
			}
			// Something of every kind, so that nothing is known of an item.
			rest := `1, "a", (1, 2), true, [1], {a: 1}, sin, path { ahead 1 }`
			list := "let all = [" + strings.Join(append(append([]string{}, c.args...), rest), ", ") + "]\n"
			unknown := strings.Join(items, ", ")
			for _, program := range []string{
				fmt.Sprintf("note %s(%s)", c.word, values),
				fmt.Sprintf("%snote %s(%s)", list, c.word, unknown),
				fmt.Sprintf("%sfn f(%s) = %s(%s)\nnote f(%s)", list, params, c.word, params, unknown),
				fmt.Sprintf("%sfn f(%s) {\nlet r = %s(%s)\nreturn r\n}\nnote f(%s)", list, params, c.word, params, unknown),
				fmt.Sprintf("let f = %s\nnote f(%s)", c.word, values),
				fmt.Sprintf("%slet r = map([0], fn(x) = %s(%s))\nnote r[1]", list, c.word, unknown),
			} {
				require.Equal(t, c.want, said(run(t, program)), program)
			}
		})
	}
	for _, b := range stdlib.Library().Builtins {
		if b.Op != types.NoOp || len(b.Forms) < 2 {
			continue
		}
		for i := range b.Forms {
			require.True(t, held[b.Name][i], "form %d of `%s` is called nowhere", i, b.Name)
		}
	}
}

// Functions are called with each of the forms in one program.
func TestAFunctionCallsAWordInEachOfItsForms(t *testing.T) {
	byArity := map[string][]int{}
	for i, c := range forms {
		if len(c.args) > 0 {
			key := fmt.Sprint(c.word, len(c.args))
			byArity[key] = append(byArity[key], i)
		}
	}
	for _, rows := range byArity {
		first := forms[rows[0]]
		params := strings.Join([]string{"a", "b", "c"}[:len(first.args)], ", ")
		program := fmt.Sprintf("fn f(%s) = %s(%s)\n", params, first.word, params)
		var want []string
		for _, row := range rows {
			program += "note f(" + strings.Join(forms[row].args, ", ") + ")\n"
			want = append(want, forms[row].want)
		}
		require.Equal(t, strings.Join(want, "\n"), said(run(t, program)), program)
	}
}

func TestArgumentsThatFitNoFormAreFaultsAtTheOneThatMisfits(t *testing.T) {
	const all = "let all = [1, \"a\", (1, 2), true, [1], {a: 1}, sin, path { ahead 1 }]\n"
	for _, c := range []struct{ call, at, message string }{
		{"reverse(all[1])", "all[1]", "`line` of `reverse` has to be a text, path or list, and here it is a number"},
		{"find(all[3], 1)", "all[3]", "`items` of `find` has to be a list, and here it is a point"},
		{"find(all[2], all[1])", "all[1]", "`part` of `find` has to be a text, and here it is a number"},
		{"contains(all[1], all[1])", "all[1]", "`items` of `contains` has to be a text or list, and here it is a number"},
		{"join(all[8], all[2])", "all[2]", "`others` of `join` has to be a path, and here it is a text"},
		{"join(all[5], all[8])", "all[8]", "`separator` of `join` has to be a text, and here it is a path"},
		{"min(all[1], all[3])", "all[3]", "`b` of `min` has to be a number, and here it is a point"},
		{"min(all[5], all[1])", "all[1]", "`key` of `min` has to be a function, and here it is a number"},
		{"mix(all[3], all[1], 0)", "all[1]", "`b` of `mix` has to be a point, and here it is a number"},
		{"near(all[1], all[3])", "all[3]", "`b` of `near` has to be a number, and here it is a point"},
		{"move(all[8], all[2])", "all[2]", "`offset` of `move` has to be a point, and here it is a text"},
		{"scale(all[8], all[8])", "all[8]", "`factor` of `scale` has to be a number, and here it is a path"},
	} {
		d := fault(t, all+"note "+c.call, options())
		require.Equal(t, "value-kind", string(d.Code), c.call)
		require.Equal(t, c.message, d.Message, c.call)
		require.Equal(t, c.at, d.Span.Text(), c.call)
	}
}
