package stdlib

import (
	"math"

	"wend/lang/diag"
	"wend/lang/types"
	"wend/runtime/elementary"
	"wend/runtime/geom/interval"
	"wend/runtime/value"
)

// numberWords are the functions of numbers. All but those of lists have fast
// forms that neither box their arguments nor their result.
func numberWords() []value.Native {
	return []value.Native{
		numeric1(interval.Jet.Abs, types.Builtin{
			Name: "abs", Forms: []types.Form{gives(number("x"))},
			Doc:     "The size of x without its sign.",
			Example: "note abs(-3)   # 3\n",
		}, math.Abs, nil),
		extreme(types.Builtin{
			Name:    "min",
			Doc:     "The smallest of the numbers given, or of the numbers in a list, which must hold at least one. With a key, a function that gives a number for each item, the item whose number is the smallest, the first of several.",
			Example: "note min(4, 2, 8)   # 2\nnote min([5, 3])   # 3\nnote min([(3, 1), (2, 9)], fn(p) = p.y)   # (3, 1)\n",
		}, func(x, y float64) float64 { return min(x, y) }, interval.Jet.Min),
		extreme(types.Builtin{
			Name:    "max",
			Doc:     "The largest of the numbers given, or of the numbers in a list, which must hold at least one. With a key, a function that gives a number for each item, the item whose number is the largest, the first of several.",
			Example: "note max(4, 2, 8)   # 8\nnote max([5, 3])   # 5\nnote max([\"fern\", \"moss\", \"lichen\"], fn(word) = word.length)   # lichen\n",
		}, func(x, y float64) float64 { return max(x, y) }, interval.Jet.Max),
		roundWord(),
		numeric1(interval.Jet.Floor, types.Builtin{
			Name: "floor", Forms: []types.Form{gives(number("x"))},
			Doc:     "The largest whole number that is not above x.",
			Example: "note floor(2.7)   # 2\nnote floor(-2.1)   # -3\n",
		}, math.Floor, nil),
		numeric1(interval.Jet.Ceil, types.Builtin{
			Name: "ceil", Forms: []types.Form{gives(number("x"))},
			Doc:     "The smallest whole number that is not below x.",
			Example: "note ceil(2.1)   # 3\nnote ceil(-2.7)   # -2\n",
		}, ceil, nil),
		numeric1(interval.Jet.Sign, types.Builtin{
			Name: "sign", Forms: []types.Form{gives(number("x"))},
			Doc:     "1 if x is above 0, -1 if it is below, and 0 if it is 0.",
			Example: "note sign(-7)   # -1\n",
		}, sign, nil),
		numeric1(interval.Jet.Sqrt, types.Builtin{
			Name: "sqrt", Forms: []types.Form{gives(number("x"))},
			Doc:     "The square root of x, which must be 0 or more.",
			Example: "note sqrt(2)   # 1.4142\n",
		}, math.Sqrt, func(x float64) error {
			return &diag.Fault{Code: "root-of-negative", Args: diag.Args{"value": show(x)}}
		}),
		numeric1(interval.Jet.SinDegrees, types.Builtin{
			Name: "sin", Forms: []types.Form{gives(angle("angle"))},
			Doc:     "The sine of an angle in degrees.",
			Example: "note sin(30)   # 0.5\n",
		}, elementary.SinDegrees, nil),
		numeric1(interval.Jet.CosDegrees, types.Builtin{
			Name: "cos", Forms: []types.Form{gives(angle("angle"))},
			Doc:     "The cosine of an angle in degrees.",
			Example: "note cos(60)   # 0.5\n",
		}, elementary.CosDegrees, nil),
		numeric1(interval.Jet.TanDegrees, types.Builtin{
			Name: "tan", Forms: []types.Form{gives(angle("angle"))},
			Doc:     "The tangent of an angle in degrees. It has no value at 90 degrees and at every half turn from there.",
			Example: "note tan(45)   # 1\n",
		}, orNaN(elementary.TanDegrees), func(x float64) error {
			return &diag.Fault{Code: "tangent-endless", Args: diag.Args{"value": show(x)}}
		}),
		numeric1(interval.Jet.AsinDegrees, types.Builtin{
			Name: "asin", Forms: []types.Form{gives(number("x"))},
			Doc:     "The angle from -90 to 90 degrees whose sine is x, which must lie from -1 to 1.",
			Example: "note asin(0.5)   # 30\n",
		}, orNaN(elementary.AsinDegrees), outsideOne("asin")),
		numeric1(interval.Jet.AcosDegrees, types.Builtin{
			Name: "acos", Forms: []types.Form{gives(number("x"))},
			Doc:     "The angle from 0 to 180 degrees whose cosine is x, which must lie from -1 to 1.",
			Example: "note acos(0.5)   # 60\n",
		}, orNaN(elementary.AcosDegrees), outsideOne("acos")),
		numeric2(interval.Atan2Degrees, types.Builtin{
			Name: "atan2", Forms: []types.Form{gives(number("y"), number("x"))},
			Doc:     "The direction of the point (x, y) from (0, 0): above -180 and up to 180 degrees. Mind the order: y comes first. At (0, 0) it is an error, since there is no direction.",
			Example: "note atan2(1, -1)   # 135\n",
		}, atan2, func(y, x float64) error {
			return &diag.Fault{Code: "no-direction", Args: diag.Args{"name": "atan2", "reason": "x and y are both 0"}}
		}),
		numeric1(interval.Jet.Exp, types.Builtin{
			Name: "exp", Forms: []types.Form{gives(number("x"))},
			Doc:     "The number e (2.7183) to the power x. Above about 709 the result is too large to hold, which is an error.",
			Example: "note exp(1)   # 2.7183\n",
		}, orNaN(elementary.Exp), func(x float64) error { return tooLarge("exp", x) }),
		numeric1(interval.Jet.Log, types.Builtin{
			Name: "log", Forms: []types.Form{gives(number("x"))},
			Doc:     "The natural logarithm of x, which must be above 0. For another base divide: `log(x) / log(10)`.",
			Example: "note log(100) / log(10)   # 2\n",
		}, orNaN(elementary.Log), func(x float64) error {
			return &diag.Fault{Code: "log-not-positive", Args: diag.Args{"value": show(x)}}
		}),
		numeric2(interval.Jet.Mod, types.Builtin{
			Name: "mod", Forms: []types.Form{gives(number("a"), number("b"))},
			Doc:     "What is left of a after taking away b as often as it goes in: from 0 up to b, also for negative a. b must not be 0.",
			Example: "note mod(7, 3)   # 1\nnote mod(-30, 360)   # 330\n",
		}, floorMod, func(a, b float64) error {
			return &diag.Fault{Code: "mod-by-zero", Args: diag.Args{"value": show(a)}}
		}),
		clampWord(),
		{
			Builtin: &types.Builtin{
				Name: "pi", Value: true, Forms: []types.Form{gives()},
				Doc:     "The length of a circle divided by its diameter: 3.1416.",
				Example: "let radius = 10\nnote 2 * pi * radius   # 62.8319\n",
			},
			Func: func(value.Host, []value.Value) (value.Value, error) { return value.Number(elementary.Pi), nil },
		},
	}
}

// bounds makes the bounds of a word whose result is a number.
func bounds(f func(args []*interval.Jet) interval.Jet) func(uint64, []*interval.Jet) (x, y interval.Jet) {
	return func(_ uint64, args []*interval.Jet) (x, y interval.Jet) { return f(args), interval.Jet{} }
}

// numeric1 makes a word of one number, given its bounds. fault says why f has no value at x; nil
// if f has one everywhere.
func numeric1(bound func(interval.Jet) interval.Jet, b types.Builtin, f func(float64) float64, fault func(x float64) error) value.Native {
	return value.Native{
		Builtin: &b,
		Num1:    f,
		Bounds:  bounds(func(args []*interval.Jet) interval.Jet { return bound(*args[0]) }),
		Func: func(_ value.Host, args []value.Value) (value.Value, error) {
			x := args[0].Number()
			y := f(x)
			if !finite(y) {
				return value.Nothing, fault(x)
			}
			return value.Number(y), nil
		},
	}
}

// numeric2 is numeric1 for two numbers.
func numeric2(bound func(x, y interval.Jet) interval.Jet, b types.Builtin, f func(x, y float64) float64, fault func(x, y float64) error) value.Native {
	return value.Native{
		Builtin: &b,
		Num2:    f,
		Bounds:  bounds(func(args []*interval.Jet) interval.Jet { return bound(*args[0], *args[1]) }),
		Func: func(_ value.Host, args []value.Value) (value.Value, error) {
			x, y := args[0].Number(), args[1].Number()
			z := f(x, y)
			if !finite(z) {
				return value.Nothing, fault(x, y)
			}
			return value.Number(z), nil
		},
	}
}

// extreme makes min and max: of two numbers, of several, or of a list.
func extreme(b types.Builtin, better func(x, y float64) float64, bound func(x, y interval.Jet) interval.Jet) value.Native {
	b.Forms = []types.Form{
		gives(number("a"), number("b")),
		gives(number("a"), number("b"), rest(number("others"))),
		gives(of(types.List, "numbers")),
		takes(types.Any, of(types.List, "items"), of(types.Function, "key")),
	}
	return value.Native{
		Builtin: &b,
		Num2:    better,
		Bounds: bounds(func(args []*interval.Jet) interval.Jet {
			best := *args[0]
			for _, x := range args[1:] {
				best = bound(best, *x)
			}
			return best
		}),
		Func: func(h value.Host, args []value.Value) (value.Value, error) {
			numbers := args
			if args[0].Kind() == types.List {
				numbers = args[0].List()
				if len(numbers) == 0 {
					return value.Nothing, emptyList(b.Name)
				}
				if len(args) == 2 {
					return extremeBy(h, b.Name, numbers, args[1], better)
				}
			}
			if err := h.Charge(len(numbers), 0); err != nil {
				return value.Nothing, err
			}
			if err := allOf(b.Name, types.Number, numbers); err != nil {
				return value.Nothing, err
			}
			best := numbers[0].Number()
			for _, x := range numbers[1:] {
				best = better(best, x.Number())
			}
			return value.Number(best), nil
		},
	}
}

// extremeBy is the first item whose key is better than those of all others.
func extremeBy(h value.Host, name string, items []value.Value, key value.Value, better func(x, y float64) float64) (value.Value, error) {
	keys, err := mapItems(h, items, key)
	if err != nil {
		return value.Nothing, err
	}
	best := 0
	for i, k := range keys {
		if !k.IsNumber() {
			return value.Nothing, &diag.Fault{Code: "key-number", Args: diag.Args{"name": name, "number": i + 1, "found": k.Kind().String()}}
		}
		if b := keys[best].Number(); k.Number() != b && better(k.Number(), b) == k.Number() {
			best = i
		}
	}
	items[best].Share()
	return items[best], nil
}

// maxDecimals is as far as a float64 tells decimals apart.
const maxDecimals = 15

func roundWord() value.Native {
	return value.Native{
		Builtin: &types.Builtin{
			Name: "round",
			Forms: []types.Form{
				gives(number("x")),
				gives(number("x"), number("decimals")),
			},
			Doc:     "The whole number nearest to x, or the nearest number with so many decimals (0 to 15). Halves go away from 0.",
			Example: "note round(2.5)   # 3\nnote round(3.14159, 2)   # 3.14\n",
		},
		Bounds: bounds(func(args []*interval.Jet) interval.Jet {
			if len(args) == 1 {
				return args[0].Round()
			}
			if !args[1].IsConstant() || !finite(roundTo(0, args[1].V.Lo)) {
				return interval.Undefined()
			}
			scale := math.Pow10(int(args[1].V.Lo)) // exact up to 10^22
			return args[0].Scale(scale).Round().Div(interval.Constant(scale))
		}),
		Num1: round,
		Num2: roundTo,
		Func: func(_ value.Host, args []value.Value) (value.Value, error) {
			x := args[0].Number()
			if len(args) == 1 {
				return value.Number(round(x)), nil
			}
			y := roundTo(x, args[1].Number())
			if !finite(y) {
				return value.Nothing, decimalsRange("round", args[1].Number())
			}
			return value.Number(y), nil
		},
	}
}

func decimalsRange(name string, decimals float64) error {
	return &diag.Fault{Code: "decimals-range", Args: diag.Args{"name": name, "value": show(decimals)}}
}

// roundTo rounds to a number of decimals; NaN unless that is a whole number
// from 0 to maxDecimals.
func roundTo(x, decimals float64) float64 {
	if decimals != math.Trunc(decimals) || decimals < 0 || decimals > maxDecimals {
		return math.NaN()
	}
	scale := 1.0
	for range int(decimals) {
		scale *= 10 // exact up to 10^22
	}
	scaled := x * scale
	if math.Abs(scaled) >= 1<<52 {
		return x // x has no decimals beyond these
	}
	return round(scaled) / scale
}

func clampWord() value.Native {
	return value.Native{
		Builtin: &types.Builtin{
			Name:    "clamp",
			Forms:   []types.Form{gives(number("x"), number("low"), number("high"))},
			Doc:     "x, but low if it is below low and high if it is above high. low must not be above high.",
			Example: "note clamp(12, 0, 10)   # 10\n",
		},
		Bounds: bounds(func(args []*interval.Jet) interval.Jet {
			kept := args[0].Clamp(*args[1], *args[2])
			kept.Partial = kept.Partial || args[1].V.Hi > args[2].V.Lo
			return kept
		}),
		Func: func(_ value.Host, args []value.Value) (value.Value, error) {
			x, low, high := args[0].Number(), args[1].Number(), args[2].Number()
			if low > high {
				return value.Nothing, &diag.Fault{Code: "clamp-order", Args: diag.Args{"low": show(low), "high": show(high)}}
			}
			return value.Number(max(low, min(x, high))), nil
		},
	}
}

// round is math.Round without a negative zero.
func round(x float64) float64 { return math.Round(x) + 0 }

// ceil is math.Ceil without a negative zero.
func ceil(x float64) float64 { return math.Ceil(x) + 0 }

func sign(x float64) float64 {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}

// atan2 is NaN at (0, 0).
func atan2(y, x float64) float64 {
	angle, ok := elementary.Atan2Degrees(y, x)
	if !ok {
		return math.NaN()
	}
	return angle
}

// floorMod is a - b*floor(a/b), rounded once; NaN for b = 0. math.Mod is exact.
func floorMod(a, b float64) float64 {
	r := math.Mod(a, b)
	if r == 0 {
		return 0
	}
	if (r < 0) != (b < 0) {
		r += b
		if r == b { // a is so close under a multiple that the sum rounds to b
			return 0
		}
	}
	return r
}

// orNaN makes a function that marks the lack of a value by NaN.
func orNaN(f func(float64) (float64, bool)) func(float64) float64 {
	return func(x float64) float64 {
		y, ok := f(x)
		if !ok {
			return math.NaN()
		}
		return y
	}
}

func outsideOne(name string) func(x float64) error {
	return func(x float64) error {
		return &diag.Fault{Code: "sine-range", Args: diag.Args{"name": name, "value": show(x)}}
	}
}

func finite(x float64) bool { return math.Abs(x) <= math.MaxFloat64 }
