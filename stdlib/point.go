package stdlib

import (
	"wend/lang/diag"
	"wend/lang/types"
	"wend/runtime/geom"
	"wend/runtime/geom/interval"
	"wend/runtime/value"
)

// nearEnough is within how much `near` takes two numbers, or two points in mm,
// for the same.
const nearEnough = 0.001

// pointWords are the functions of points, and those of numbers and points alike.
func pointWords() []value.Native {
	return []value.Native{
		{
			Builtin: &types.Builtin{
				Name:  "polar",
				Forms: []types.Form{takes(types.Point, length("r"), angle("angle"))},
				Doc:   "The point r mm from (0, 0) in the direction of an angle in degrees: 0 to the right, 90 up.",
				Example: `begin page.center + polar(40, 0)
loop k in 1..5 {
  reach page.center + polar(40, k * 144)
}
`,
			},
			Bounds: func(_ uint64, args []*interval.Jet) (x, y interval.Jet) { return interval.Polar(*args[0], *args[1]) },
			Func: func(_ value.Host, args []value.Value) (value.Value, error) {
				return finitePoint("polar", geom.Polar(args[0].Number(), args[1].Number()))
			},
		},
		{
			Builtin: &types.Builtin{
				Name:    "distance",
				Forms:   []types.Form{gives(of(types.Point, "p"), of(types.Point, "q"))},
				Doc:     "How far two points are from each other, in mm.",
				Example: "note distance((10, 10), (40, 50))   # 50\n",
			},
			Bounds: bounds(func(args []*interval.Jet) interval.Jet {
				dx, dy := args[0].Sub(*args[2]), args[1].Sub(*args[3])
				return dx.Square().Add(dy.Square()).Sqrt()
			}),
			Func: func(_ value.Host, args []value.Value) (value.Value, error) {
				d := args[0].Point().Distance(args[1].Point())
				if !finite(d) {
					return value.Nothing, tooLarge("distance", args[0].Point().X)
				}
				return value.Number(d), nil
			},
		},
		nearestWord(),
		{
			Builtin: &types.Builtin{
				Name:    "direction",
				Forms:   []types.Form{gives(of(types.Point, "p"), of(types.Point, "q"))},
				Doc:     "The heading from point p to point q, in degrees: 0 or more and less than 360. The two must not be the same point.",
				Example: "note direction((10, 10), (10, 50))   # 90\n",
			},
			Func: func(_ value.Host, args []value.Value) (value.Value, error) {
				way := args[1].Point().Sub(args[0].Point())
				heading, ok := geom.DirectionOf(way)
				if !ok || way.Length() <= geom.SamePoint {
					return value.Nothing, noDirection("direction", "both points are the same")
				}
				return value.Number(heading), nil
			},
		},
		{
			Builtin: &types.Builtin{
				Name: "mix",
				Forms: []types.Form{
					gives(number("a"), number("b"), number("t")),
					takes(types.Point, of(types.Point, "a"), of(types.Point, "b"), number("t")),
				},
				Doc: "The number or point at t on the way from a to b: a for t = 0, b for t = 1, halfway for t = 0.5. Below 0 and above 1 it lies beyond.",
				Example: `begin 20, 20
loop k in 0..10 {
  reach mix((20, 20), (120, 20), k / 10)
  reach mix((20, 80), (120, 50), k / 10)
}
note mix(10, 20, 0.25)   # 12.5
`,
			},
			Bounds: func(_ uint64, args []*interval.Jet) (x, y interval.Jet) {
				if len(args) == 3 {
					return args[0].Mix(*args[1], *args[2]), y
				}
				return args[0].Mix(*args[2], *args[4]), args[1].Mix(*args[3], *args[4])
			},
			Func: mix,
		},
		{
			Builtin: &types.Builtin{
				Name: "near",
				Forms: []types.Form{
					takes(types.Bool, number("a"), number("b")),
					takes(types.Bool, of(types.Point, "a"), of(types.Point, "b")),
				},
				Doc:     "Whether two numbers differ by no more than 0.001, or two points lie no more than 0.001 mm apart. `==` is exact, and computed numbers seldom are.",
				Example: "note 0.1 + 0.2 == 0.3   # false\nnote near(0.1 + 0.2, 0.3)   # true\n",
			},
			Func: func(_ value.Host, args []value.Value) (value.Value, error) {
				if args[0].Kind() == types.Point {
					return value.Bool(args[0].Point().Distance(args[1].Point()) <= nearEnough), nil
				}
				d := args[0].Number() - args[1].Number()
				return value.Bool(-nearEnough <= d && d <= nearEnough), nil
			},
		},
	}
}

func mix(_ value.Host, args []value.Value) (value.Value, error) {
	t := args[2].Number()
	if args[0].Kind() == types.Point {
		return finitePoint("mix", args[0].Point().Mix(args[1].Point(), t))
	}
	a, b := args[0].Number(), args[1].Number()
	x := b
	if t != 1 { // so that both ends are exact
		x = a + float64((b-a)*t)
	}
	if !finite(x) {
		return value.Nothing, tooLarge("mix", t)
	}
	return value.Number(x), nil
}

func finitePoint(name string, p geom.Point) (value.Value, error) {
	if !p.Finite() {
		return value.Nothing, &diag.Fault{Code: "path-too-large", Args: diag.Args{"name": name}}
	}
	return value.Point(p), nil
}
