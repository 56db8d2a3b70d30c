package lower

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
	"wend/runtime/machine"
)

// An arc tangent to both legs that passes a corner of interior angle th at a
// distance d has r/d = sin(th/2)/(1 - sin(th/2)); v = √(a r) (elementary
// geometry; values computed independently).
func TestCornerRadiusFollowsFromTheAllowedDeviation(t *testing.T) {
	for interior, ratio := range map[float64]float64{150: 28.34774, 135: 12.13707, 120: 6.46410, 90: 1 + math.Sqrt2, 60: 1, 45: 0.61991, 30: 0.34920} {
		turn := math.Cos((180 - interior) * math.Pi / 180)
		require.InDelta(t, ratio, cornerRadius(turn, 1), ratio*2e-5, "%g°", interior)
	}
	require.Zero(t, cornerRadius(-1, 1))
	require.True(t, math.IsInf(cornerRadius(1, 1), 1))
	for interior, speed := range map[float64]float64{90: 7.76887, 135: 17.41915, 60: 5} {
		turn := math.Cos((180 - interior) * math.Pi / 180)
		require.InDelta(t, speed, math.Sqrt(500*cornerRadius(turn, 0.05)), 1e-5)
	}
}

// The arc needs r/tan(th/2) of each leg (elementary geometry).
func TestTheCornerArcTouchesBothLegs(t *testing.T) {
	for _, interior := range []float64{30, 60, 90, 120, 150} {
		half := interior / 2 * math.Pi / 180
		r := cornerRadius(math.Cos(math.Pi-2*half), 0.05)
		center := r / math.Sin(half) // from the corner, along the bisector
		require.InDelta(t, 0.05, center-r, 1e-12)
		require.InDelta(t, r/math.Tan(half), math.Sqrt(center*center-r*r), 1e-9)
	}
}

func TestADiagonalMayGoFasterThanEitherAxis(t *testing.T) {
	limit := geom.Point{X: 60, Y: 30}
	require.Equal(t, 60.0, along(limit, geom.Point{X: 5}))
	require.Equal(t, 30.0, along(limit, geom.Point{Y: -2}))
	require.InDelta(t, math.Sqrt(60*60+30*30), along(limit, geom.Point{X: -2, Y: 1}), 1e-12)
	require.InDelta(t, 30*math.Sqrt2, along(limit, geom.Point{X: 1, Y: 1}), 1e-12)
}

func TestAFlattenedCurveIsHeldToItsRadius(t *testing.T) {
	l := axisLimits{speed: geom.Point{X: 1000, Y: 1000}, acceleration: geom.Point{X: 400, Y: 400}, cornerDeviation: 0.05}
	on := func(radius, degrees float64) geom.Point {
		sine, cosine := math.Sincos(degrees * math.Pi / 180)
		return geom.Point{X: radius * cosine, Y: radius * sine}
	}
	for _, radius := range []float64{0.5, 5, 50} {
		v2 := curveSpeedSquared(l, on(radius, 10), on(radius, 11), on(radius, 12))
		require.InDelta(t, 2*400*radius/(1+math.Cos(11*math.Pi/180)), v2, 1e-6*v2)
	}
	// A corner between long legs and the tip of a reversal are left to the
	// corner rule, and a straight line has no limit.
	require.True(t, math.IsInf(curveSpeedSquared(l, geom.Point{}, geom.Point{X: 20}, geom.Point{X: 20, Y: 20}), 1))
	require.True(t, math.IsInf(curveSpeedSquared(l, geom.Point{}, geom.Point{X: 20}, geom.Point{}), 1))
	require.True(t, math.IsInf(curveSpeedSquared(l, geom.Point{}, geom.Point{X: 20}, geom.Point{X: 21}), 1))
}

func TestAnAxisThatWaversByAStepDoesNotReverse(t *testing.T) {
	c := newCourse(40, 0, []float64{1000, 1500, 1499.1, 1500, 1000, 1000.9, 1000.2, 1400})
	require.Len(t, c.turns, 2)
	require.Equal(t, []int8{1, -1}, []int8{c.side(0), c.side(1)})
	require.Equal(t, turn{vertex: 3, extreme: 1500}, c.turns[0])
	require.Equal(t, turn{vertex: 4, extreme: 1000}, c.turns[1])
	require.Equal(t, []int32{0, 40, 0}, []int32{c.left(0), c.left(1), c.left(2)})
	require.Equal(t, []float64{1000, 1499.55, 1499.55, 1500, 1000, 1000.55, 1000.55, 1400}, c.at)
	// The motor stands half the slack ahead of the stylus, on the side it runs to.
	require.Equal(t, 1020.0, c.motor(0, 1000, 0))
	require.Equal(t, 1480.0, c.motor(0, 1500, 1))
	require.Equal(t, machine.Gap{}, (&courses{x: c}).endGap())
}

func TestAnAxisInTheMiddleOfItsSlackTakesUpTheRest(t *testing.T) {
	c := newCourse(40, 10, []float64{1000, 1000.5, 999.4, 998, 900})
	require.EqualValues(t, 1, c.side(0))
	require.Equal(t, []turn{{vertex: 0, extreme: 1000}}, c.turns)
	require.Equal(t, []int32{10, 40}, []int32{c.left(0), c.left(1)})
	require.Equal(t, 1010.0, c.motor(0, 1000, 0))
	require.Equal(t, 980.0, c.motor(0, 1000, 1))
	still := newCourse(40, 10, []float64{1000, 1000.9, 999.4})
	require.Empty(t, still.turns)
	require.Equal(t, []float64{1000, 1000, 1000}, still.at)
}

func TestSkewTurnsSquareCornersIntoWhatTheAxesMustDo(t *testing.T) {
	s := skewOf(60)
	at := s.axes(geom.Point{X: 10, Y: 5})
	// The stylus of axes at 60°: x + y cos 60°, y sin 60°.
	require.InDelta(t, 10, at.X+at.Y/2, 1e-12)
	require.InDelta(t, 5, at.Y*math.Sqrt(3)/2, 1e-12)
	require.Equal(t, geom.Point{X: 10, Y: 5}, skewOf(90).axes(geom.Point{X: 10, Y: 5}))
}

func TestALineOfOneStepMoreNeverAddsUp(t *testing.T) {
	step := newStepper(machine.DeskToy(), false)
	for i := range 100_000 {
		x := float64(i) * 0.0013
		require.LessOrEqual(t, math.Abs(float64(roundSteps(step.exact(geom.Point{X: x}).X))-(x+5)*100), 0.5+1e-9)
	}
}

// curveSpeedSquared is that of a vertex b on the way from a to c.
func curveSpeedSquared(l axisLimits, a, b, c geom.Point) float64 {
	return l.curveSpeedSquared(newLeg(a, b), newLeg(b, c), a, c)
}
