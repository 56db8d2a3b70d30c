package geom_test

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/integrate/quad"
	"pgregory.net/rapid"

	"wend/runtime/elementary"
	"wend/runtime/geom"
	"wend/runtime/geom/interval"
)

// formula is a curve written once over jets: its values are those of a jet
// over a single parameter value, so that both sides agree.
type formula func(t interval.Jet) (x, y interval.Jet)

func (f formula) eval(t float64) (geom.Point, error) {
	x, y := f(interval.Variable(interval.Of(t)))
	if x.Partial || y.Partial || !x.V.Finite() || !y.V.Finite() {
		return geom.Point{}, errNoValue
	}
	return geom.Point{X: x.V.Lo/2 + x.V.Hi/2, Y: y.V.Lo/2 + y.V.Hi/2}, nil
}

var errNoValue = errors.New("no value")

func (f formula) bound(t0, t1 float64) (x, y interval.Jet, ok bool) {
	x, y = f(interval.Variable(interval.Interval{Lo: t0, Hi: t1}))
	return x, y, true
}

func number(c float64) interval.Jet { return interval.Constant(c) }

func polar(radius func(t interval.Jet) interval.Jet) formula {
	return func(t interval.Jet) (x, y interval.Jet) { return interval.Polar(radius(t), t) }
}

var (
	circle = formula(func(t interval.Jet) (x, y interval.Jet) { return interval.Polar(number(50), t) })

	spiral = polar(func(t interval.Jet) interval.Jet { return t.Scale(10.0 / 360) })

	ellipse = formula(func(t interval.Jet) (x, y interval.Jet) {
		return t.CosDegrees().Scale(40), t.SinDegrees().Scale(10)
	})
	lissajous = formula(func(t interval.Jet) (x, y interval.Jet) {
		return t.Scale(3).SinDegrees(), t.Scale(2).SinDegrees()
	})
	astroid = formula(func(t interval.Jet) (x, y interval.Jet) {
		return t.CosDegrees().Pow(number(3)), t.SinDegrees().Pow(number(3))
	})
	cardioid = polar(func(t interval.Jet) interval.Jet { return t.CosDegrees().Add(number(1)) })

	rose3 = polar(func(t interval.Jet) interval.Jet { return t.Scale(3).CosDegrees() })

	rose2 = polar(func(t interval.Jet) interval.Jet { return t.Scale(2).CosDegrees() })

	cycloid = formula(func(t interval.Jet) (x, y interval.Jet) {
		return t.Scale(math.Pi / 180).Sub(t.SinDegrees()), number(1).Sub(t.CosDegrees())
	})
	deltoid = formula(func(t interval.Jet) (x, y interval.Jet) {
		return t.CosDegrees().Scale(2).Add(t.Scale(2).CosDegrees()), t.SinDegrees().Scale(2).Sub(t.Scale(2).SinDegrees())
	})
	nephroid = formula(func(t interval.Jet) (x, y interval.Jet) {
		return t.CosDegrees().Scale(3).Sub(t.Scale(3).CosDegrees()), t.SinDegrees().Scale(3).Sub(t.Scale(3).SinDegrees())
	})
	lemniscate = formula(func(t interval.Jet) (x, y interval.Jet) {
		c, s := t.CosDegrees(), t.SinDegrees()
		d := s.Square().Add(number(1))
		return c.Div(d), c.Mul(s).Div(d)
	})
	parabola = formula(func(t interval.Jet) (x, y interval.Jet) { return t, t.Square() })
	sine     = formula(func(t interval.Jet) (x, y interval.Jet) { return t.Scale(math.Pi / 180), t.SinDegrees() })
	involute = formula(func(t interval.Jet) (x, y interval.Jet) {
		r := t.Scale(math.Pi / 180)
		return t.CosDegrees().Add(r.Mul(t.SinDegrees())), t.SinDegrees().Sub(r.Mul(t.CosDegrees()))
	})
	hypotrochoid = formula(func(t interval.Jet) (x, y interval.Jet) {
		u := t.Scale(2.0 / 3)
		return t.CosDegrees().Scale(2).Add(u.CosDegrees().Scale(5)), t.SinDegrees().Scale(2).Sub(u.SinDegrees().Scale(5))
	})
)

func cubicCurve(p0, p1, p2, p3 geom.Point) formula {
	coordinate := func(t interval.Jet, a, b, c, d float64) interval.Jet {
		return number(a).Add(t.Scale(3 * (b - a))).Add(t.Square().Scale(3 * (a - 2*b + c))).Add(t.Pow(number(3)).Scale(d - 3*c + 3*b - a))
	}
	return func(t interval.Jet) (x, y interval.Jet) {
		return coordinate(t, p0.X, p1.X, p2.X, p3.X), coordinate(t, p0.Y, p1.Y, p2.Y, p3.Y)
	}
}

// Any calculus text; the CRC Standard Mathematical Tables; the ellipse by
// E(m) of Abramowitz & Stegun table 17.1. All digits recomputed. Lengths of
// flattened curves fall short by an amount of the order of the tolerance.
func TestCurvesByFormulaHaveTheLengthsAndAreasOfTheHandbooks(t *testing.T) {
	for _, c := range []struct {
		name    string
		curve   formula
		a, b    float64
		length  float64
		area    float64
		hasArea bool
	}{
		{"circle", circle, 0, 360, 100 * math.Pi, 2500 * math.Pi, true},
		{"circle, downward", circle, 360, 0, 100 * math.Pi, -2500 * math.Pi, true},
		{"Archimedean spiral, pitch 10, 5 turns", spiral, 0, 1800, 789.0910266, 0, false},
		{"ellipse 40, 10", ellipse, 0, 360, 171.5684355031, 400 * math.Pi, true},
		{"Lissajous 3:2", lissajous, 0, 360, 15.2893739, 0, false},
		{"astroid", astroid, 0, 360, 6, 3 * math.Pi / 8, true},
		{"cardioid", cardioid, 0, 360, 8, 3 * math.Pi / 2, true},
		{"rose of 3", rose3, 0, 180, 6.6824466, math.Pi / 4, true},
		{"rose of 4", rose2, 0, 360, 9.6884482205, math.Pi / 2, true},
		{"cycloid", cycloid, 0, 360, 8, -3 * math.Pi, true},
		{"deltoid", deltoid, 0, 360, 16, 2 * math.Pi, true},
		{"nephroid", nephroid, 0, 360, 24, 12 * math.Pi, true},
		{"lemniscate", lemniscate, 0, 360, 5.2441151086, 0, false},
		{"parabola", parabola, 0, 1, 1.4789428575, 0, false},
		{"sine", sine, 0, 360, 7.6403955781, 0, false},
		{"involute", involute, 0, 360, 2 * math.Pi * math.Pi, 0, false},
		{"hypotrochoid 5, 3, 5", hypotrochoid, 0, 1080, 68.6273742, 0, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			for _, sampled := range []struct {
				name string
				take func(tolerance float64) ([]geom.Point, error)
			}{
				{"proven", func(tolerance float64) ([]geom.Point, error) {
					return geom.SampleProven(c.curve.eval, c.curve.bound, c.a, c.b, tolerance, manyPoints)
				}},
				{"by rule", func(tolerance float64) ([]geom.Point, error) {
					points, _, err := geom.SampleByRule(c.curve.eval, c.a, c.b, tolerance, manyPoints)
					return points, err
				}},
			} {
				coarse, err := sampled.take(c.length * 1e-3)
				require.NoError(t, err, sampled.name)
				points, err := sampled.take(c.length * 1e-6)
				require.NoError(t, err, sampled.name)
				t.Logf("%s: %d and %d points", sampled.name, len(coarse), len(points))
				require.InEpsilon(t, c.length, geom.Length(points), 2e-5, sampled.name)
				require.LessOrEqual(t, geom.Length(points), c.length*(1+1e-9))
				if c.hasArea {
					require.InEpsilon(t, c.area, areaWithin(points), 1e-4, sampled.name)
				}
				requireSampled(t, c.curve, c.a, c.b, coarse, c.length*1e-3)
			}
		})
	}
}

// requireSampled checks that the curve is within tolerance of the line.
func requireSampled(t require.TestingT, curve formula, a, b float64, line []geom.Point, tolerance float64) {
	first, err := curve.eval(a)
	require.NoError(t, err)
	last, err := curve.eval(b)
	require.NoError(t, err)
	require.Equal(t, first, line[0])
	require.Equal(t, last, line[len(line)-1])
	for i := range 1501 {
		p, err := curve.eval(a + (b-a)*float64(i)/1500)
		require.NoError(t, err)
		require.LessOrEqual(t, distanceToLine(line, p), tolerance*(1+1e-9)+1e-12)
	}
}

// An independent length: Gauss-Legendre quadrature of the speed (gonum).
func TestSampledLengthAgreesWithQuadrature(t *testing.T) {
	speed := func(u float64) float64 { return math.Hypot(1, math.Exp(u)) }
	want := quad.Fixed(speed, -1, 2, 40, quad.Legendre{}, 0)
	exponential := formula(func(t interval.Jet) (x, y interval.Jet) { return t, t.Exp() })
	points, err := geom.SampleProven(exponential.eval, exponential.bound, -1, 2, 1e-6, manyPoints)
	require.NoError(t, err)
	require.InDelta(t, want, geom.Length(points), 1e-5)
}

func TestProvenCirclesUseHardlyMorePointsThanNeeded(t *testing.T) {
	for _, tolerance := range []float64{0.5, 0.1, 0.05, 0.01, 0.001} {
		points, err := geom.SampleProven(circle.eval, circle.bound, 0, 360, tolerance, manyPoints)
		require.NoError(t, err)
		best := geom.ArcPieces(50, 360, tolerance)
		t.Logf("%v mm: %d pieces, %v needed", tolerance, len(points)-1, best)
		require.LessOrEqual(t, float64(len(points)-1), 1.25*best+1)
		require.GreaterOrEqual(t, float64(len(points)-1), best)
	}
}

func TestStraightLinesAreOnePieceHoweverTheyAreWalked(t *testing.T) {
	for name, c := range map[string]formula{
		"even":  func(t interval.Jet) (x, y interval.Jet) { return t.Scale(30), t.Scale(40) },
		"cubic": func(t interval.Jet) (x, y interval.Jet) { return t.Pow(number(3)).Scale(30), number(2) },
		"root":  func(t interval.Jet) (x, y interval.Jet) { return t.Sqrt(), number(0) },
	} {
		points, err := geom.SampleProven(c.eval, c.bound, 0, 1, 0.01, 100)
		require.NoError(t, err, name)
		require.Len(t, points, 2, name)
	}
}

func TestProofsHoldAtCuspsCornersAndVerticalTangents(t *testing.T) {
	for _, c := range []struct {
		name   string
		curve  formula
		a, b   float64
		points int
	}{
		{"semicubical cusp", func(t interval.Jet) (x, y interval.Jet) { return t.Square().Scale(50), t.Pow(number(3)).Scale(50) }, -1, 1, 60},
		{"root at 0", func(t interval.Jet) (x, y interval.Jet) { return t.Scale(50), t.Sqrt().Scale(50) }, 0, 1, 60},
		{"cube root at 0", func(t interval.Jet) (x, y interval.Jet) { return t.Scale(50), t.Pow(number(1.0 / 3)).Scale(50) }, 0, 1, 80},
		{"tenth root, downward", func(t interval.Jet) (x, y interval.Jet) { return t.Scale(50), t.Pow(number(0.1)).Scale(50) }, 1, 0, 120},
		{"corner", func(t interval.Jet) (x, y interval.Jet) { return t.Scale(50), t.Abs().Scale(50) }, -1, 1, 60},
		{"root of a size", func(t interval.Jet) (x, y interval.Jet) { return t.Scale(50), t.Abs().Sqrt().Scale(50) }, -1, 1, 120},
		{"half circle held above 0", func(t interval.Jet) (x, y interval.Jet) {
			return t.Scale(50), number(1).Sub(t.Square()).Max(number(0)).Sqrt().Scale(50)
		}, -1, 1, 150},
		{"arc sine", func(t interval.Jet) (x, y interval.Jet) { return t.Scale(50), t.AsinDegrees() }, -1, 1, 100},
		{"clamped wave", func(t interval.Jet) (x, y interval.Jet) {
			return t.Scale(0.2), t.SinDegrees().Clamp(number(-0.5), number(0.5)).Scale(40)
		}, 0, 720, 200},
		{"half circle", func(t interval.Jet) (x, y interval.Jet) {
			return t, number(2500).Sub(t.Pow(number(2))).Sqrt()
		}, -50, 50, 85},
		{"half circle of awkward radius", func(t interval.Jet) (x, y interval.Jet) {
			return t.Scale(70), number(0.7 * 0.7).Sub(t.Mul(t)).Max(number(-1e-17)).Add(number(2e-17)).Sqrt().Scale(70)
		}, -0.7, 0.7, 200},
		{"fast and slow", func(t interval.Jet) (x, y interval.Jet) { return t.Exp(), t.Scale(90).SinDegrees().Scale(20) }, -3, 5, 300},
	} {
		t.Run(c.name, func(t *testing.T) {
			points, err := geom.SampleProven(c.curve.eval, c.curve.bound, c.a, c.b, 0.02, manyPoints)
			require.NoError(t, err)
			t.Logf("%d points", len(points))
			require.LessOrEqual(t, len(points), c.points)
			requireSampled(t, c.curve, c.a, c.b, points, 0.02)
		})
	}
}

// The saw |mod(t, 1/4) - 1/8| is continuous though its parts jump.
func TestJumpsThatCancelAreNoJumps(t *testing.T) {
	saw := formula(func(t interval.Jet) (x, y interval.Jet) {
		return t.Scale(50), t.Mod(number(0.25)).Sub(number(0.125)).Abs().Scale(50)
	})
	eval := func(t float64) (geom.Point, error) {
		return geom.Point{X: 50 * t, Y: 50 * math.Abs(t-0.25*math.Floor(t/0.25)-0.125)}, nil
	}
	points, err := geom.SampleProven(eval, saw.bound, -0.1, 1, 0.02, 1000)
	require.NoError(t, err)
	t.Logf("%d points", len(points))
	for i := range 1101 {
		p, _ := eval(float64(i)/1000 - 0.1)
		require.LessOrEqual(t, distanceToLine(points, p), 0.02)
	}
}

func TestJumpsAndGapsOfFormulasAreErrors(t *testing.T) {
	steps := formula(func(t interval.Jet) (x, y interval.Jet) { return t, t.Floor().Scale(3) })
	small := formula(func(t interval.Jet) (x, y interval.Jet) { return t, t.Floor().Scale(0.01) })
	tangent := formula(func(t interval.Jet) (x, y interval.Jet) { return t.Scale(0.01), t.TanDegrees() })
	pole := formula(func(t interval.Jet) (x, y interval.Jet) { return t, number(1).Div(t.Sub(number(1.0 / 3)).Square()) })
	angle := formula(func(t interval.Jet) (x, y interval.Jet) {
		return t, interval.Atan2Degrees(t.SinDegrees(), t.CosDegrees())
	})
	proven := func(c formula, a, b float64) error {
		_, err := geom.SampleProven(c.eval, c.bound, a, b, 0.05, 100_000)
		return err
	}
	byRule := func(c formula, a, b float64) error {
		_, _, err := geom.SampleByRule(c.eval, a, b, 0.05, 100_000)
		return err
	}
	for name, sample := range map[string]func(formula, float64, float64) error{"proven": proven, "by rule": byRule} {
		t.Run(name, func(t *testing.T) {
			for _, c := range []struct {
				curve           formula
				a, b, at, width float64
			}{{steps, 0.3, 1.7, 1, 3}, {steps, 1.7, 0.3, 1, 3}, {angle, 10, 350, 180, 360}} {
				var jump *geom.JumpError
				require.ErrorAs(t, sample(c.curve, c.a, c.b), &jump)
				require.InDelta(t, c.at, jump.T0, 1e-9)
				require.InDelta(t, c.at, jump.T1, 1e-9)
				require.InEpsilon(t, c.width, jump.Width(), 1e-6)
			}
			require.NoError(t, sample(small, 0.3, 4.7), "a jump within the tolerance is none")
			require.Error(t, sample(tangent, 80.1, 99.7))
		})
	}
	var undefined *geom.UndefinedError
	exactTangent := func(t float64) (geom.Point, error) {
		tan, ok := elementary.TanDegrees(t)
		if !ok {
			return geom.Point{}, errNoValue
		}
		return geom.Point{X: 0.01 * t, Y: tan}, nil
	}
	_, err := geom.SampleProven(exactTangent, tangent.bound, 80.1, 99.7, 0.05, 100_000)
	require.ErrorAs(t, err, &undefined)
	require.InDelta(t, 90, undefined.T0, 1e-9)
	require.ErrorAs(t, proven(pole, 0, 1), &undefined)
	require.InDelta(t, 1.0/3, undefined.T0, 1e-9)
	require.ErrorIs(t, proven(formula(func(t interval.Jet) (x, y interval.Jet) { return t.Log(), t }), 0, 1), errNoValue)
	unknown := func(t0, t1 float64) (x, y interval.Jet, ok bool) { return x, y, false }
	_, err = geom.SampleProven(circle.eval, unknown, 0, 360, 0.1, 100_000)
	require.ErrorAs(t, err, &undefined, "without any bound nothing can be proven")
}

func TestSampledCurvesThatNeedTooManyPointsSaySo(t *testing.T) {
	var tooMany *geom.TooManyPointsError
	_, err := geom.SampleProven(circle.eval, circle.bound, 0, 360, 0.001, 100)
	require.ErrorAs(t, err, &tooMany)
	require.InEpsilon(t, geom.ArcPieces(50, 360, 0.001), tooMany.Needed, 0.3)
	_, _, err = geom.SampleByRule(circle.eval, 0, 360, 0.001, 100)
	require.ErrorAs(t, err, &tooMany)
}

// Long before its points are used up, a curve without hope is given up; one that
// is dense where it begins is not.
func TestACurveThatWillNeedFarTooManyPointsIsGivenUpEarly(t *testing.T) {
	const most = 300_000
	looked := 0
	counted := func(c formula) func(float64) (geom.Point, error) {
		looked = 0
		return func(t float64) (geom.Point, error) { looked++; return c.eval(t) }
	}
	hopeless := formula(func(t interval.Jet) (x, y interval.Jet) {
		return t.Mul(number(40)).SinDegrees(), t.Mul(number(1e9)).SinDegrees()
	})
	var tooMany *geom.TooManyPointsError
	_, err := geom.SampleProven(counted(hopeless), hopeless.bound, 0, 360, 0.01, most)
	require.ErrorAs(t, err, &tooMany)
	require.Greater(t, tooMany.Needed, 1e7)
	require.Less(t, looked, 2*most)
	_, _, err = geom.SampleByRule(counted(hopeless), 0, 360, 0.01, most)
	require.ErrorAs(t, err, &tooMany)
	require.Greater(t, tooMany.Needed, 1e7)
	require.Less(t, looked, 10*most)

	// Some ten thousand waves, most of them on the first thousandth of the way, then rest.
	calming := formula(func(t interval.Jet) (x, y interval.Jet) {
		return t, number(1000).Div(t.Add(number(0.005))).Mul(number(36)).SinDegrees()
	})
	points, err := geom.SampleProven(calming.eval, calming.bound, 0, 100, 0.05, 3*most)
	require.NoError(t, err)
	require.Greater(t, len(points), 100_000)
}

func TestAnEmptyIntervalIsOnePoint(t *testing.T) {
	points, err := geom.SampleProven(circle.eval, circle.bound, 90, 90, 0.1, 10)
	require.NoError(t, err)
	require.Len(t, points, 1)
	points, surprise, err := geom.SampleByRule(circle.eval, 90, 90, 0.1, 10)
	require.NoError(t, err)
	require.Zero(t, surprise)
	require.Len(t, points, 1)
}

func TestProvenSamplingKeepsTheToleranceOnRandomCubics(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := cubicCurve(drawPoint(t, "p0"), drawPoint(t, "p1"), drawPoint(t, "p2"), drawPoint(t, "p3"))
		tolerance := rapid.Float64Range(0.05, 2).Draw(t, "tolerance")
		points, err := geom.SampleProven(c.eval, c.bound, 1, -0.5, tolerance, manyPoints)
		require.NoError(t, err)
		requireSampled(t, c, 1, -0.5, points, tolerance)
	})
}

func TestProvenSamplingIsAboutAsLeanAsTheBezierFlattener(t *testing.T) {
	p := []geom.Point{{}, {X: 30, Y: 90}, {X: 70, Y: -90}, {X: 100}}
	c := cubicCurve(p[0], p[1], p[2], p[3])
	sampled, err := geom.SampleProven(c.eval, c.bound, 0, 1, 0.01, manyPoints)
	require.NoError(t, err)
	flat, err := geom.Bezier(nil, geom.Cubic{P0: p[0], P1: p[1], P2: p[2], P3: p[3]}, 0.01, manyPoints)
	require.NoError(t, err)
	t.Logf("%d sampled, %d flattened, %v by Wang's formula", len(sampled)-1, len(flat), geom.Cubic{P0: p[0], P1: p[1], P2: p[2], P3: p[3]}.WangPieces(0.01))
	require.LessOrEqual(t, len(sampled)-1, len(flat)*3/2)
}

func BenchmarkSampleProvenRose(b *testing.B) {
	eval := func(t float64) (geom.Point, error) {
		return geom.Polar(elementary.CosDegrees(3*t), t), nil
	}
	b.ReportAllocs()
	points := 0
	for b.Loop() {
		line, err := geom.SampleProven(eval, rose3.bound, 0, 180, 1e-5, manyPoints)
		if err != nil {
			b.Fatal(err)
		}
		points = len(line)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*points), "ns/point")
}

func BenchmarkSampleByRuleRose(b *testing.B) {
	eval := func(t float64) (geom.Point, error) {
		return geom.Polar(elementary.CosDegrees(3*t), t), nil
	}
	b.ReportAllocs()
	points := 0
	for b.Loop() {
		line, _, err := geom.SampleByRule(eval, 0, 180, 1e-5, manyPoints)
		if err != nil {
			b.Fatal(err)
		}
		points = len(line)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*points), "ns/point")
}
