package stdlib_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/compile"
	"wend/lang/diag"
	"wend/runtime/eval"
	"wend/runtime/geom"
	"wend/runtime/plan"
	"wend/stdlib"
)

// pageMM is the page that examples are made for.
var pageMM = geom.Box{Max: geom.Point{X: 140, Y: 100}}

// drawn runs a program.
func drawn(t *testing.T, name, text string, toleranceMM float64) (*plan.Plan, diag.List) {
	t.Helper()
	program, list := checked(t, name, text)
	if list.Failed() {
		return nil, list
	}
	p, more := eval.Run(context.Background(), compile.Program(program), eval.Options{
		Natives: stdlib.Natives(), Seed: 1, Page: pageMM, ToleranceMM: toleranceMM, LineWidthMM: 0.5,
	})
	return p, append(list, more...)
}

// expectations are the texts that the comments behind `note` promise, in order.
func expectations(text string) []string {
	var want []string
	for line := range strings.Lines(text) {
		if statement, comment, ok := strings.Cut(line, "   # "); ok && strings.HasPrefix(statement, "note ") {
			want = append(want, strings.TrimSpace(comment))
		}
	}
	return want
}

func TestEveryExampleDrawsOnThePageOrSaysWhatItPromises(t *testing.T) {
	run := func(name, example string) {
		t.Run(name, func(t *testing.T) {
			p, list := drawn(t, name, example, 0.05)
			for _, d := range list {
				// A formula that calls noise is sampled by rule, and says so.
				require.True(t, d.Severity == diag.Warning && name == "noise", "%s: %s", d.Code, d.Message)
			}
			require.NotNil(t, p)
			want := expectations(example)
			var said []string
			for _, s := range p.Said {
				said = append(said, s.Text)
			}
			if len(want) > 0 {
				require.Equal(t, want, said)
			}
			pieces := 0
			for _, sheet := range p.Sheets {
				pieces += len(sheet.Points) - 1
				for _, at := range sheet.Points {
					require.True(t, pageMM.Grow(geom.SamePoint).Contains(at), "%v is off the page", at)
				}
			}
			require.True(t, pieces > 0 || len(want) > 0, "an example draws or says something")
		})
	}
	for _, section := range stdlib.Reference() {
		for _, entry := range section.Entries {
			run(entry.Name, entry.Example)
		}
	}
	for _, k := range stdlib.Keywords() {
		run(k.Word, k.Example)
	}
}

// lengthOf is the length of the path that an expression gives, at a tolerance
// of a thousandth of a millimetre.
func lengthOf(t *testing.T, expression string) float64 {
	t.Helper()
	p, list := drawn(t, "length", "draw "+expression+"\n", 0.001)
	require.Empty(t, list, expression)
	return geom.Length(p.Sheets[0].Points)
}

// Lengths of curves in closed form, as calculus texts and handbooks of
// mathematical tables give them (recomputed numerically); the inscribed
// polygons are Archimedes' doublings.
func TestCurvesHaveTheLengthsThatTheirClosedFormsGive(t *testing.T) {
	for _, c := range []struct {
		curve string
		want  float64
	}{
		{"curves.circle(10)", 2 * math.Pi * 10},
		{"curves.ellipse(20, 10)", 96.884482205},
		{"curves.ellipse(50, 30)", 255.269988634},
		{"curves.ellipse(40, 10)", 171.5684355031},
		{"curves.spiral(5, 10)", 789.0910266},
		{"curves.spiral(10, 5)", 1572.9185151},
		// √(1 + 1/b²) times the difference of the radii, b = ln 2 / 2π.
		{"curves.growing_spiral(5, 1, 2)", 31 * math.Sqrt(1+math.Pow(2*math.Pi/math.Ln2, 2))},
		{"curves.rose(2, 10)", 96.884482205},
		{"curves.rose(3, 10)", 66.824466},
		{"curves.wave(1, 20 * pi, 10)", 76.403955781},
		{"curves.lissajous(1, 2, 20, 20)", 94.294313},
		{"curves.lissajous(3, 2, 20, 20)", 152.893739},
		{"curves.lissajous(3, 4, 20, 20, 90)", 212.372152},
		{"curves.cycloid(1, 10)", 80},
		{"curves.hypotrochoid(5, 3, 5)", 68.6273742},
		{"curves.hypotrochoid(40, 10, 10)", 240}, // astroid: 6 times its size
		{"curves.hypotrochoid(30, 10, 10)", 160}, // deltoid: 16 rolling radii
		{"curves.epitrochoid(20, 10, 10)", 240},  // nephroid: 24 rolling radii
		{"curves.epitrochoid(10, 10, 10)", 160},  // cardioid: 16 rolling radii
		{"curves.cardioid(10)", 160},
		{"curves.lemniscate(10)", 52.441151086},
		{"curves.involute(1, 2)", math.Pow(2*math.Pi, 2)}, // a T²/2
		{"curves.polygon(6, 1)", 6},
		{"curves.polygon(12, 1)", 6.2116571},
		{"curves.polygon(96, 1)", 6.2820639},
		// The outline of a pentagram: ten edges, each a diagonal of the pentagon
		// over the square of the golden ratio.
		{"curves.star(5, 10, 10 * sin(18) / sin(54))", 10 * 20 * math.Sin(2*math.Pi/5) / math.Pow(math.Phi, 2)},
	} {
		// Chords within a thousandth of a millimetre of curves of this size are
		// shorter than these by less than 0.01 %.
		require.InEpsilon(t, c.want, lengthOf(t, c.curve), 1e-4, c.curve)
	}
}

func TestEveryBoundedFunctionLetsACurveBeProven(t *testing.T) {
	formulas := map[string]string{
		"abs": "abs(t - 5)", "min": "min(t, 5)", "max": "max(t, 5)", "sqrt": "sqrt(t + 1)", "sin": "sin(20 * t)", "cos": "cos(20 * t)",
		"tan": "tan(t)", "asin": "asin(t / 20) / 10", "acos": "acos(t / 20) / 10", "atan2": "atan2(t, 3) / 10", "exp": "exp(t / 5)",
		"log": "log(t + 1)", "clamp": "clamp(t, 2, 6)", "pi": "t * pi", "polar": "polar(t, 20 * t).x",
		// Those that jump are proven where they do not.
		"round": "round(t / 30)", "floor": "floor(t / 20)", "ceil": "ceil(t / 20 + 0.01)", "sign": "sign(t + 1)", "mod": "mod(t, 20)",
	}
	for _, b := range stdlib.Library().Builtins {
		if !b.Bounded {
			continue
		}
		formula, ok := formulas[b.Name]
		require.True(t, ok, b.Name)
		text := fmt.Sprintf("draw curve t in 0..10 = (t, %s)\n", formula)
		if b.Name == "polar" {
			text = "draw curve t in 0..10 = polar(t, 20 * t)\n"
		}
		p, list := drawn(t, b.Name, text, 0.01)
		require.Empty(t, list, b.Name)
		require.Greater(t, len(p.Sheets[0].Points), 1)
	}
}
