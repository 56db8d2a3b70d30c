package eval_test

import (
	"context"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"wend/lang/compile"
	"wend/lang/diag"
	"wend/lang/types"
	"wend/runtime/eval"
	"wend/runtime/value"
	"wend/stdlib"
)

// countdown is a context that is cancelled after it has been asked so often,
// so that a test does not depend on time.
type countdown struct {
	left  atomic.Int64
	asked atomic.Int64
}

func (*countdown) Deadline() (time.Time, bool) { return time.Time{}, false }
func (*countdown) Done() <-chan struct{}       { return nil }
func (*countdown) Value(any) any               { return nil }
func (c *countdown) Err() error {
	c.asked.Add(1)
	if c.left.Add(-1) < 0 {
		return context.Canceled
	}
	return nil
}

func TestARunThatIsStoppedEndsWithinAQuantum(t *testing.T) {
	endless := map[string]string{
		"a loop":               "let n = 0\nloop while true { n = n + 1 }",
		"a count":              "loop 1e12 { let x = 1 }",
		"a range":              "loop i in 1..1e12 { let x = i }",
		"calls":                "fn f(n) { if n == 0 { return 0 }; return f(n - 1) + f(n - 1) }\nnote f(60)",
		"figures":              "figure f(n) { if n > 0 { f n - 1; f n - 1 } }\nf 60",
		"figures as values":    "figure f(n) { if n > 0 { let p = f(n - 1); let q = f(n - 1) } }\nf 60",
		"a library function":   "let xs = 1..1000\nloop 1e9 { note sum(map(xs, fn(x) = x * x)) }",
		"turning on the spot":  "loop 1e12 { turn 1 }",
		"long texts":           "let s = \"\"\nloop 1e9 { let u = \"{s}a\"; s = u[1..0] }",
		"branches on the spot": "loop 1e9 { branch { turn 1 } }",
	}
	for name, program := range endless {
		t.Run(name, func(t *testing.T) {
			stopped := &countdown{}
			stopped.left.Store(3)
			_, diags := eval.Run(stopped, compiled(t, program), options())
			require.Len(t, diags, 1)
			require.Equal(t, diag.Code("run-stopped"), diags[0].Code)
			require.Equal(t, int64(4), stopped.asked.Load(), "it ends when it first learns that it is stopped")
		})
	}
}

// Operations are counted exactly by a library function that is called in each
// pass: between the one that stops the run and its end lies at most a quantum.
func TestFewOperationsFollowAStop(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	calls, after := 0, 0
	tick := &types.Builtin{Name: "tick", Forms: []types.Form{{Result: types.Number}}}
	native := value.Native{Builtin: tick, Func: func(value.Host, []value.Value) (value.Value, error) {
		if calls++; calls == 50_000 {
			stop()
		}
		if ctx.Err() != nil {
			after++
		}
		return value.Number(1), nil
	}}
	library := &types.Library{Builtins: append([]*types.Builtin{tick}, stdlib.Library().Builtins...)}
	program := compiledWith(t, "let n = 0\nloop while true { n = n + tick() }", library)
	with := options()
	with.Natives = append(with.Natives, native)
	_, diags := eval.Run(ctx, program, with)
	require.Equal(t, diag.Code("run-stopped"), diags[0].Code)
	require.LessOrEqual(t, after, eval.Quantum)
}

func TestAFaultOfALibraryFunctionIsNoFaultOfTheProgram(t *testing.T) {
	broken := &types.Builtin{Name: "broken", Forms: []types.Form{{Result: types.Number}}}
	native := value.Native{Builtin: broken, Func: func(value.Host, []value.Value) (value.Value, error) {
		var items []int
		return value.Number(float64(items[3])), nil
	}}
	library := &types.Library{Builtins: append([]*types.Builtin{broken}, stdlib.Library().Builtins...)}
	with := options()
	with.Natives = append(with.Natives, native)
	_, diags := eval.Run(context.Background(), compiledWith(t, "loop 2 { note broken() }", library), with)
	require.Equal(t, diag.Code("internal-fault"), diags[0].Code)
	require.Equal(t, "broken()", diags[0].Span.Text())
	require.Equal(t, "pass 1 of the loop", diags[0].Trail[0].Text)
}

func TestLimits(t *testing.T) {
	limits := eval.Limits{Operations: 200_000, Points: 1000, Depth: 100, Bytes: 1 << 18}
	for _, test := range []struct{ name, program, code string }{
		{"operations", "loop while true { turn 1 }", "too-many-operations"},
		{"points of the line", "loop 2000 { ahead 1; turn 1 }", "too-many-points"},
		{"points of a path", "draw path { loop 2000 { ahead 1; turn 1 } }", "too-many-points"},
		{"points of one curve", "begin 50, 50\narc 1e8, 360", "too-many-points"},
		{"points of a formula", "draw curve t in 0..360 = (1e6 * sin(t), 1e6 * cos(t))", "too-many-points"},
		{"points of curves in paths in paths", "figure f(n) { arc 50, 360; if n > 0 { draw f(n - 1) } }\nf 40", "too-many-points"},
		{"depth of calls", "fn f(n) = f(n + 1) + 1\nnote f(1)", "too-deep"},
		{"depth of figures", "figure f() { f }\nf", "too-deep"},
		{"depth of paths", "figure f() { draw f() }\nf", "too-deep"},
		{"depth through the library", "fn f(x) = sum(map([x], f))\nnote f(1)", "too-deep"},
		{"a long list", "let xs = 1..100000\nnote xs.length", "too-much-memory"},
		{"a list that grows", "let xs = []\nloop while true { xs = xs + xs + [1] }", "too-much-memory"},
		{"lists that are kept", "let xs = []\nloop while true { xs = xs + [[1, 2, 3]] }", "too-much-memory"},
		{"texts that are kept", "let xs = []\nlet n = 0\nloop while true { n = n + 1; xs = xs + [\"number {n}\"] }", "too-much-memory"},
		{"functions that are kept", "let fs = []\nlet n = 0\nloop while true { n = n + 1; fs = fs + [fn() = n] }", "too-much-memory"},
		{"paths that are kept", "let ps = []\nloop while true { ps = ps + [path { ahead 1 }] }", "too-m"},
		{"a text of one pass", "note split(join(fill(1000, \"abc\"), \",\"), \",\").length\nlet s = \"abc\"\nloop 30 { s = join([s, s], s) }", "too-m"},
	} {
		t.Run(test.name, func(t *testing.T) {
			with := options()
			with.Limits = limits
			d := fault(t, test.program, with)
			require.Contains(t, string(d.Code), test.code, d.Message)
			require.True(t, d.Span.Known())
			require.LessOrEqual(t, len(d.Trail), 30)
		})
	}
}

func TestTrailsAreFoundByRunningAgain(t *testing.T) {
	program := compiled(t, `figure petal(n) { loop 2 { ahead n; turn 90 } }
begin 10, 10
loop i in 1..3 { petal i }
erase
draw petal(5)
arc 3, 90`)
	drawn, _ := eval.Run(context.Background(), program, options())
	wanted := []eval.Segment{{Sheet: 0, Index: 3}, {Sheet: 0, Index: 0}, {Sheet: 0, Index: 5}, {Sheet: 1, Index: 0}, {Sheet: 1, Index: 2}, {Sheet: 1, Index: 2}}
	found, err := eval.Trails(context.Background(), program, options(), wanted)
	require.NoError(t, err)
	text := func(s eval.Segment) (out []string) {
		for _, f := range found[s] {
			out = append(out, f.Text)
		}
		return out
	}
	require.Equal(t, []string{"pass 1 of the loop", "in petal", "pass 1 of the loop"}, text(wanted[1]))
	require.Equal(t, []string{"pass 2 of the loop", "in petal", "pass 2 of the loop"}, text(wanted[0]))
	require.Equal(t, []string{"pass 3 of the loop", "in petal", "pass 2 of the loop"}, text(wanted[2]))
	require.Empty(t, text(wanted[3]))
	require.Len(t, found, 5)
	_, err = eval.Trails(context.Background(), program, options(), []eval.Segment{{Sheet: 0, Index: len(drawn.Sheets[0].Place)}})
	require.Error(t, err)
}

func FuzzProgramsEndWithAPlanOrADiagnostic(f *testing.F) {
	for _, test := range sayings {
		f.Add(test.program)
	}
	for _, test := range faults {
		f.Add(test.program)
	}
	for _, test := range drawings {
		f.Add(test.program)
	}
	for _, page := range diag.Pages() {
		if page.Subject == diag.Program {
			f.Add(page.Bad)
		}
	}
	for _, text := range []string{
		"let r = {a: 1, b: {c: [1]}}\nr.b.c[1] += 2\nr.b[\"c\"] = []\nnote r.b\n", "let trees = [{h: 1}]\nloop i, t in trees { trees[i].h *= t.h }\nnote (trees[1].h)\n",
		"let k = if true { 1 } else if false { 2 } else { {a: 3}.a }\nnote k + if k == 1 { 1 } else { 0 }\n", "fn last(xs) = xs[-1]\nlet xs = [[1]]\nloop x in xs { xs += [x]; xs = xs[2..-1]; x = 1 }\nnote last(xs)\n",
		"follow path { ahead 5 }\nfollow [path { ahead 1 }]\nerase\nbegin 3, 4\n", "let d = data(\"walk.csv\")\nnote d[1].x\nloop i, row in d { note row[\"height (m)\"] }\n",
		"let x = {if: 1, else: 2,\n}\nnote x.if; x.else -= 1; x -= 1\n",
	} {
		f.Add(text)
	}
	natives := stdlib.Natives()
	f.Fuzz(func(t *testing.T, text string) {
		checked, diags := read(text)
		if diags.Failed() {
			return
		}
		with := options()
		with.Natives = natives
		with.Limits = eval.Limits{Operations: 100_000, Points: 10_000, Depth: 200, Bytes: 1 << 22}
		drawn, found := eval.Run(context.Background(), compile.Program(checked), with)
		require.Equal(t, drawn == nil, found.Failed())
		for _, d := range found {
			require.NotEqual(t, diag.Code("internal-fault"), d.Code, "%s\n%s", d.Message, text)
		}
		if drawn == nil {
			return
		}
		for _, s := range drawn.Sheets {
			require.Len(t, s.Place, len(s.Points)-1)
			for i, p := range s.Points {
				require.True(t, p.Finite())
				require.True(t, i == 0 || p != s.Points[i-1])
			}
		}
	})
}
