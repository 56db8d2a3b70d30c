package eval_test

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/lang/compile"
	"wend/lang/diag"
	"wend/runtime/eval"
)

// What a loop takes of its item when the pass begins is what the item was then,
// whatever the pass does to the list.
func TestALoopThatChangesItsListReadsTheItemAsItWas(t *testing.T) {
	for program, want := range map[string]string{
		"let ws = [{x: 1, y: 2}]\nloop i, w in ws {\n  ws[i].x += 5\n  ws[i].y = w.x\n  note w.x + w.y\n}\nnote ws":                      "3 | [{x: 6, y: 1}]",
		"let ws = [{x: 1}, {x: 2}]\nlet old = ws\nloop i, w in ws { ws[i].x += w.x }\nnote old\nnote ws":                                 "[{x: 1}, {x: 2}] | [{x: 2}, {x: 4}]",
		"let ws = [{x: 1}, {x: 2}]\nlet kept = []\nloop i, w in ws {\n  ws[i].x += 1\n  kept += [w]\n}\nnote kept":                       "[{x: 1}, {x: 2}]",
		"let ws = [{x: [1]}]\nlet kept = []\nloop i, w in ws {\n  ws[i].x += [2]\n  kept += [w.x]\n}\nnote kept\nnote ws":                "[[1]] | [{x: [1, 2]}]",
		"let ws = [[1], [2, 3]]\nloop i, w in ws {\n  ws[i] += [9]\n  note w.length\n}\nnote ws":                                         "1 | 2 | [[1, 9], [2, 3, 9]]",
		"let ws = [{x: 1}, {x: 2}]\nloop i, w in ws {\n  ws[i].x = 7\n  loop j, u in ws {\n    ws[i].x += 1\n    note w.x + u.x\n  }\n}": "8 | 3 | 11 | 9",
		"let ws = [{x: 1}, {x: 2}]\nloop i, w in ws {\n  ws[3 - i].x += 10\n  note w.x\n}\nnote ws":                                      "1 | 2 | [{x: 11}, {x: 12}]",
		"let r = {ws: [{x: 1}, {x: 2}]}\nlet s = r\nloop i, w in r.ws { r.ws[i].x += w.x }\nnote r\nnote s":                              "{ws: [{x: 2}, {x: 4}]} | {ws: [{x: 1}, {x: 2}]}",
		"let ws = [{x: 1}, {x: 2}]\nloop i, w in ws {\n  ws[i].x = 5\n  let f = fn() = w.x\n  note f()\n}":                               "1 | 2",
		"fn f(v) = v\nlet ws = [f({x: 1}), f((3, 4))]\nloop i, w in ws {\n  ws[i] = 0\n  note w.x\n}":                                    "1 | 3",
	} {
		require.Equal(t, want, strings.ReplaceAll(said(run(t, program+"\nahead 1")), "\n", " | "), program)
	}
}

// A loop over a list gives what a loop over the places of a copy gives, whatever
// its body does to the list.
func TestALoopRunsOverItsListAsItWas(t *testing.T) {
	statements := []string{
		"ws[i].x += w.y", "ws[i].y = w.x * 2", "ws[i] = {x: w.x + 1, y: w.y, z: [i]}", "ws[i].z += [w.x]", "ws[i].z[1] -= w.y",
		"ws[1].x -= 1", "ws[-1] = ws[i]", "ws += [w]", "ws = ws + [{x: i, y: 1, z: [0]}]", "kept += [w]", "kept += [{x: w.x, y: w.y, z: w.z}]",
		"old = ws", "note w.x + w.y", "note w.z", "if true { let f = fn() = w.z; note f() }", "loop j, u in ws { ws[j].y += w.x + u.x }",
		"loop j, u in ws { ws[i].x += u.y }", "if i > 1 { ws[i - 1].x = w.x }", "if mod(i, 2) == 0 { continue }",
	}
	rapid.Check(t, func(t *rapid.T) {
		body := strings.Join(rapid.SliceOfN(rapid.SampledFrom(statements), 1, 6).Draw(t, "body"), "\n  ")
		program := func(head string) string {
			return "let ws = [{x: 1, y: 2, z: [3]}, {x: 4, y: 5, z: [6]}, {x: 7, y: 8, z: [9]}]\nlet kept = []\nlet old = ws\n" +
				head + body + "\n}\nnote ws\nnote kept\nnote old\nahead 1\n"
		}
		want, diags := finished(program("let copy = ws\nloop i in 1..3 {\n  let w = copy[i]\n  "))
		require.Empty(t, diags)
		got, diags := finished(program("loop i, w in ws {\n  "))
		require.Empty(t, diags)
		require.Equal(t, want, got, body)
	})
}

// finished gives the notes of a program, each without its line number.
func finished(text string) (string, diag.List) {
	checked, diags := read(text)
	if diags.Failed() {
		return "", diags
	}
	p, diags := eval.Run(context.Background(), compile.Program(checked), options())
	if diags.Failed() {
		return "", diags
	}
	return said(p), nil
}
