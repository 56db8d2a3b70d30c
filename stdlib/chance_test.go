package stdlib_test

import (
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/lang/diag"

	"wend/runtime/value"
)

// splitMix is SplitMix64 (Steele, Lea, Flood, Fast Splittable Pseudorandom
// Number Generators, OOPSLA 2014) once more, with whole numbers of any size
// brought back to 64 bits after each step.
func splitMix(state *big.Int) *big.Int {
	modulus := new(big.Int).Lsh(big.NewInt(1), 64)
	wrap := func(x *big.Int) *big.Int { return x.Mod(x, modulus) }
	number := func(hex string) *big.Int { x, _ := new(big.Int).SetString(hex, 16); return x }
	mix := func(z *big.Int, shift uint, factor string) *big.Int {
		z = new(big.Int).Xor(z, new(big.Int).Rsh(z, shift))
		return wrap(z.Mul(z, number(factor)))
	}
	wrap(state.Add(state, number("9e3779b97f4a7c15")))
	z := mix(mix(state, 30, "bf58476d1ce4e5b9"), 27, "94d049bb133111eb")
	return z.Xor(z, new(big.Int).Rsh(z, 31))
}

// The five numbers are the widely printed first outputs for seed 1234567 (from
// memory), and agree with the second writing of the algorithm above.
func TestTheRandomSequenceIsSplitMix64(t *testing.T) {
	chance, state := value.NewChance(1234567), big.NewInt(1234567)
	for _, want := range []uint64{
		6457827717110365317, 3203168211198807973, 9817491932198370423, 4593380528125082431, 16408922859458223821,
	} {
		require.Equal(t, want, splitMix(state).Uint64())
		require.Equal(t, want, chance.Next())
	}
	rapid.Check(t, func(t *rapid.T) {
		seed := rapid.Uint64().Draw(t, "seed")
		require.Equal(t, splitMix(new(big.Int).SetUint64(seed)).Uint64(), value.NewChance(seed).Next())
	})
}

func TestRandomNumbersAreTheTop53BitsOfTheSequence(t *testing.T) {
	h, state := newHost(7), big.NewInt(7)
	unit := func() float64 { return float64(splitMix(state).Uint64()>>11) / (1 << 53) }
	for range 50 {
		for _, c := range []struct {
			args      []any
			low, high float64
		}{{nil, 0, 1}, {[]any{20}, 0, 20}, {[]any{-5, 5}, -5, 5}, {[]any{5, -5}, 5, -5}} {
			got, err := native("random").Func(h, values(c.args))
			require.NoError(t, err)
			require.Equal(t, c.low+float64((c.high-c.low)*unit()), got.Number())
		}
	}
}

func TestPicksAndOrdersAreEquallyLikely(t *testing.T) {
	h := newHost(1)
	orders := map[string]int{}
	picks := map[float64]int{}
	const runs = 12000
	for range runs {
		items := values([]any{[]any{1, 2, 3}})
		order, err := native("shuffle").Func(h, items)
		require.NoError(t, err)
		orders[order.String()]++
		picked, err := native("choose").Func(h, items)
		require.NoError(t, err)
		picks[picked.Number()]++
	}
	require.Len(t, orders, 6)
	require.Len(t, picks, 3)
	// Five standard deviations of a binomial count.
	for _, n := range orders {
		require.InDelta(t, runs/6.0, float64(n), 5*math.Sqrt(runs*(1.0/6)*(5.0/6)))
	}
	for _, n := range picks {
		require.InDelta(t, runs/3.0, float64(n), 5*math.Sqrt(runs*(1.0/3)*(2.0/3)))
	}
}

func noise(t require.TestingT, seed uint64, at ...any) float64 {
	return noiseLayers(t, seed, nil, at...)
}

func noiseLayers(t require.TestingT, seed uint64, layers any, at ...any) float64 {
	v, err := native("noise").Func(newHost(seed), append(values(at), toValue(layers)))
	require.NoError(t, err)
	return v.Number()
}

// slowNoise is the documented algorithm once more, written as its definition
// reads, with the standard library's functions.
func slowNoise(seed uint64, x, y float64) float64 {
	scramble := func(z uint64) uint64 { return splitMix(new(big.Int).SetUint64(z)).Uint64() }
	fade := func(t float64) float64 { return 6*math.Pow(t, 5) - 15*math.Pow(t, 4) + 10*math.Pow(t, 3) }
	sum := 0.0
	for _, i := range []float64{math.Floor(x), math.Floor(x) + 1} {
		for _, j := range []float64{math.Floor(y), math.Floor(y) + 1} {
			h := scramble(scramble(scramble(seed)+uint64(uint32(int64(i)))) + uint64(uint32(int64(j))))
			sin, cos := math.Sincos(float64(h>>60) * math.Pi / 8)
			weight := fade(1-math.Abs(x-i)) * fade(1-math.Abs(y-j))
			sum += weight * (cos*(x-i) + sin*(y-j))
		}
	}
	return math.Sqrt2 * sum
}

func slowNoise3(seed uint64, x, y, z float64) float64 {
	scramble := func(z uint64) uint64 { return splitMix(new(big.Int).SetUint64(z)).Uint64() }
	fade := func(t float64) float64 { return 6*math.Pow(t, 5) - 15*math.Pow(t, 4) + 10*math.Pow(t, 3) }
	var slopes [][3]float64
	for _, zero := range []int{2, 1, 0} {
		for k := range 4 {
			signs := []float64{1 - 2*float64(k%2), 1 - 2*float64(k/2)}
			var slope [3]float64
			for axis := range 3 {
				if axis != zero {
					slope[axis], signs = signs[0]/math.Sqrt2, signs[1:]
				}
			}
			slopes = append(slopes, slope)
		}
	}
	sum := 0.0
	for _, i := range []float64{math.Floor(x), math.Floor(x) + 1} {
		for _, j := range []float64{math.Floor(y), math.Floor(y) + 1} {
			for _, k := range []float64{math.Floor(z), math.Floor(z) + 1} {
				h := scramble(scramble(scramble(scramble(seed)+uint64(uint32(int64(i))))+uint64(uint32(int64(j)))) + uint64(uint32(int64(k))))
				slope := slopes[int(float64(h>>11)/(1<<53)*12)]
				weight := fade(1-math.Abs(x-i)) * fade(1-math.Abs(y-j)) * fade(1-math.Abs(z-k))
				sum += weight * (slope[0]*(x-i) + slope[1]*(y-j) + slope[2]*(z-k))
			}
		}
	}
	return 2 / math.Sqrt(3) * sum
}

func slowNoise1(seed uint64, x float64) float64 {
	scramble := func(z uint64) uint64 { return splitMix(new(big.Int).SetUint64(z)).Uint64() }
	fade := func(t float64) float64 { return 6*math.Pow(t, 5) - 15*math.Pow(t, 4) + 10*math.Pow(t, 3) }
	sum := 0.0
	for _, i := range []float64{math.Floor(x), math.Floor(x) + 1} {
		f := float64(scramble(scramble(seed)+uint64(uint32(int64(i))))>>11) / (1 << 53)
		sum += fade(1-math.Abs(x-i)) * (2*f - 1) * (x - i)
	}
	return 2 * sum
}

func TestNoiseIsTheDocumentedGradientNoise(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		seed := rapid.Uint64().Draw(t, "seed")
		x := rapid.Float64Range(-1000, 1000).Draw(t, "x")
		y := rapid.Float64Range(-1000, 1000).Draw(t, "y")
		require.InDelta(t, slowNoise(seed, x, y), noise(t, seed, x, y), 1e-12)
		require.InDelta(t, slowNoise1(seed, x), noise(t, seed, x), 1e-12)
		z := rapid.Float64Range(-1000, 1000).Draw(t, "z")
		require.InDelta(t, slowNoise3(seed, x, y, z), noise(t, seed, x, y, z), 1e-12)
		// One layer is the noise itself; two are it and one at double the place,
		// 0.618 farther on, with the slopes of another seed.
		require.Equal(t, noise(t, seed, x, y), noiseLayers(t, seed, 1, x, y))
		layer := splitMix(new(big.Int).SetUint64(seed)).Uint64() + 1
		aside := (math.Sqrt(5) - 1) / 2
		second := slowNoise(layer, 2*x+aside, 2*y+aside)
		require.InDelta(t, (slowNoise(seed, x, y)+second/2)/1.5, noiseLayers(t, seed, 2, x, y), 1e-11)
	})
}

// The bits are the same on every processor, for good: they are part of the
// language.
func TestNoiseHasTheseBits(t *testing.T) {
	for _, c := range []struct {
		seed uint64
		at   []any
		want uint64
	}{
		{1, []any{0.5}, 0xbfc44aa9465eef24},
		{1, []any{-3.25}, 0x3fcebcfac6905394},
		{1, []any{0.5, 0.5}, 0xbfe3b87992c37178},
		{1, []any{12.3, -4.56}, 0x3fbd9ba3dcea9820},
		{42, []any{1e6 + 0.1, 7.7}, 0xbfce574243975f07},
		{1, []any{12.3, -4.56, 7.89}, 0x3fd70e92dd5df50c},
	} {
		require.Equal(t, c.want, math.Float64bits(noise(t, c.seed, c.at...)), "noise(%v) with seed %d: %#x", c.at, c.seed, math.Float64bits(noise(t, c.seed, c.at...)))
	}
}

func TestNoiseIsSmoothZeroAtWholeNumbersAndWithinOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		seed := rapid.Uint64().Draw(t, "seed")
		i, j := rapid.IntRange(-1000, 1000).Draw(t, "i"), rapid.IntRange(-1000, 1000).Draw(t, "j")
		require.Zero(t, noise(t, seed, i, j))
		require.Zero(t, noise(t, seed, i))
		x, y := rapid.Float64Range(-100, 100).Draw(t, "x"), rapid.Float64Range(-100, 100).Draw(t, "y")
		for _, at := range [][]any{{x}, {x, y}, {x, y, x - y}} {
			n := noise(t, seed, at...)
			require.LessOrEqual(t, math.Abs(n), 1.0)
			for k := range at {
				near := append([]any{}, at...)
				near[k] = at[k].(float64) + 1e-6
				require.LessOrEqual(t, math.Abs(noise(t, seed, near...)-n), 1e-5)
			}
		}
		for _, far := range []any{1e15 + 0.5, -1e300, 1e300} {
			require.LessOrEqual(t, math.Abs(noise(t, seed, far, y)), 1.0)
		}
	})
}

func TestLayersStayWithinOneAndAreWholeNumbers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := rapid.Float64Range(-100, 100).Draw(t, "x"), rapid.Float64Range(-100, 100).Draw(t, "y")
		layers := rapid.IntRange(1, 24).Draw(t, "layers")
		require.LessOrEqual(t, math.Abs(noiseLayers(t, 1, layers, x, y)), 1.0)
		require.LessOrEqual(t, math.Abs(noiseLayers(t, 1, layers, x, y, 3.5)), 1.0)
	})
	for _, layers := range []any{0, 2.5, -1, 25} {
		require.Equal(t, diag.Code("layers-range"), faultOf(t, "noise", 1, layers))
	}
	// The layers' zeros at whole numbers do not meet.
	require.NotZero(t, noiseLayers(t, 1, 3, 5, 7))
}

// No slopes of size 1 can add up to more than √½: the bound that noise is
// brought to 1 by. The weights and distances alone decide it.
func TestNoiseOfTwoNumbersCannotPassOne(t *testing.T) {
	fade := func(t float64) float64 { return t * t * t * (t*(6*t-15) + 10) }
	largest := 0.0
	const steps = 400
	for a := range steps + 1 {
		for b := range steps + 1 {
			x, y := float64(a)/steps, float64(b)/steps
			sum := 0.0
			for _, i := range []float64{0, 1} {
				for _, j := range []float64{0, 1} {
					sum += fade(1-math.Abs(x-i)) * fade(1-math.Abs(y-j)) * math.Hypot(x-i, y-j)
				}
			}
			largest = max(largest, sum)
		}
	}
	require.InDelta(t, math.Sqrt(0.5), largest, 1e-12)
}
