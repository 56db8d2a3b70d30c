package eval_test

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/compile"
	"wend/lang/diag"
	"wend/runtime/eval"
)

func TestEachPagesExamplesGiveExactlyItsCodeAndNone(t *testing.T) {
	small := options()
	small.Limits = eval.Limits{Operations: 300_000, Points: 20_000, Depth: 2_000, Bytes: 1 << 20}
	all := func(text string) diag.List {
		checked, diags := read(text)
		if diags.Failed() {
			return diags
		}
		_, found := eval.Run(context.Background(), compile.Program(checked), small)
		return append(diags, found...)
	}
	tested := 0
	for _, page := range diag.Pages() {
		if page.Subject != diag.Program || !raisedHere(page.Code) {
			continue
		}
		tested++
		t.Run(string(page.Code), func(t *testing.T) {
			var codes []diag.Code
			for _, d := range all(page.Bad) {
				codes = append(codes, d.Code)
				require.Equal(t, page.Severity, d.Severity)
				require.NotRegexp(t, `\{\w`, d.Message+d.Hint, "a place of the message is not filled")
				require.True(t, d.Span.Known())
			}
			require.Equal(t, []diag.Code{page.Code}, codes)
			require.Empty(t, all(page.Good))
		})
	}
	require.Greater(t, tested, 20)
}

// raisedHere reports whether the evaluator is what raises a code.
func raisedHere(code diag.Code) bool {
	switch code {
	case "value-kind", "argument-count", "argument-left-out", "handed-function", "divide-by-zero", "result-beyond-numbers", "no-power",
		"too-far", "radius-negative", "passes-whole", "range-step", "range-endless", "index-range", "index-empty",
		"index-whole", "seed-whole", "curve-jump", "curve-undefined", "curve-by-rule", "curve-condition", "too-many-operations",
		"too-many-points", "too-much-memory", "too-deep":
		return true
	}
	return false
}

// Programs that go wrong while they run: the code, the text that is pointed at,
// and the trail.
var faults = []struct{ name, program, code, at, trail string }{
	{"divide", "let n = 0\nnote 1 + 3 / n", "divide-by-zero", "3 / n", ""},
	{"divide by a constant 0", "note 3 / 0", "divide-by-zero", "3 / 0", ""},
	{"divide in a list", "let xs = [1, 0]\nnote xs[1] / xs[2]", "divide-by-zero", "xs[1] / xs[2]", ""},
	{"0 to a negative power", "let z = 0\nnote z^-1", "no-power", "z^-1", ""},
	{"a function that the library cannot call", "fn g(a, b) = a\nnote map([1, 2], g)", "handed-function", "map([1, 2], g)", ""},
	{"a library function that the library cannot call", "let m = map\nnote m([1, 2], atan2)", "handed-function", "m([1, 2], atan2)", ""},
	{"a function for fewer values", "note map([1, 2], fn(x) = fold([1, x], 0, fn(y) = y))", "handed-function", "fold([1, x], 0, fn(y) = y)", "in a function"},
	{"sum too large", "let x = 1e308\nnote x + x", "result-beyond-numbers", "x + x", ""},
	{"fused product too large", "let x = 1e200\nlet y = 1\nnote x * x + y", "result-beyond-numbers", "x * x + y", ""},
	{"power too large", "let x = 10\nnote x^400", "result-beyond-numbers", "x^400", ""},
	{"point divided by 0", "let p = (1, 2)\nlet n = 0\nnote p / n", "divide-by-zero", "p / n", ""},
	{"kinds of operators", "let xs = [1, \"a\", (1, 2)]\nnote xs[1] - xs[2]", "operator-kinds", "xs[1] - xs[2]", ""},
	{"text plus", "let xs = [1, \"a\"]\nnote xs[2] + xs[1]", "text-plus", "xs[2] + xs[1]", ""},
	{"list plus", "let xs = [1, [2]]\nnote xs[2] + xs[1]", "list-plus", "xs[2] + xs[1]", ""},
	{"negate", "let xs = [1, \"a\"]\nnote -xs[2]", "negate-kind", "-xs[2]", ""},
	{"compare kinds", "let xs = [1, \"a\"]\nnote xs[1] == xs[2]", "compare-kinds", "xs[1] == xs[2]", ""},
	{"compare order", "let xs = [(1, 2), (3, 4), 5]\nnote xs[1] < xs[2]", "compare-order", "xs[1] < xs[2]", ""},
	{"condition", "let xs = [1, true]\nif xs[1] { ahead 1 }", "value-kind", "xs[1]", ""},
	{"loop over a number", "let xs = [1, [2]]\nloop x in xs[1] { note x }", "loop-values", "xs[1]", ""},
	{"items of a number", "let xs = [1, [2]]\nnote xs[1][1]", "no-items", "xs[1][1]", ""},
	{"place of another kind", "let xs = [1, \"a\"]\nnote xs[xs[2]]", "index-kind", "xs[xs[2]]", ""},
	{"place 0", "let xs = [1]\nnote xs[0]", "index-range", "xs[0]", ""},
	{"part outside", "let xs = [1, 2]\nnote xs[1..3]", "index-range", "xs[1..3]", ""},
	{"part from outside", "let xs = [1, 2]\nnote xs[4..3]", "index-range", "xs[4..3]", ""},
	{"assigning outside", "let xs = [1, 2]\nxs[3] = 1\nnote xs", "index-range", "xs[3]", ""},
	{"assigning into a number", "let xs = [1, [2]]\nxs[1][1] = 1\nnote xs", "assign-item", "xs[1][1]", ""},
	{"measure", "let xs = [1, \"a\"]\nnote xs[1].length", "no-measure", "length", ""},
	{"not a function", "let xs = [1, fn() = 2]\nlet f = xs[1]\nnote f(1)", "not-a-function", "f(1)", ""},
	{"unused value", "let fs = [fn() = 2]\nlet f = fs[1]\nf()", "value-not-used", "f()", ""},
	{"a name of a field that has a line break", "let r = [{\"a\\nb\": 1}]\nnote r[1][\"zzz\\nq\"]", "unknown-field", "r[1][\"zzz\\nq\"]", ""},
	{"many passes", "loop i in 1..20000 { ahead 1 / (12500 - i) }", "divide-by-zero", "1 / (12500 - i)", "pass 12 500 of the loop"},
	{"drawing a list", "let fs = [fn() = [2]]\nlet f = fs[1]\nf()", "draw-list", "f()", ""},
	{"drawing a number", "let xs = [1, path { ahead 1 }]\ndraw xs[1]", "draw-kind", "draw xs[1]", ""},
	{"library fault", "note sqrt(0 - 4)", "root-of-negative", "sqrt(0 - 4)", ""},
	{"library fault of boxed arguments", "let xs = [-4, \"a\"]\nnote sqrt(xs[1])", "root-of-negative", "sqrt(xs[1])", ""},
	{"read before its let", "fn f() = n + 1\nnote f()\nlet n = 3\nnote n", "used-before-let", "n", "in f"},
	{"read before its let, a text", "fn f() = n + \"a\"\nnote f()\nlet n = \"3\"\nnote n", "used-before-let", "n", "in f"},
	{"read before its let, a point", "fn f() = n + (1, 1)\nnote f()\nlet n = (1, 2)\nnote n", "used-before-let", "n", "in f"},
	{"trail of calls and loops", `figure petal(n) {
  loop i in 1..3 { if i == 2 { ahead 10 / n } }
}
loop 2 { turn 1 }
loop k in [5, 4, 0] {
  loop 2 { petal k }
}`, "divide-by-zero", "10 / n", "pass 3 of the loop | pass 1 of the loop | in petal | pass 2 of the loop"},
	{"trail through a path body and a library function", `let f = fn(x) = 1 / x
figure g() { draw path { ahead map([1, 0], f)[1] } }
g`, "divide-by-zero", "1 / x", "in g | in a path | in a function"},
	{"trail through a while loop", "let n = 3\nloop while true { n = n - 1; note 1 / n }", "divide-by-zero", "1 / n", "pass 3 of the loop"},
	{"formula", "draw curve t in 0..4 = (t, sqrt(2 - t))", "root-of-negative", "sqrt(2 - t)", "in the formula of a curve"},
	{"formula with a wrong value", "let xs = [1]\nlet f = fn(t) = t\ndraw curve t in 0..4 = f(t)", "value-kind", "f(t)", "in the formula of a curve"},
	{"begin after line", "let f = fn(x) = path { ahead x }\nf(3)\nbegin 1, 2", "begin-late", "begin 1, 2", ""},
}

func TestFaultsTellTheirPlaceAndTheWayThere(t *testing.T) {
	for _, test := range faults {
		t.Run(test.name, func(t *testing.T) {
			d := fault(t, test.program, options())
			require.Equal(t, test.code, string(d.Code), d.Message)
			require.Equal(t, test.at, d.Span.Text())
			var trail []string
			for _, f := range d.Trail {
				trail = append(trail, f.Text)
				require.True(t, f.Span.Known())
			}
			require.Equal(t, test.trail, strings.Join(trail, " | "))
			require.NotRegexp(t, `\{\w`, d.Message+d.Hint)
		})
	}
}

func TestAFunctionThatTheLibraryCannotCallIsNamedWithWhatItWouldBeGiven(t *testing.T) {
	for _, c := range []struct{ program, message, hint string }{
		{"note map([1], fn(a, b) = a)", "`map` calls its function with 1 value, and this function takes 2 values", "a function that fits begins `fn(x) = …`"},
		{"fn g() = 5\nnote map([1], g)", "`map` calls its function with 1 value, and `g` takes no values", ""},
		{"note fold([1], 0, fn(a, b, c, d = 2) = a)", "`fold` calls its function with 2 values, and this function takes 3 to 4 values", "a function that fits begins `fn(a, b) = …`"},
		{"let twice = fold\nnote twice([1], 0, sin)", "`fold` calls its function with 2 values, and `sin` takes 1 value", ""},
		{"note sort([1], fn(a, b) = a)", "`sort` calls its function with 1 value, and this function takes 2 values", ""},
	} {
		d := fault(t, c.program, options())
		require.Equal(t, c.message, d.Message)
		require.Contains(t, d.Hint, c.hint)
	}
	d := fault(t, "fn g() = 5\nnote map([1], g)", options())
	require.Equal(t, 1, d.Related[0].Span.From().Line)
	_, list := eval.Run(context.Background(), compiled(t, "note map([1], fn(a, b = 3) = a * b)\nnote fold([1, 2], 0, max)"), options())
	require.Empty(t, list)
}

func TestNumbersInMessagesAreNotRoundedToWhatIsAllowed(t *testing.T) {
	for program, message := range map[string]string{
		"turn asin(1.0000000001)":     "`asin` takes numbers from -1 to 1, not 1.0000000001",
		"turn acos(-1.00001)":         "`acos` takes numbers from -1 to 1, not -1.00001",
		"loop 2.0000001 { ahead 1 }":  "a loop cannot run 2.0000001 times",
		"note clamp(5, 1.00001, 1)":   "`clamp` was given 1.00001 as the lowest and 1 as the highest number",
		"note log(-1e-9)":             "`log` has no result for -1e-9: only numbers above 0 have one",
		"note exp(1e300)":             "the result of `exp` with 1e300 is too large to hold",
		"note 1.23456789e300 * 1e300": "1.23456789e300 * 1e300 is too large for a number",
		"ahead 1.5e300":               "the point (1.5e300, 0) is too far away to be drawn",
		"note 0^-1":                   "0 to the power of -1 has no real value",
		"note (0 - 8)^0.5":            "-8 to the power of 0.5 has no real value",
	} {
		require.Equal(t, message, fault(t, program, options()).Message, program)
	}
}

func TestALimitSaysWhereTheTimeWent(t *testing.T) {
	program := `fn slow(n) {
  let s = 0
  loop i in 1..n { s = s + i }
  return s
}
loop while true {
  note slow(1000)
}`
	with := options()
	with.Limits = eval.Limits{Operations: 1_000_000}
	d := fault(t, program, with)
	require.Equal(t, diag.Code("too-many-operations"), d.Code)
	require.NotEmpty(t, d.Related)
	require.Equal(t, "loop i in 1..n", d.Related[0].Span.Text())
	require.Contains(t, d.Related[0].Text, "% of the time")
}

func TestATextThatDoublesEndsAtTheMemoryLimit(t *testing.T) {
	d := fault(t, `let s = "ab"
loop 200 { s = s + s }
note s.length`, options())
	require.Equal(t, diag.Code("too-much-memory"), d.Code)
	require.Equal(t, "s + s", d.Span.Text())
}

func TestRubbishIsNotHeldAgainstAProgram(t *testing.T) {
	with := options()
	with.Limits = eval.Limits{Bytes: 1 << 20}
	_, diags := eval.Run(context.Background(), compiled(t, `let n = 0
loop 100000 {
  let xs = [1, 2, 3, 4, 5, 6, 7, 8]
  let s = "a text of some length, {n}"
  n = n + xs.length + s.length
}
note n`), with)
	require.Empty(t, diags)
}

// What a word works with counts as long as it works: lines that cross one another
// very often end at the limit, before the memory does. What one region after the
// other was worked on with is given back.
func TestAWordThatNeedsTooMuchMemoryEndsAtTheLimit(t *testing.T) {
	with := options()
	with.Limits = eval.Limits{Bytes: 1 << 20}
	_, diags := eval.Run(context.Background(), compiled(t, `let ps = (1..400).map(fn(k) = (random(0, 100), random(0, 100)))
note area(polyline(ps + [ps[1]]))`), with)
	require.Len(t, diags, 1)
	require.Equal(t, diag.Code("too-much-memory"), diags[0].Code)
	require.Contains(t, diags[0].Hint, "this word alone")
	_, diags = eval.Run(context.Background(), compiled(t, `let lines = (1..600).map(fn(k) = polyline([(0, 0), (50, k), (100, 0)]))
let beside = offset(lines, 1)
let hidden = behind(lines, polyline([(10, -9), (90, -9), (90, 900), (10, -9)]))`), with)
	require.Empty(t, diags)
}

func TestGrowingListsTakeTimeInProportion(t *testing.T) {
	with := options()
	with.Limits = eval.Limits{Operations: 3_000_000}
	for _, program := range []string{
		"let xs = []\nloop i in 1..200000 { xs = xs + [i] }\nnote xs.length",
		"let xs = fill(200000, 0)\nloop i in 1..200000 { xs[i] = i }\nnote xs.length",
		"note fold(1..200000, [], fn(all, x) = all + [x]).length",
		"let xs = [fill(200000, 0)]\nloop i in 1..200000 { xs[1][i] = i }\nnote xs[1].length",
	} {
		drawn, diags := eval.Run(context.Background(), compiled(t, program), with)
		require.Empty(t, diags, program)
		require.Equal(t, "200000", said(drawn))
	}
}

func TestARangeIsNotBuiltWhenLoopedOver(t *testing.T) {
	with := options()
	with.Limits = eval.Limits{Bytes: 1 << 16}
	_, diags := eval.Run(context.Background(), compiled(t, "loop i in 1..1e6 { if i == 5e5 { note i } }"), with)
	require.Empty(t, diags)
	_, diags = eval.Run(context.Background(), compiled(t, "let xs = 1..1e6\nnote xs.length"), with)
	require.True(t, diags.Failed())
}
