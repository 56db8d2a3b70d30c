package eval_test

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/code"
	"wend/runtime/eval"
	"wend/runtime/geom"
)

// A hill a thousandth as wide as the curve: no evenly spread samples find it, so
// who finds it has bounds.
const hill = "10 * exp(-((t - 37.12345) * 300)^2)"

// Each formula has a hill in it that is found by its bounds alone.
func TestFormulasAreFollowedInto(t *testing.T) {
	for name, program := range map[string]string{
		"a choice":                     `draw curve t in 0..100 = (t, if t < 50 { ` + hill + ` } else { 0 })`,
		"a chain of choices":           `draw curve t in 0..100 = (t, if t < 10 { 0 } else if t < 60 { ` + hill + ` } else { 0 })`,
		"a choice of points":           `draw curve t in 0..100 = if t < 50 { (t, ` + hill + `) } else { (t, 0) }`,
		"a choice in a function":       "fn f(t) = if t < 50 { " + hill + " } else { 0 }\ndraw curve t in 0..100 = (t, f(t))",
		"a choice that is not t's":     "let high = [true, false]\ndraw curve t in 0..100 = (t, if high[1] { " + hill + " } else { 1 / 0 })",
		"an item":                      "let xs = [0, 1]\ndraw curve t in 0..100 = (t, xs[2] * " + hill + ")",
		"an item of unknown kind":      "let xs = [\"a\", 1]\ndraw curve t in 0..100 = (t, xs[2] * " + hill + ")",
		"a point of a list":            "let ps = [(0, 0), (0, 1)]\ndraw curve t in 0..100 = ps[2] * " + hill + " + (t, 0)",
		"a part of a point of unknown": "let ps = [3, (0, 1)]\ndraw curve t in 0..100 = (t, ps[2].y * " + hill + ")",
		"a field":                      "let tree = {height: 1}\ndraw curve t in 0..100 = (t, tree.height * " + hill + ")",
		"a measure":                    "let xs = [7]\ndraw curve t in 0..100 = (t * page.width / 200, xs.length * " + hill + ")",
		"a sum":                        "draw curve t in 0..100 = (t, sum(map([1, 2], fn(x) = x / 3)) * " + hill + ")",
		"a text that is compared":      "let style = \"high\"\ndraw curve t in 0..100 = (t, if style == \"high\" { " + hill + " } else { 0 })",
		"an item in a function":        "let xs = [0, 1]\nfn f(t) = xs[2] * " + hill + "\ndraw curve t in 0..100 = (t, f(t))",
		"in a figure":                  "figure g(xs) { draw curve t in 0..100 = (t, xs[2] * " + hill + ") }\ng [0, 1]",
	} {
		t.Run(name, func(t *testing.T) {
			drawn, diags := eval.Run(context.Background(), compiled(t, program), options())
			require.Empty(t, diags)
			box := geom.Bounds(drawn.Sheets[0].Points)
			require.InDelta(t, 10, box.Max.Y, 0.06)
			require.InDelta(t, 100, box.Max.X, 1e-9)
		})
	}
	missed := run(t, "let f = fn(t) = "+hill+"\ndraw curve t in 0..100 = (t, f(t))")
	require.Less(t, geom.Bounds(missed.Sheets[0].Points).Max.Y, 5.0, "what is not followed is sampled, and misses the hill")
}

func TestJumpsInAChoiceAreFound(t *testing.T) {
	for _, formula := range []string{
		"(t, if 37.1234 < t < 37.1235 { 10 } else { 0 })",
		"(t, if t < 50 and t > 37.1234 or t >= 50 { 3 } else { 0 })",
		"(t, if t == 37.125 { 0 } else if t < 37.125 { 5 } else { 1 })",
	} {
		d := fault(t, "draw curve t in 0..100 = "+formula, options())
		require.Equal(t, "curve-jump", string(d.Code), formula)
		require.Contains(t, d.Message, "37.12", formula)
	}
	// Where both values meet there is no jump.
	drawn := run(t, "draw curve t in 0..100 = (t, if t < 37.125 { t } else { 74.25 - t })")
	require.InDelta(t, 37.125, geom.Bounds(drawn.Sheets[0].Points).Max.Y, 0.05)
}

// What might not be worked out at all is not worked out beforehand.
func TestABranchThatIsNotTakenIsNoFault(t *testing.T) {
	for _, program := range []string{
		"let xs = [1]\nfollow curve t in 0..100 = (t, if xs.length > 1 { xs[2] } else { 4 })",
		"let xs = [1]\nfollow curve t in 0..100 = (t, if t > 200 { xs[2] } else { 4 })",
		"let xs = [1]\nfollow curve t in 0..100 = (t, if t > 200 and xs[2] > 1 { 3 } else { 4 })",
		"let xs = [1]\nfn f(t) { if t > 200 { return xs[2] }; return 4 }\nfollow curve t in 0..100 = (t, f(t))",
	} {
		drawn, diags := eval.Run(context.Background(), compiled(t, program), options())
		require.False(t, diags.Failed(), program) // that it cannot be followed may be said
		require.InDelta(t, 4, geom.Bounds(drawn.Sheets[0].Points).Max.Y, 1e-9)
	}
	d := fault(t, "let xs = [1]\nfollow curve t in 0..100 = (t, xs[2])", options())
	require.Equal(t, "index-range", string(d.Code))
	require.Equal(t, "xs[2]", d.Span.Text())
}

// A formula that cannot be followed leaves no code of its parts behind.
func TestAFormulaThatIsNotFollowedKeepsItsOwnCodeAlone(t *testing.T) {
	program := compiled(t, "let xs = [1, 2]\nlet f = fn(t) = t\nfollow curve t in 0..4 = (xs[1], f(t))")
	for _, fn := range program.Funcs {
		if fn.Shape == code.Formula {
			require.Nil(t, fn.Jet)
			require.Equal(t, code.ReturnP, fn.Code[len(fn.Code)-1].Op)
		}
	}
}

// Where a condition cannot be followed, that is said; where it can, the narrow
// part is found; and where there is none, nobody is warned.
func TestConditionsInFormulasAreFollowedOrNamed(t *testing.T) {
	const narrow = "if abs(t - 0.123456) < 0.0003 { 30 } else { 0 }"
	for _, c := range []struct{ program, code string }{
		{"let c = curve t in 0..1 = (100 * t, " + narrow + ")", "curve-jump"},
		{"fn f(t) = " + narrow + "\nlet c = curve t in 0..1 = (100 * t, f(t))", "curve-jump"},
		{"let c = curve t in 0..1 = (100 * t, {h: " + narrow + "}.h)", "curve-jump"},
		{"let c = curve t in 0..1 = (100 * t, map([t], fn(t) = " + narrow + ")[1])", "curve-condition"},
		{"let f = fn(t) = " + narrow + "\nlet c = curve t in 0..1 = (100 * t, f(t))", "curve-condition"},
		{"let c = curve t in 0..1 = (100 * t, sum([t, " + narrow + "]))", "curve-condition"},
		{"fn f(t) = min([1, 2, t], fn(t) = " + narrow + ")\nlet c = curve t in 0..1 = (100 * t, f(t))", "curve-condition"},
		{"let c = curve t in 0..1 = (100 * t, fold([1, 2], t, fn(a, b) = if b > 1 { a } else { 2 * a }))", "curve-condition"},
		{"let c = curve t in 0..1 = (100 * t, fold([1, 2], t, fn(a, b) = a + b))", ""},
		{"let r = {a: 20, b: 3}\nlet c = curve t in 0..360 = (r.a * cos(t), r.b * sin(t))", ""},
	} {
		_, diags := eval.Run(context.Background(), compiled(t, c.program+"\nnote c.length"), options())
		var codes []string
		for _, d := range diags {
			codes = append(codes, string(d.Code))
		}
		require.Equal(t, c.code, strings.Join(codes, " "), c.program)
	}
}
