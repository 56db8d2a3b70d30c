package stdlib_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestFunctionsOfNumbers(t *testing.T) {
	for _, c := range []struct {
		name string
		args []any
		want float64
	}{
		{"abs", []any{-3}, 3}, {"sign", []any{-0.5}, -1}, {"sign", []any{0}, 0}, {"sign", []any{7}, 1},
		{"floor", []any{-2.1}, -3}, {"ceil", []any{-2.7}, -2}, {"ceil", []any{2.1}, 3},
		{"round", []any{2.5}, 3}, {"round", []any{-2.5}, -3}, {"round", []any{-0.3}, 0},
		{"round", []any{math.Pi, 2}, 3.14}, {"round", []any{0.125, 2}, 0.13}, {"round", []any{-0.125, 2}, -0.13},
		{"round", []any{1e300, 15}, 1e300}, {"round", []any{12.0, 15}, 12}, {"round", []any{0.1, 15}, 0.1},
		{"min", []any{4, 2}, 2}, {"min", []any{4, 2, 8, -1}, -1}, {"max", []any{[]any{3, 9, 4}}, 9},
		{"mod", []any{7, 3}, 1}, {"mod", []any{-7, 3}, 2}, {"mod", []any{7, -3}, -2}, {"mod", []any{-30, 360}, 330},
		{"mod", []any{-1e-20, 360}, 0}, {"mod", []any{-6, 3}, 0},
		{"clamp", []any{12, 0, 10}, 10}, {"clamp", []any{-3, 0, 10}, 0}, {"clamp", []any{5, 0, 10}, 5},
		{"sqrt", []any{2}, math.Sqrt2},
		{"sin", []any{30}, 0.5}, {"cos", []any{60}, 0.5}, {"tan", []any{45}, 1}, {"cos", []any{90}, 0}, {"sin", []any{-720}, 0},
		{"asin", []any{0.5}, 30}, {"acos", []any{-1}, 180}, {"atan2", []any{1, -1}, 135}, {"atan2", []any{0, -1}, 180},
		{"exp", []any{0}, 1}, {"log", []any{1}, 0},
		{"mix", []any{10, 20, 0.25}, 12.5}, {"mix", []any{0.1, 0.3, 1}, 0.3},
		{"distance", []any{pt(10, 10), pt(40, 50)}, 50}, {"direction", []any{pt(0, 0), pt(0, -2)}, 270},
		{"pi", nil, math.Pi},
	} {
		got := call(t, c.name, c.args...).Number()
		require.Equal(t, math.Float64bits(c.want), math.Float64bits(got), "%s(%v) = %v, not %v", c.name, c.args, got, c.want)
	}
}

func TestFastFormsGiveWhatTheFunctionsGive(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.OneOf(rapid.Float64Range(-10, 10), rapid.Float64Range(-1e6, 1e6), rapid.Map(rapid.IntRange(-20, 20), func(i int) float64 { return float64(i) }))
		x, y := number.Draw(t, "x"), number.Draw(t, "y")
		for _, name := range []string{"abs", "round", "floor", "ceil", "sign", "sqrt", "sin", "cos", "tan", "asin", "acos", "exp", "log"} {
			fast := native(name).Num1(x)
			v, err := native(name).Func(newHost(1), values([]any{x}))
			require.Equal(t, err != nil, math.IsNaN(fast) || math.IsInf(fast, 0), "%s(%v)", name, x)
			if err == nil {
				require.Equal(t, fast, v.Number())
			}
		}
		for _, name := range []string{"min", "max", "atan2", "mod"} {
			fast := native(name).Num2(x, y)
			v, err := native(name).Func(newHost(1), values([]any{x, y}))
			require.Equal(t, err != nil, math.IsNaN(fast), "%s(%v, %v)", name, x, y)
			if err == nil {
				require.Equal(t, fast, v.Number())
			}
		}
	})
}

func TestModIsWhatIsLeftOfWholeMultiples(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(-1e6, 1e6).Draw(t, "a")
		b := rapid.Float64Range(1e-3, 1e3).Draw(t, "b")
		r := call(t, "mod", a, b).Number()
		require.GreaterOrEqual(t, r, 0.0)
		require.Less(t, r, b)
		k := (a - r) / b
		require.InDelta(t, math.Round(k), k, 1e-6)
	})
}

func TestRoundingHasNoMoreDecimalsThanAskedFor(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(-1e5, 1e5).Draw(t, "x")
		decimals := rapid.IntRange(0, 9).Draw(t, "decimals")
		r := call(t, "round", x, decimals).Number()
		require.LessOrEqual(t, math.Abs(r-x), 0.5*math.Pow(10, -float64(decimals))*(1+1e-12)+math.Abs(x)*0x1p-52)
		require.Equal(t, r, call(t, "round", r, decimals).Number(), "rounding twice changes nothing")
	})
}

// From memory: the Pythagorean identity, and the triangle inequality.
func TestIdentitiesOfPointsAndAngles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(-1e4, 1e4).Draw(t, "angle")
		s, c := call(t, "sin", a).Number(), call(t, "cos", a).Number()
		require.InDelta(t, 1, s*s+c*c, 1e-15)
		r := rapid.Float64Range(0.01, 100).Draw(t, "r")
		p := call(t, "polar", r, a).Point()
		require.InDelta(t, r, call(t, "distance", pt(0, 0), p).Number(), 1e-12)
		heading := call(t, "direction", pt(0, 0), p).Number()
		off := math.Mod(heading-a, 360)
		require.InDelta(t, 0, math.Min(math.Abs(off), 360-math.Abs(off)), 1e-9)
		q, m := pt(s*50, r), call(t, "mix", p, pt(s*50, r), 0.3).Point()
		require.InDelta(t, 0.3*p.Distance(q), p.Distance(m), 1e-10)
	})
}

func TestNearComparesWithinAThousandth(t *testing.T) {
	require.True(t, call(t, "near", 1, 1.0009).Bool())
	require.False(t, call(t, "near", 1, 1.0011).Bool())
	require.True(t, call(t, "near", pt(0, 0), pt(0.0006, 0.0006)).Bool())
	require.False(t, call(t, "near", pt(0, 0), pt(0.0009, 0.0009)).Bool())
}

func TestNumberFaultsHaveTheirCodes(t *testing.T) {
	for _, c := range []struct {
		code, name string
		args       []any
	}{
		{"root-of-negative", "sqrt", []any{-1e-9}},
		{"log-not-positive", "log", []any{0}},
		{"sine-range", "asin", []any{1.0001}},
		{"sine-range", "acos", []any{-2}},
		{"tangent-endless", "tan", []any{-270}},
		{"mod-by-zero", "mod", []any{5, 0}},
		{"result-too-large", "exp", []any{710}},
		{"clamp-order", "clamp", []any{5, 2, 1}},
		{"decimals-range", "round", []any{5, -1}},
		{"decimals-range", "round", []any{5, 16}},
		{"decimals-range", "round", []any{5, 0.5}},
		{"no-direction", "atan2", []any{0, 0}},
		{"no-direction", "direction", []any{pt(1, 1), pt(1, 1)}},
		{"empty-list", "max", []any{[]any{}}},
		{"list-item-kind", "min", []any{[]any{1, "2"}}},
		{"result-too-large", "mix", []any{-1e308, 1e308, 1.5}},
		{"result-too-large", "distance", []any{pt(-1e200, 0), pt(1e200, 0)}},
		{"path-too-large", "mix", []any{pt(-1e308, 0), pt(1e308, 0), 0.5}},
	} {
		require.EqualValues(t, c.code, faultOf(t, c.name, c.args...), c.name)
	}
}
