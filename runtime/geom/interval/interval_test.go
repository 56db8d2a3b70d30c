package interval

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/diff/fd"
	"pgregory.net/rapid"

	_ "wend/internal/repeatable"
	"wend/runtime/elementary"
)

// operation is a function of two numbers, once over jets and once over numbers.
type operation struct {
	jet   func(f, g Jet) Jet
	value func(x, y float64) (float64, bool)
}

func defined(f func(x, y float64) float64) func(x, y float64) (float64, bool) {
	return func(x, y float64) (float64, bool) { return f(x, y), true }
}

func single(f func(x float64) (float64, bool)) func(x, y float64) (float64, bool) {
	return func(x, _ float64) (float64, bool) { return f(x) }
}

var operations = map[string]operation{
	"add":    {jet: Jet.Add, value: defined(func(x, y float64) float64 { return x + y })},
	"sub":    {jet: Jet.Sub, value: defined(func(x, y float64) float64 { return x - y })},
	"mul":    {jet: Jet.Mul, value: defined(func(x, y float64) float64 { return x * y })},
	"div":    {jet: Jet.Div, value: func(x, y float64) (float64, bool) { return x / y, y != 0 }},
	"neg":    {jet: func(f, _ Jet) Jet { return f.Neg() }, value: defined(func(x, _ float64) float64 { return -x })},
	"square": {jet: func(f, _ Jet) Jet { return f.Square() }, value: defined(func(x, _ float64) float64 { return x * x })},
	"abs":    {jet: func(f, _ Jet) Jet { return f.Abs() }, value: defined(func(x, _ float64) float64 { return math.Abs(x) })},
	"min":    {jet: Jet.Min, value: defined(math.Min)},
	"max":    {jet: Jet.Max, value: defined(math.Max)},
	"clamp": {jet: func(f, g Jet) Jet { return f.Clamp(Constant(-1), g.Abs()) },
		value: defined(func(x, y float64) float64 { return math.Min(math.Max(x, -1), math.Abs(y)) })},
	"mix": {jet: func(f, g Jet) Jet { return f.Mix(g, Constant(0.3)) }, value: defined(func(x, y float64) float64 { return x + (y-x)*0.3 })},
	"sqrt": {jet: func(f, _ Jet) Jet { return f.Sqrt() }, value: single(func(x float64) (float64, bool) {
		return math.Sqrt(math.Abs(x)), x >= 0
	})},
	"sin": {jet: func(f, _ Jet) Jet { return f.Scale(40).SinDegrees() }, value: defined(func(x, _ float64) float64 { return elementary.SinDegrees(40 * x) })},
	"cos": {jet: func(f, _ Jet) Jet { return f.Scale(40).CosDegrees() }, value: defined(func(x, _ float64) float64 { return elementary.CosDegrees(40 * x) })},
	"polar": {jet: func(f, g Jet) Jet { x, y := Polar(g, f.Scale(40)); return x.Add(y.Scale(2)) },
		value: defined(func(x, y float64) float64 {
			s, c := elementary.SinCosDegrees(40 * x)
			return y*c + 2*(y*s)
		})},
	"tan":  {jet: func(f, _ Jet) Jet { return f.Scale(40).TanDegrees() }, value: single(func(x float64) (float64, bool) { return elementary.TanDegrees(40 * x) })},
	"asin": {jet: func(f, _ Jet) Jet { return f.AsinDegrees() }, value: single(elementary.AsinDegrees)},
	"acos": {jet: func(f, _ Jet) Jet { return f.AcosDegrees() }, value: single(elementary.AcosDegrees)},
	"atan2": {jet: func(f, g Jet) Jet { return Atan2Degrees(f, g) },
		value: func(x, y float64) (float64, bool) { return elementary.Atan2Degrees(x, y) }},
	"exp": {jet: func(f, _ Jet) Jet { return f.Exp() }, value: single(elementary.Exp)},
	"log": {jet: func(f, _ Jet) Jet { return f.Log() }, value: single(elementary.Log)},
	"cube": {jet: func(f, _ Jet) Jet { return f.Pow(Constant(3)) },
		value: single(func(x float64) (float64, bool) { return elementary.Pow(x, 3) })},
	"fourth power": {jet: func(f, _ Jet) Jet { return f.Pow(Constant(4)) },
		value: single(func(x float64) (float64, bool) { return elementary.Pow(x, 4) })},
	"inverse square": {jet: func(f, _ Jet) Jet { return f.Pow(Constant(-2)) },
		value: single(func(x float64) (float64, bool) { return elementary.Pow(x, -2) })},
	"root of five": {jet: func(f, _ Jet) Jet { return f.Pow(Constant(0.2)) },
		value: single(func(x float64) (float64, bool) { return elementary.Pow(x, 0.2) })},
	"power 2.7": {jet: func(f, _ Jet) Jet { return f.Pow(Constant(2.7)) },
		value: single(func(x float64) (float64, bool) { return elementary.Pow(x, 2.7) })},
	"power": {jet: Jet.Pow, value: func(x, y float64) (float64, bool) {
		v, ok := elementary.Pow(x, y)
		return v, ok && x > 0
	}},
	"floor": {jet: func(f, _ Jet) Jet { return f.Floor() }, value: defined(func(x, _ float64) float64 { return math.Floor(x) })},
	"ceil":  {jet: func(f, _ Jet) Jet { return f.Ceil() }, value: defined(func(x, _ float64) float64 { return math.Ceil(x) })},
	"round": {jet: func(f, _ Jet) Jet { return f.Round() }, value: defined(func(x, _ float64) float64 { return math.Round(x) })},
	"sign":  {jet: func(f, _ Jet) Jet { return f.Sign() }, value: defined(func(x, _ float64) float64 { return sign(x) })},
	"mod": {jet: Jet.Mod, value: func(x, y float64) (float64, bool) {
		return x - y*math.Floor(x/y), y != 0
	}},
}

// The property of interval arithmetic that everything rests on: the range of
// the result holds every value of the function (Moore, Interval Analysis,
// 1966, the inclusion property), here with derivatives by differences.
func TestJetsHoldEveryValueAndSlopeOfTheirFunction(t *testing.T) {
	// Two inner functions of t, so that the chain rule takes part.
	innerJet := func(v Jet) (Jet, Jet) {
		return v.Square().Sub(Constant(1)), v.Scale(1.5).Add(Constant(0.25))
	}
	inner := func(x float64) (float64, float64) { return x*x - 1, 1.5*x + 0.25 }
	for name, op := range operations {
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				low := rapid.Float64Range(-3, 3).Draw(t, "low")
				width := rapid.SampledFrom([]float64{0, 1e-9, 1e-3, 0.1, 1, 4}).Draw(t, "width")
				f, g := innerJet(Variable(Interval{low, low + width}))
				jet := op.jet(f, g)
				requireSound(t, jet)
				value := func(x float64) (float64, bool) { return op.value(inner(x)) }
				for i := range 21 {
					x := min(low+width, low+width*float64(i)/20)
					v, ok := value(x)
					if !ok {
						require.True(t, jet.Partial, "no value at %v, but the jet says there is", x)
						continue
					}
					slack := 1e-13 * (1 + math.Abs(v)) // the plain evaluation rounds too
					require.True(t, jet.V.Lo-slack <= v && v <= jet.V.Hi+slack, "value %v at %v outside %v", v, x, jet.V)
				}
				// Without a bounded slope there may be jumps; narrow differences are noise.
				if !jet.D1.Finite() || jet.Partial || width < 1e-3 {
					return
				}
				requireDerivatives(t, jet, value, low, width)
			})
		})
	}
}

func requireSound(t require.TestingT, j Jet) {
	for _, r := range []Interval{j.V, j.D1, j.D2} {
		require.True(t, r.Lo <= r.Hi, "%v is no range", r)
	}
}

// requireDerivatives compares with the differences of gonum's package fd.
func requireDerivatives(t require.TestingT, jet Jet, value func(float64) (float64, bool), low, width float64) {
	plain := func(x float64) float64 { v, _ := value(x); return v }
	for _, share := range []float64{0.3, 0.5, 0.7} {
		x := low + width*share
		h := width / 64
		first := fd.Derivative(plain, x, &fd.Settings{Formula: fd.Central, Step: h})
		// A central difference is a mean of slopes, which D1 holds also across corners.
		slack := 1e-9 * (1 + math.Abs(first)) / h * 1e-3
		require.True(t, jet.D1.Lo-slack <= first && first <= jet.D1.Hi+slack, "slope %v at %v outside %v", first, x, jet.D1)
		second := fd.Derivative(plain, x, &fd.Settings{Formula: fd.Central2nd, Step: h})
		slack = 1e-9 * (1 + math.Abs(plain(x))) / (h * h) * 1e-3
		require.True(t, jet.D2.Lo-slack <= second && second <= jet.D2.Hi+slack, "bend %v at %v outside %v", second, x, jet.D2)
	}
}

func TestJetsConvergeToTheFunctionAsTheRangeShrinks(t *testing.T) {
	f := func(v Jet) Jet { return v.Scale(57).SinDegrees().Mul(v.Exp()).Div(v.Square().Add(Constant(1))) }
	last := math.Inf(1)
	for _, width := range []float64{1, 0.1, 0.01, 0.001, 0.0001} {
		j := f(Variable(Interval{0.5, 0.5 + width}))
		excess := max(j.V.Width(), j.D1.Width(), j.D2.Width())
		require.Less(t, excess, last/5)
		last = excess
	}
}

func TestArithmeticWithInfiniteBoundsStaysARange(t *testing.T) {
	inf := math.Inf(1)
	require.Equal(t, Interval{0, 0}, Entire().Mul(Interval{}))
	require.Equal(t, Entire(), Entire().Add(Entire().Neg()))
	require.Equal(t, Entire(), Interval{-1, 2}.Mul(Entire()))
	quotient, ok := Of(1).Div(Interval{0, 2})
	require.False(t, ok)
	require.LessOrEqual(t, quotient.Lo, 0.5)
	require.Equal(t, inf, quotient.Hi)
	quotient, ok = Of(1).Div(Interval{-1, 2})
	require.False(t, ok)
	require.Equal(t, Entire(), quotient)
	root, ok := Interval{-4, 9}.Sqrt()
	require.False(t, ok)
	require.True(t, root.Lo == 0 && root.Contains(3) && root.Hi < 3.0000001)
	require.True(t, Interval{700, 800}.Exp().Hi == inf)
	logarithm, ok := Interval{0, 1}.Log()
	require.False(t, ok)
	require.Equal(t, -inf, logarithm.Lo)
}

func TestWavesFindTheirCrestsAndTroughs(t *testing.T) {
	for _, c := range []struct {
		angle  Interval
		lo, hi float64
	}{
		{Interval{10, 170}, elementary.SinDegrees(10), 1},
		{Interval{190, 350}, -1, elementary.SinDegrees(190)},
		{Interval{-1000, -700}, -1, 1},
		{Interval{-30, 30}, -0.5, 0.5},
		{Interval{360e6 + 80, 360e6 + 100}, elementary.SinDegrees(80), 1},
		{Interval{90, 90}, 1, 1},
	} {
		r, _ := c.angle.SinCosDegrees()
		require.InDelta(t, c.lo, r.Lo, 1e-15, "%v", c.angle)
		require.InDelta(t, c.hi, r.Hi, 1e-15, "%v", c.angle)
		_, shifted := Interval{c.angle.Lo - 90, c.angle.Hi - 90}.SinCosDegrees()
		require.InDelta(t, r.Lo, shifted.Lo, 1e-15)
		require.InDelta(t, r.Hi, shifted.Hi, 1e-15)
	}
	_, ok := Interval{80, 100}.TanDegrees()
	require.False(t, ok)
	_, ok = Interval{-89, 89}.TanDegrees()
	require.True(t, ok)
}

func FuzzProductsAndSumsHoldTheExactResult(f *testing.F) {
	for _, s := range [][4]float64{{1, 2, 3, 4}, {-1, 0, 0, 5}, {-0.1, 0.3, -0.7, 1e-300}, {1e300, 1e308, -1e10, 1e10}, {5e-324, 1, 5e-324, 0.5}} {
		f.Add(s[0], s[1], s[2], s[3])
	}
	f.Fuzz(func(t *testing.T, a, b, c, d float64) {
		for _, v := range []float64{a, b, c, d} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return
			}
		}
		x, y := Between(a, b), Between(c, d)
		product, sum := x.Mul(y), x.Add(y)
		for _, u := range []float64{a, b} {
			for _, v := range []float64{c, d} {
				// The exact result of both is within one rounding of these.
				require.True(t, !math.IsNaN(product.Lo) && !math.IsNaN(product.Hi))
				p := u * v
				require.True(t, product.Lo <= p && p <= product.Hi || math.IsInf(p, 0))
				e := math.FMA(u, v, -p) // exact error of the product
				require.False(t, p == product.Lo && e < 0 && p != 0, "lower bound rounded up")
				require.False(t, p == product.Hi && e > 0 && p != 0, "upper bound rounded down")
				s := u + v
				require.True(t, sum.Lo <= s && s <= sum.Hi || math.IsInf(s, 0))
			}
		}
	})
}

func BenchmarkJetOfARose(b *testing.B) {
	b.ReportAllocs()
	t := Variable(Interval{10, 10.5})
	var x, y Jet
	for b.Loop() {
		x, y = Polar(t.Scale(3).CosDegrees().Scale(50), t)
	}
	_, _ = x, y
}
