package engine_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/cmd/wend/engine"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/eval"
	"wend/runtime/machine"
	"wend/runtime/plan"
)

// A program that was run before is the same with what was kept as without: its
// line, what it says, and the work that it is charged.
func TestKeptResultsChangeNothing(t *testing.T) {
	for name, text := range map[string]string{
		"weave":    "let rings = (1..6).map(fn(k) = path { arc 3 * k, 360 })\nlet line = weave(rings)\nbegin page.center + line.start\ndraw line at page.center\nnote line.length\nlet again = weave(rings)\nnote again == line\n",
		"tour":     "let stones = (1..60).map(fn(k) = polar(4 * sqrt(k), 137.5 * k))\nlet ring = tour(stones, closed: true)\nbegin page.center + ring.start\ndraw ring at page.center\n",
		"halftone": "let line = halftone(image(\"moon.png\"), width: 16, minutes: 2)\nbegin line.start + (5, 5)\ndraw line at (5, 5)\n",
		"limit":    "loop 100000 {\n  note tour([(0, 0), (1, 0), (2, 1)]).length\n}\n",
	} {
		t.Run(name, func(t *testing.T) {
			results := eval.NewResults(1 << 20)
			run := func(kept *eval.Results) (*plan.Plan, diag.List) {
				program, list := engine.Load(source.New("p.wend", text), engine.Settings{Profile: machine.DeskToy(), Read: flowers, Results: kept})
				require.False(t, list.Failed(), "%v", list)
				return program.Draw(context.Background())
			}
			plain, said := run(nil)
			for range 3 {
				drawn, list := run(results)
				require.Equal(t, said, list)
				if plain != nil {
					require.Equal(t, plain.Sheets, drawn.Sheets)
					require.Equal(t, plain.Said, drawn.Said)
				}
			}
		})
	}
}

// A program with a picture in it, as the prompt runs it at every entry.
func BenchmarkHalftoneInAProgram(b *testing.B) {
	text := "let line = halftone(image(\"moon.png\"), width: 30)\nbegin line.start + (5, 5)\ndraw line at (5, 5)\n"
	for name, results := range map[string]*eval.Results{"anew": nil, "kept": eval.NewResults(engine.ResultsBytes)} {
		run := func() {
			program, list := engine.Load(source.New("p.wend", text), engine.Settings{Profile: machine.DeskToy(), Read: flowers, Results: results})
			if list.Failed() {
				b.Fatal(list)
			}
			if _, list = program.Draw(context.Background()); list.Failed() {
				b.Fatal(list)
			}
		}
		b.Run(name, func(b *testing.B) {
			run()
			for b.Loop() {
				run()
			}
		})
	}
}
