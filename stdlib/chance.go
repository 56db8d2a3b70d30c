package stdlib

import (
	"math"
	"slices"

	"wend/lang/types"
	"wend/runtime/value"
)

// chanceWords are the functions of chance. They follow value.Chance, one
// sequence a run, so the order in which a program calls them matters; noise
// alone depends on nothing but the seed and where it is asked for.
func chanceWords() []value.Native {
	return []value.Native{
		{
			Builtin: &types.Builtin{
				Name: "random", May: types.Chance,
				Forms: []types.Form{
					gives(),
					gives(number("high")),
					gives(number("low"), number("high")),
				},
				Doc: "A number by chance, each equally likely: from low up to high, from 0 up to high, or from 0 up to 1. For a whole number write `choose(1..6)`.",
				Example: `seed 3
begin 10, 50
loop k in 1..12 {
  reach 10 * k, random(30, 70)
}
`,
			},
			Func: func(h value.Host, args []value.Value) (value.Value, error) {
				low, high := 0.0, 1.0
				switch len(args) {
				case 1:
					high = args[0].Number()
				case 2:
					low, high = args[0].Number(), args[1].Number()
				}
				x := low + float64((high-low)*h.Chance().Float())
				if !finite(x) {
					return value.Nothing, tooLarge("random", high)
				}
				return value.Number(x), nil
			},
		},
		{
			Builtin: &types.Builtin{
				Name: "choose", May: types.Chance,
				Forms: []types.Form{takes(types.Any, of(types.List, "items"))},
				Doc:   "One item of a list by chance, each equally likely. The list must hold at least one.",
				Example: `seed 5
begin 70, 50
loop 30 {
  face choose([0, 90, 180, 270])
  ahead 5
}
`,
			},
			Func: func(h value.Host, args []value.Value) (value.Value, error) {
				items := args[0].List()
				if len(items) == 0 {
					return value.Nothing, emptyList("choose")
				}
				item := items[h.Chance().Below(len(items))]
				item.Share()
				return item, nil
			},
		},
		{
			Builtin: &types.Builtin{
				Name: "shuffle", May: types.Chance,
				Forms: []types.Form{rearranges(of(types.List, "items"))},
				Doc:   "The items of a list in an order by chance, each order equally likely.",
				Example: `seed 2
begin 10, 50
loop y in shuffle(1..9) {
  shift 10, 0
  reach here.x, y * 10
}
`,
			},
			Func: shuffle,
		},
		{
			Builtin: &types.Builtin{
				Name: "noise",
				Forms: []types.Form{
					gives(number("x")),
					gives(number("x"), number("y")),
				},
				Doc: "A smooth number from -1 to 1 that wanders as x, or x and y, change: 0 at whole numbers, with one hill or valley or so between them. It depends on the seed, and is the same each time it is asked for at one place.",
				Example: `seed 4
begin 10, 50
draw curve t in 0..120 = (t, 40 * noise(t / 20))
`,
			},
			Func: func(h value.Host, args []value.Value) (value.Value, error) {
				if len(args) == 1 {
					return value.Number(noise1(h.Seed(), args[0].Number())), nil
				}
				return value.Number(noise2(h.Seed(), args[0].Number(), args[1].Number())), nil
			},
		},
	}
}

// shuffle is Durstenfeld's, from the last item down: item i changes places with
// one of the items up to it, itself included.
func shuffle(h value.Host, args []value.Value) (value.Value, error) {
	items := args[0].List()
	if err := h.Charge(len(items), len(items)*itemBytes); err != nil {
		return value.Nothing, err
	}
	result := slices.Clone(items)
	for i := len(result) - 1; i > 0; i-- {
		j := h.Chance().Below(i + 1)
		result[i], result[j] = result[j], result[i]
	}
	return ofItems(result), nil
}

// Gradient noise. Every whole number (or pair) has a slope, fixed by the seed;
// between them the straight lines (planes) of those slopes are mixed by a curve
// whose first and second derivatives vanish at its ends, so the noise is smooth
// to the second derivative everywhere.
//
// The slopes come from scramble, which is one step of SplitMix64:
//
//	one number:   h = scramble(scramble(seed) + i), and the slope is the top
//	              53 bits of h, over 2^52, less 1: from -1 up to 1
//	two numbers:  h = scramble(scramble(scramble(seed) + i) + j), and the slope
//	              is the unit vector at 22.5 degrees times the top 4 bits of h
//
// where i and j are the whole numbers modulo 2^32. A mix of slopes of size 1 is
// at most 1/2 for one number and √½ for two, reached halfway; the results are
// multiplied by 2 and √2.

func scramble(x uint64) uint64 { return value.NewChance(x).Next() }

// lattice is the whole number at or under x, modulo 2^32, and how far x lies
// above it.
func lattice(x float64) (cell uint32, within float64) {
	whole := math.Floor(x)
	lap := math.Mod(whole, 1<<32)
	if lap < 0 {
		lap += 1 << 32
	}
	return uint32(lap), x - whole
}

// fade is 6t⁵ - 15t⁴ + 10t³.
func fade(t float64) float64 {
	inner := float64(t*(float64(t*6)-15)) + 10
	return t * t * t * inner
}

func blend(a, b, t float64) float64 { return a + float64((b-a)*t) }

func noise1(seed uint64, x float64) float64 {
	cell, t := lattice(x)
	base := scramble(seed)
	ramp := func(cell uint32, t float64) float64 {
		slope := float64(float64(scramble(base+uint64(cell))>>11)*(1.0/(1<<52))) - 1
		return float64(slope * t)
	}
	return 2 * blend(ramp(cell, t), ramp(cell+1, t-1), fade(t))
}

func noise2(seed uint64, x, y float64) float64 {
	column, s := lattice(x)
	row, t := lattice(y)
	base := scramble(seed)
	ramp := func(column, row uint32, s, t float64) float64 {
		g := compass[scramble(scramble(base+uint64(column))+uint64(row))>>60]
		return float64(g[0]*s) + float64(g[1]*t)
	}
	u := fade(s)
	low := blend(ramp(column, row, s, t), ramp(column+1, row, s-1, t), u)
	high := blend(ramp(column, row+1, s, t-1), ramp(column+1, row+1, s-1, t-1), u)
	return math.Sqrt2 * blend(low, high, fade(t))
}

// cos22 and sin22 belong to an angle of 22.5 degrees.
const (
	cos22 = 0.92387953251128675612818318939678828682
	sin22 = 0.38268343236508977172845998403039886676
	half  = math.Sqrt2 / 2
)

// compass are the unit vectors at multiples of 22.5 degrees.
var compass = [16][2]float64{
	{1, 0}, {cos22, sin22}, {half, half}, {sin22, cos22},
	{0, 1}, {-sin22, cos22}, {-half, half}, {-cos22, sin22},
	{-1, 0}, {-cos22, -sin22}, {-half, -half}, {-sin22, -cos22},
	{0, -1}, {sin22, -cos22}, {half, -half}, {cos22, -sin22},
}
