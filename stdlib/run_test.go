package stdlib_test

import (
	"context"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/lang/compile"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/lang/types"
	"wend/lang/vocabulary"
	"wend/runtime/eval"
	"wend/runtime/geom"
	"wend/runtime/geom/interval"
	"wend/runtime/plan"
	"wend/runtime/value"
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
		Read: func(_ *source.File, name string) (*source.File, error) {
			text, ok := stdlib.ExampleFile(name)
			if !ok {
				return nil, &diag.Fault{Code: "file-missing", Args: diag.Args{"name": name}}
			}
			return source.New(name, text), nil
		},
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
			require.Empty(t, list)
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
	for _, theme := range stdlib.Vocabulary().Themes() {
		for _, w := range theme.Words {
			if w.Sort != vocabulary.Term {
				run(w.Name, w.Example)
			}
		}
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

// For every word with bounds, on ranges of arguments that change evenly with t:
// the values lie in the range of values, the slopes between any two of them in
// that of slopes, and the bend of any three in that of bends.
func TestBoundsHoldWhatTheirFunctionsGive(t *testing.T) {
	const seed = 3
	checked := 0
	for _, n := range stdlib.Natives() {
		if n.Bounds == nil {
			continue
		}
		checked++
		for _, form := range n.Forms {
			if len(form.Params) > 0 && form.Params[0].Kinds == types.List {
				continue
			}
			t.Run(n.Name, func(t *testing.T) {
				rapid.Check(t, func(t *rapid.T) { checkBounds(t, n, form, seed) })
			})
		}
	}
	require.Greater(t, checked, 20)
}

func checkBounds(t *rapid.T, n value.Native, form types.Form, seed uint64) {
	from := rapid.Float64Range(-5, 5).Draw(t, "from")
	span := math.Pow(10, rapid.Float64Range(-6, 1).Draw(t, "span"))
	x := interval.Variable(interval.Between(from, from+span))
	var jets []*interval.Jet
	var given []func(at float64) float64 // nil: left out
	number := func(name string) {
		// On a grid: what jumps at whole numbers is not asked a hair beside them.
		start, slope := float64(rapid.IntRange(-40_000, 40_000).Draw(t, name))/1000, rapid.SampledFrom([]float64{0, 0, 1, -3, 17}).Draw(t, name+" slope")
		jet := x.Sub(interval.Constant(from)).Scale(slope).Add(interval.Constant(start))
		jets = append(jets, &jet)
		given = append(given, func(at float64) float64 { return start + slope*(at-from) })
	}
	for _, p := range form.Params {
		switch {
		case p.Name == "layers" || p.Name == "decimals":
			if p.Optional && rapid.Bool().Draw(t, "left out") {
				jets, given = append(jets, nil), append(given, nil)
				continue
			}
			count := float64(rapid.IntRange(1, 6).Draw(t, p.Name))
			jet := interval.Constant(count)
			jets, given = append(jets, &jet), append(given, func(float64) float64 { return count })
		case p.Kinds == types.Point:
			number(p.Name + ".x")
			number(p.Name + ".y")
		default:
			number(p.Name)
		}
	}
	boundX, boundY := n.Bounds(seed, jets)
	value := func(at float64) (x, y float64, ok bool) {
		var args []value.Value
		k := 0
		for _, p := range form.Params {
			switch {
			case given[k] == nil:
				args = append(args, value.Nothing)
			case p.Kinds == types.Point:
				args = append(args, value.Point(geom.Point{X: given[k](at), Y: given[k+1](at)}))
				k++
			default:
				args = append(args, value.Number(given[k](at)))
			}
			k++
		}
		v, err := n.Func(newHost(seed), args)
		if err != nil {
			return 0, 0, false
		}
		if form.Result == types.Point {
			return v.Point().X, v.Point().Y, true
		}
		return v.Number(), 0, true
	}
	requireBounds(t, from, span, boundX, func(at float64) (float64, bool) { x, _, ok := value(at); return x, ok })
	if form.Result == types.Point {
		requireBounds(t, from, span, boundY, func(at float64) (float64, bool) { _, y, ok := value(at); return y, ok })
	}
}

func requireBounds(t *rapid.T, from, span float64, bound interval.Jet, f func(at float64) (float64, bool)) {
	const steps = 9
	var at, y [steps]float64
	for i := range steps {
		at[i] = from + span*float64(i)/(steps-1)
		var ok bool
		if y[i], ok = f(at[i]); !ok {
			require.True(t, bound.Partial, "no value at %v", at[i])
			return
		}
		slack := 1e-12 * (1 + math.Abs(y[i]))
		require.True(t, bound.V.Lo-slack <= y[i] && y[i] <= bound.V.Hi+slack, "value %v at %v, not in %v", y[i], at[i], bound.V)
	}
	within := func(what string, x float64, in interval.Interval, slack float64) {
		require.True(t, in.Lo-slack <= x && x <= in.Hi+slack, "%s %v, not in %v", what, x, in)
	}
	for i := 1; i < steps; i++ {
		step := at[i] - at[i-1]
		size := math.Abs(y[i]) + math.Abs(y[i-1]) + 50
		slope := (y[i] - y[i-1]) / step
		within("slope", slope, bound.D1, 1e-13*size/step)
		if i > 1 {
			bend := (slope - (y[i-1]-y[i-2])/(at[i-1]-at[i-2])) / step
			within("bend", bend, bound.D2, 1e-12*size/(step*step))
		}
	}
}

// Formulas that are proven although they are more than arithmetic: they call
// functions of the program, choose, and go through loops. What is sampled by
// rule takes 64 pieces at least, so a straight line shows which was done.
func TestFunctionsOfTheProgramAreFollowed(t *testing.T) {
	for name, c := range map[string]struct {
		program string
		proven  bool
	}{
		"a function":               {"fn f(t) = 2 * t\ndraw curve t in 0..10 = (t, f(t))\n", true},
		"after a dot":              {"fn f(t, k) = k * t\ndraw curve t in 0..10 = (t, t.f(2))\n", true},
		"a default":                {"fn f(t, k = 2) = k * t\ndraw curve t in 0..10 = (t, f(t))\n", true},
		"a point":                  {"fn f(t) = (t, 2 * t)\ndraw curve t in 0..10 = f(t)\n", true},
		"variables":                {"fn f(t) {\n  let a = t + 1\n  let b = a * 2\n  b = b - 2\n  return b\n}\ndraw curve t in 0..10 = (t, f(t))\n", true},
		"a variable of the file":   {"let k = 2\nfn f(t) = k * t\ndraw curve t in 0..10 = (t, f(t))\n", true},
		"a loop":                   {"fn f(t) {\n  let sum = 0\n  loop k in 1..4 { sum = sum + k * t / 10 }\n  return sum\n}\ndraw curve t in 0..10 = (t, f(t))\n", true},
		"a change in place":        {"fn f(t) {\n  let sum = 1\n  loop k in 1..4 { sum += k * t / 10 }\n  sum -= 1\n  sum *= 2\n  return sum / 2\n}\ndraw curve t in 0..10 = (t, f(t))\n", true},
		"a choice that is sure":    {"fn f(t, up) {\n  if up > 3 { return t }\n  return -t\n}\ndraw curve t in 0..10 = (t, f(t, 5))\n", true},
		"a choice that never is":   {"fn f(t) {\n  let s = 1\n  if t < -1 { s = -1 }\n  return s * t\n}\ndraw curve t in 0..10 = (t, f(t))\n", true},
		"a call in itself":         {"fn f(t, n) {\n  if n == 0 { return t }\n  return f(t, n - 1) + t\n}\ndraw curve t in 0..10 = (t, f(t, 3))\n", true},
		"a point and a distance":   {"let c = (0, 0)\ndraw curve t in 1..10 = (t, distance((t, 0), c))\n", true},
		"a list":                   {"let xs = [2, 3]\ndraw curve t in 0..10 = (t, xs[1] * t)\n", true},
		"an item at t":             {"let xs = [2, 3]\ndraw curve t in 1..1.5 = (t, xs[floor(t)] * t)\n", false},
		"a choice as a value":      {"draw curve t in 0..10 = (t, if t < -1 { -t } else { 2 * t })\n", true},
		"a function in a variable": {"let f = fn(t) = 2 * t\ndraw curve t in 0..10 = (t, f(t))\n", false},
	} {
		t.Run(name, func(t *testing.T) {
			p, list := drawn(t, name, c.program, 0.05)
			require.Empty(t, list)
			require.Equal(t, c.proven, len(p.Sheets[0].Points) < 60, "%d points", len(p.Sheets[0].Points))
			if c.proven && name != "a point and a distance" {
				// Straight lines: two points are all that a proof of them asks for.
				require.Len(t, p.Sheets[0].Points, 2)
			}
		})
	}
}

// What is followed keeps the tolerance: a sum of sines, made in every way that
// a function can make it, against the curve itself.
func TestFollowedFormulasKeepTheTolerance(t *testing.T) {
	sum := func(t float64) (y float64) {
		for k := 1.0; k <= 5; k += 2 {
			y += 20 / k * math.Sin(k*t*math.Pi/180)
		}
		return y
	}
	for _, body := range []string{
		"let y = 0\n  loop k in 1..5 by 2 { y += 20 / k * sin(k * t) }\n  return y",
		"let y = 0\n  loop k in 1..5 by 2 { y = y + 20 / k * sin(k * t) }\n  return y",
		"let y = 1\n  let k = 1\n  loop 3 {\n    y -= -(20 / k) * sin(k * t)\n    k += 2\n  }\n  return y - 1",
		"let y = 0\n  loop k in 1..5 {\n    if mod(k, 2) == 1 { y += 20 / k * sin(k * t) }\n  }\n  return y",
		"return part(t, 1) + part(t, 3) + t.part(n: 5)",
	} {
		p, list := drawn(t, "sum", "fn part(t, n) = 20 * sin(n * t) / n\nfn f(t) {\n  "+body+"\n}\nnote part(0, 1)\ndraw curve t in 0..360 = (t / 4, f(t))\n", 0.02)
		require.Empty(t, list, body)
		points := p.Sheets[0].Points
		require.Less(t, len(points), 400)
		segment := 1
		for i := range 20_000 {
			at := 360 * float64(i) / 20_000
			q := geom.Point{X: at / 4, Y: sum(at)}
			for points[segment].X < q.X {
				segment++
			}
			require.LessOrEqual(t, geom.SegmentDistance(points[segment-1], points[segment], q), 0.02+1e-9, "%s at %v", body, at)
		}
	}
}

// A condition that is never decided leaves nothing to prove, and the curve is
// drawn all the same.
func TestAnUndecidedChoiceIsSampledByRule(t *testing.T) {
	p, list := drawn(t, "never sure", "fn f(t) {\n  if t - t == 0 { return 10 * sin(t) }\n  return 50\n}\ndraw curve t in 0..90 = (t, f(t))\n", 0.05)
	require.Empty(t, list)
	require.Less(t, len(p.Sheets[0].Points), 200)
	for _, at := range p.Sheets[0].Points {
		require.InDelta(t, 10*math.Sin(at.X*math.Pi/180), at.Y, 1e-9)
	}
}

// A choice in a formula is found wherever it switches: the line keeps to the
// curve if that goes on, and a jump is found.
func TestChoicesInAFormulaJoinOrJump(t *testing.T) {
	p, list := drawn(t, "joins", "fn f(t) {\n  if t < 3.3 { return 0 }\n  return (t - 3.3) * 20\n}\ndraw curve t in 0..5 = (t, f(t))\n", 0.01)
	require.Empty(t, list)
	require.Less(t, len(p.Sheets[0].Points), 60)
	for _, at := range p.Sheets[0].Points {
		require.InDelta(t, max(0, (at.X-3.3)*20), at.Y, 1e-9)
	}
	_, list = drawn(t, "jumps", "fn f(t) {\n  if t < 3.3 { return 0 }\n  return 5\n}\ndraw curve t in 0..5 = (t, f(t))\n", 0.01)
	require.Len(t, list, 1)
	require.Equal(t, diag.Code("curve-jump"), list[0].Code)
}
