package elementary

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// worst keeps the largest error seen of one function.
type worst struct {
	ulps      float64
	arguments []float64
}

func (w *worst) see(got float64, want *big.Float, arguments ...float64) {
	if u := ulpsFrom(got, want); u > w.ulps {
		*w = worst{u, arguments}
	}
}

func (w *worst) require(t *testing.T, name string, bound float64) {
	t.Helper()
	t.Logf("%s: worst error %.3f units of the last place at %v", name, w.ulps, w.arguments)
	require.LessOrEqual(t, w.ulps, bound, "%s%v", name, w.arguments)
}

func must(t *testing.T) func(x float64, ok bool) float64 {
	return func(x float64, ok bool) float64 {
		t.Helper()
		require.True(t, ok)
		return x
	}
}

// angles mixes small, ordinary and huge ones, and neighbours of multiples of 15.
func angles(random *rand.Rand, n int) []float64 {
	var xs []float64
	for i := range n {
		x := (random.Float64() - 0.5) * 2
		switch i % 4 {
		case 0:
			x *= 45
		case 1:
			x *= 1000
		case 2:
			x = math.Ldexp(x, random.IntN(120)-60)
		case 3:
			x = float64(random.IntN(100)-50)*15 + math.Ldexp(x, -random.IntN(50))
		}
		xs = append(xs, x)
	}
	return xs
}

func TestTrigonometryIsRightToLessThanOneUnitOfTheLastPlace(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	var sin, cos, tan worst
	for _, x := range angles(random, 6000) {
		s, c := bigSin(x), bigCos(x)
		if math.Mod(x, 90) != 0 {
			sin.see(SinDegrees(x), s, x)
			cos.see(CosDegrees(x), c, x)
			tan.see(must(t)(TanDegrees(x)), div(s, c), x)
		}
		bothSin, bothCos := SinCosDegrees(x)
		require.Equal(t, SinDegrees(x), bothSin, "sine of %v", x)
		require.Equal(t, CosDegrees(x), bothCos, "cosine of %v", x)
	}
	sin.require(t, "SinDegrees", 0.8)
	cos.require(t, "CosDegrees", 0.8)
	tan.require(t, "TanDegrees", 0.9)
}

func TestInverseTrigonometryIsRightToLessThanOneUnitOfTheLastPlace(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	var atan, asin, acos worst
	for range 6000 {
		y, x := math.Exp(random.Float64()*60-30), math.Exp(random.Float64()*4-2)
		if random.IntN(2) == 0 {
			y = x * math.Exp(random.Float64()*4-2)
		}
		atan.see(must(t)(Atan2Degrees(y, x)), bigAtan2(newFloat(y), newFloat(x)), y, x)

		v := random.Float64()
		switch random.IntN(3) {
		case 0:
			v = math.Exp(-20 * v)
		case 1:
			v = 1 - math.Exp(-20*v)
		}
		b := newFloat(v)
		other := empty().Sqrt(mul(sub(newFloat(1), b), add(newFloat(1), b)))
		asin.see(must(t)(AsinDegrees(v)), bigAtan2(b, other), v)
		acos.see(must(t)(AcosDegrees(v)), bigAtan2(other, b), v)
	}
	atan.require(t, "Atan2Degrees", 0.6)
	asin.require(t, "AsinDegrees", 0.6)
	acos.require(t, "AcosDegrees", 0.6)
}

func TestExponentialsAreRightToLessThanOneUnitOfTheLastPlace(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 8))
	var exp, log, pow worst
	for i := range 4000 {
		x := (random.Float64() - 0.5) * 1400
		if i%2 == 0 {
			x = math.Ldexp(random.Float64()-0.5, -random.IntN(40))
		}
		exp.see(must(t)(Exp(x)), bigExp(newFloat(x)), x)

		y := math.Exp((random.Float64() - 0.5) * 1400)
		if i%2 == 0 {
			y = 1 + math.Ldexp(random.Float64()-0.5, -random.IntN(40))
		}
		log.see(must(t)(Log(y)), bigLog(y), y)

		base, power := math.Exp((random.Float64()-0.5)*20), (random.Float64()-0.5)*120
		switch i % 4 {
		case 0:
			power = float64(random.IntN(140) - 70)
		case 1:
			base = 1 + math.Ldexp(random.Float64()-0.5, -random.IntN(30))
		}
		if power != 0 && base != 1 {
			pow.see(must(t)(Pow(base, power)), bigExp(mul(bigLog(base), newFloat(power))), base, power)
		}
	}
	exp.require(t, "Exp", 1)
	log.require(t, "Log", 1)
	pow.require(t, "Pow", 0.8)
}

// The sines that are rational at rational degrees are 0, ±1/2 and ±1 (Niven,
// Irrational Numbers, 1956, corollary 3.12).
func TestSineAndCosineAreExactWhereTheyAreRational(t *testing.T) {
	values := [12]float64{0, 0.5, math.NaN(), 1, math.NaN(), 0.5, 0, -0.5, math.NaN(), -1, math.NaN(), -0.5}
	for k := -120; k <= 120; k++ {
		for _, turns := range []float64{0, 360e6, 360e15, -360e12} {
			angle := float64(30*k) + turns
			if angle-turns != float64(30*k) { // rounded away
				continue
			}
			if want := values[((k%12)+12)%12]; !math.IsNaN(want) {
				require.Equal(t, want, SinDegrees(angle), "sine of %v", angle)
				require.False(t, math.Signbit(SinDegrees(angle)) && want == 0)
			}
			if want := values[((k+3)%12+12)%12]; !math.IsNaN(want) {
				require.Equal(t, want, CosDegrees(angle), "cosine of %v", angle)
			}
		}
	}
}

func TestTangentIsExactAtMultiplesOf45AndHasPoles(t *testing.T) {
	for k := -40; k <= 40; k++ {
		tan, ok := TanDegrees(float64(45 * k))
		switch (k%4 + 4) % 4 {
		case 0:
			require.True(t, ok)
			require.Equal(t, 0.0, tan)
		case 1:
			require.Equal(t, 1.0, tan)
		case 2:
			require.False(t, ok)
		case 3:
			require.Equal(t, -1.0, tan)
		}
	}
}

// Handbook values of the angles of the regular polygons (Abramowitz & Stegun,
// Handbook of Mathematical Functions, 1964, table 4.3.46).
func TestInversesReturnTheClassicalAnglesExactly(t *testing.T) {
	root2, root3, root6 := math.Sqrt(2), math.Sqrt(3), math.Sqrt(6)
	for _, c := range []struct{ sine, degrees float64 }{
		{0, 0}, {0.5, 30}, {root2 / 2, 45}, {math.Sqrt(0.5), 45}, {root3 / 2, 60}, {1, 90},
	} {
		for _, sign := range []float64{1, -1} {
			require.Equal(t, sign*c.degrees+0, must(t)(AsinDegrees(sign*c.sine))+0)
		}
		require.Equal(t, 90-c.degrees, must(t)(AcosDegrees(c.sine)))
		require.Equal(t, 90+c.degrees, must(t)(AcosDegrees(-c.sine)))
	}
	require.InDelta(t, 15, must(t)(AsinDegrees((root6-root2)/4)), 1e-14)
	for k := -11; k <= 12; k++ {
		angle := float64(15 * k)
		got := must(t)(AsinDegrees(SinDegrees(angle)))
		require.Equal(t, SinDegrees(angle), SinDegrees(got))
		require.Equal(t, math.Mod(got, 15), 0.0)
	}
	for _, c := range []struct{ y, x, degrees float64 }{
		{0, 1, 0}, {1, 1, 45}, {1, 0, 90}, {1, -1, 135}, {0, -1, 180}, {-1, -1, -135}, {-1, 0, -90}, {-1, 1, -45},
		{1, root3, 30}, {root3, 1, 60}, {root3, -1, 120}, {-root3, 1, -60},
		{1e300, 1e300, 45}, {5e-324, 5e-324, 45}, {1e-300, 1e300, 0},
	} {
		require.Equal(t, c.degrees, must(t)(Atan2Degrees(c.y, c.x)), "direction of (%v, %v)", c.x, c.y)
	}
	_, ok := Atan2Degrees(0, 0)
	require.False(t, ok)
	for _, x := range []float64{1.0000000000000002, -2, math.Inf(1), math.NaN()} {
		_, ok = AsinDegrees(x)
		require.False(t, ok)
		_, ok = AcosDegrees(x)
		require.False(t, ok)
	}
}

func TestPowersOfWholeNumbersAreExact(t *testing.T) {
	for base := int64(-30); base <= 30; base++ {
		exact := big.NewInt(1)
		for n := 0; exact.BitLen() <= 53; n++ {
			want, _ := new(big.Float).SetInt(exact).Float64()
			require.Equal(t, want, must(t)(Pow(float64(base), float64(n))), "%d^%d", base, n)
			if n > 70 {
				break
			}
			exact = new(big.Int).Mul(exact, big.NewInt(base))
		}
	}
	for n := -1074; n <= 1023; n++ {
		require.Equal(t, math.Ldexp(1, n), must(t)(Pow(2, float64(n))), "2^%d", n)
	}
	require.Equal(t, 1e22, must(t)(Pow(10, 22)))
	require.Equal(t, 0.001, must(t)(Pow(10, -3)))
}

func TestPowersWithoutAFiniteRealValueAreRefused(t *testing.T) {
	for _, c := range [][2]float64{{0, -1}, {0, -0.5}, {-2, 0.5}, {-8, 1.0 / 3}, {10, 309}, {1e200, 2}, {-1e200, 3}, {1e-200, -2}, {2, 1e300}} {
		_, ok := Pow(c[0], c[1])
		require.False(t, ok, "%v^%v", c[0], c[1])
	}
	for _, c := range [][3]float64{
		{0, 0, 1}, {0, 2, 0}, {0, 0.5, 0}, {-2, 3, -8}, {-2, -3, -0.125}, {-1, 1e300, 1}, {-1, 65, -1}, {1, 1e308, 1},
		{1e-200, 2, 0}, {0.5, 1e300, 0}, {4, 0.5, 2}, {4, -0.5, 0.5}, {8, 1.0 / 3, 2}, {5e-324, 1, 5e-324}, {2, -1074, 5e-324},
	} {
		require.Equal(t, c[2], must(t)(Pow(c[0], c[1])), "%v^%v", c[0], c[1])
	}
}

func TestExponentialAndLogarithmAtTheirEnds(t *testing.T) {
	require.Equal(t, 1.0, must(t)(Exp(0)))
	require.Equal(t, 0.0, must(t)(Exp(-1000)))
	require.Equal(t, 0.0, must(t)(Log(1)))
	require.Equal(t, -744.4400719213812, must(t)(Log(5e-324)))
	_, ok := Exp(710)
	require.False(t, ok)
	require.InEpsilon(t, math.MaxFloat64, must(t)(Exp(709.782712893384)), 1e-10)
	for _, x := range []float64{0, -1, math.Inf(-1)} {
		_, ok = Log(x)
		require.False(t, ok)
	}
}

func FuzzEveryResultIsANumber(f *testing.F) {
	for _, s := range [][2]float64{{0, 0}, {30, 2}, {-1e300, 1e300}, {5e-324, -5e-324}, {math.MaxFloat64, 0.5}, {1, 1}, {-0.5, 63}} {
		f.Add(s[0], s[1])
	}
	f.Fuzz(func(t *testing.T, x, y float64) {
		if !finite(x) || !finite(y) {
			return
		}
		sin, cos := SinCosDegrees(x)
		require.InDelta(t, 1, sin*sin+cos*cos, 1e-15)
		check := func(v float64, ok bool) { require.True(t, finite(v) && (ok || v == 0), "%v %v", v, ok) }
		check(TanDegrees(x))
		check(AsinDegrees(x))
		check(AcosDegrees(x))
		check(Atan2Degrees(x, y))
		check(Exp(x))
		check(Log(x))
		check(Pow(x, y))
	})
}

var sinkA, sinkB float64

func benchmark(b *testing.B, f func(x float64)) {
	random := rand.New(rand.NewPCG(1, 1))
	var xs [1024]float64
	for i := range xs {
		xs[i] = random.Float64()*720 - 360
	}
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		f(xs[i&1023])
	}
}

func BenchmarkSinCosDegrees(b *testing.B) {
	benchmark(b, func(x float64) { sinkA, sinkB = SinCosDegrees(x) })
}
func BenchmarkStandardSincos(b *testing.B) {
	benchmark(b, func(x float64) { sinkA, sinkB = math.Sincos(x * (math.Pi / 180)) })
}
func BenchmarkSinDegrees(b *testing.B) { benchmark(b, func(x float64) { sinkA = SinDegrees(x) }) }
func BenchmarkAtan2Degrees(b *testing.B) {
	benchmark(b, func(x float64) { sinkA, _ = Atan2Degrees(x, 70) })
}
func BenchmarkStandardAtan2(b *testing.B) {
	benchmark(b, func(x float64) { sinkA = math.Atan2(x, 70) })
}
func BenchmarkExp(b *testing.B) { benchmark(b, func(x float64) { sinkA, _ = Exp(x) }) }
func BenchmarkLog(b *testing.B) { benchmark(b, func(x float64) { sinkA, _ = Log(x*x + 1) }) }
func BenchmarkPow(b *testing.B) { benchmark(b, func(x float64) { sinkA, _ = Pow(x*x+1, 1.37) }) }
func BenchmarkPowCube(b *testing.B) {
	benchmark(b, func(x float64) { sinkA, _ = Pow(x, 3) })
}
