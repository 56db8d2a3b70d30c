package stdlib

import (
	"math"
	"math/bits"

	"wend/lang/diag"
	"wend/lang/types"
	"wend/runtime/value"
)

func noiseWord() value.Native {
	layers := optional(number("layers"))
	return value.Native{
		Builtin: &types.Builtin{
			Name: "noise",
			Forms: []types.Form{
				// The longest first: a second number is y, not layers.
				gives(number("x"), number("y"), number("z"), layers),
				gives(number("x"), number("y"), layers),
				gives(number("x"), layers),
			},
			Doc: "A smooth number from -1 to 1 that wanders as x, or x and y, or all three, change: 0 at whole numbers, with one hill or valley or so between them. It depends on the seed, and is the same each time it is asked for at one place. " +
				"With `layers:` (1 to 24) it has finer and finer hills on its hills: each further layer half as wide and half as high.",
			Example: `seed 4
begin 10, 70
draw curve t in 0..120 = (t, 40 * noise(t / 20)) at (10, 70)
sneak 10, 30
draw curve t in 0..120 = (t, 40 * noise(t / 20, layers: 4)) at (10, 30)
`,
		},
		Bounds: noiseBounds,
		Func: func(h value.Host, args []value.Value) (value.Value, error) {
			last := len(args) - 1
			count := 1.0
			if args[last].Kind() != types.Nothing {
				count = args[last].Number()
			}
			if count != math.Trunc(count) || count < 1 || count > mostLayers {
				return value.Nothing, &diag.Fault{Code: "layers-range", Args: diag.Args{"value": show(count), "most": mostLayers}}
			}
			var at [3]float64
			for i, arg := range args[:last] {
				at[i] = arg.Number()
			}
			return value.Number(layered(h.Seed(), at[:last], int(count))), h.Charge(int(count)*last/2, 0)
		},
	}
}

// mostLayers is where a layer is too low to show, however high the first is.
const mostLayers = 24

// layered adds layers of noise: layer k, from 0, is 2^k times finer and lower.
// Each has slopes of its own and lies a little aside, so that their zeros do
// not meet. The sum is divided by that of the heights.
func layered(seed uint64, at []float64, count int) float64 {
	sum, heights, height := 0.0, 0.0, 1.0
	var finer [3]float64
	for k := range count {
		for i, x := range at {
			finer[i] = layerPlace(x, k)
		}
		sum += float64(height * noiseAt(layerSeed(seed, k), finer[:len(at)]))
		heights += height
		height /= 2
	}
	return sum / heights
}

// layerPlace is where a layer is asked for a place: off by a multiple of the
// golden ratio.
func layerPlace(x float64, layer int) float64 {
	return float64(x*float64(int(1)<<layer)) + float64(float64(layer)*(math.Phi-1))
}

func layerSeed(seed uint64, layer int) uint64 {
	if layer == 0 {
		return seed
	}
	return scramble(seed) + uint64(layer)
}

// Gradient noise. Every whole number (or pair, or three) has a slope, fixed by the seed;
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
//	three:        one more scramble for the third, and the slope is one of the
//	              twelve from the middle of a cube to the middles of its edges:
//	              number ⌊12 h / 2^64⌋ of directions, over √2
//
// where i and j are the whole numbers modulo 2^32. A mix of slopes of size 1 is
// at most 1/2 for one number, √½ for two and √¾ for three, reached halfway; the
// results are multiplied by 2, √2 and 2/√3.

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

func noiseAt(seed uint64, at []float64) float64 {
	switch len(at) {
	case 1:
		return noise1(seed, at[0])
	case 2:
		return noise2(seed, at[0], at[1])
	}
	return noise3(seed, at[0], at[1], at[2])
}

func noise1(seed uint64, x float64) float64 {
	cell, t := lattice(x)
	base := scramble(seed)
	ramp := func(cell uint32, t float64) float64 {
		return float64(slope1(scramble(base+uint64(cell))) * t)
	}
	return 2 * blend(ramp(cell, t), ramp(cell+1, t-1), fade(t))
}

// slope1 is the slope that belongs to a scrambled place.
func slope1(h uint64) float64 { return float64(float64(h>>11)*(1.0/(1<<52))) - 1 }

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

func noise3(seed uint64, x, y, z float64) float64 {
	column, s := lattice(x)
	row, t := lattice(y)
	floor, r := lattice(z)
	base := scramble(seed)
	ramp := func(column, row, floor uint32, s, t, r float64) float64 {
		g := direction3(scramble(scramble(scramble(base+uint64(column))+uint64(row)) + uint64(floor)))
		return float64(g[0]*s) + float64(g[1]*t) + float64(g[2]*r)
	}
	u, v := fade(s), fade(t)
	layer := func(floor uint32, r float64) float64 {
		low := blend(ramp(column, row, floor, s, t, r), ramp(column+1, row, floor, s-1, t, r), u)
		high := blend(ramp(column, row+1, floor, s, t-1, r), ramp(column+1, row+1, floor, s-1, t-1, r), u)
		return blend(low, high, v)
	}
	return 2 / sqrt3 * blend(layer(floor, r), layer(floor+1, r-1), fade(r))
}

// direction3 is the slope that belongs to a scrambled place.
func direction3(h uint64) [3]float64 {
	k, _ := bits.Mul64(h, uint64(len(directions)))
	return directions[k]
}

// cos22 and sin22 belong to an angle of 22.5 degrees.
const (
	cos22 = 0.92387953251128675612818318939678828682
	sin22 = 0.38268343236508977172845998403039886676
	half  = math.Sqrt2 / 2
	sqrt3 = 1.7320508075688772935274463415058723669428
)

// compass are the unit vectors at multiples of 22.5 degrees.
var compass = [16][2]float64{
	{1, 0}, {cos22, sin22}, {half, half}, {sin22, cos22},
	{0, 1}, {-sin22, cos22}, {-half, half}, {-cos22, sin22},
	{-1, 0}, {-cos22, -sin22}, {-half, -half}, {-sin22, -cos22},
	{0, -1}, {sin22, -cos22}, {half, -half}, {cos22, -sin22},
}

// directions are the unit vectors from the middle of a cube to the middles of
// its edges.
var directions = [12][3]float64{
	{half, half, 0}, {-half, half, 0}, {half, -half, 0}, {-half, -half, 0},
	{half, 0, half}, {-half, 0, half}, {half, 0, -half}, {-half, 0, -half},
	{0, half, half}, {0, -half, half}, {0, half, -half}, {0, -half, -half},
}
