package geom_test

import (
	"math"
	"math/cmplx"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/runtime/geom"
)

func line(coordinates ...float64) []geom.Point {
	var points []geom.Point
	for i := 0; i < len(coordinates); i += 2 {
		points = append(points, geom.Point{X: coordinates[i], Y: coordinates[i+1]})
	}
	return points
}

func drawLine(t *rapid.T, least int) []geom.Point {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) geom.Point { return drawPoint(t, "p") }), least, 60).Draw(t, "line")
}

// Widely printed examples of the shoelace formula (from memory), recomputed.
func TestAreasByTheShoelaceFormula(t *testing.T) {
	require.Equal(t, 16.5, areaWithin(line(1, 6, 3, 1, 7, 2, 4, 4, 8, 5)))
	require.Equal(t, -30.0, areaWithin(line(3, 4, 5, 11, 12, 8, 9, 5, 5, 6)))
	require.Equal(t, 0.0, areaWithin(line(1, 1, 5, 5)))
	require.Equal(t, 0.0, areaWithin(nil))
}

// The closing theorem of regular polygons, stars included (Coxeter, Regular
// Polytopes, 1963, section 2.8, from memory): steps of one length with turns of
// A whole degrees close after 360/gcd(A, 360) of them, having turned by
// lcm(A, 360) in all.
func TestRegularWalksCloseWhenTheClosingTheoremSays(t *testing.T) {
	for _, c := range []struct{ turn, steps, total float64 }{
		{90, 4, 360}, {72, 5, 360}, {144, 5, 720}, {135, 8, 1080}, {160, 9, 1440}, {150, 12, 1800}, {1, 360, 360}, {7, 360, 2520},
	} {
		at, heading, total := geom.Point{}, 0.0, 0.0
		for step := 1.0; ; step++ {
			at = geom.NewFrame(at, heading).Point(geom.Point{X: 10})
			heading = geom.NormalizeHeading(heading + c.turn)
			total += c.turn
			if heading == 0 && at.Length() < geom.SamePoint {
				require.Equal(t, c.steps, step, "turn %v", c.turn)
				require.Equal(t, c.total, total, "turn %v", c.turn)
				break
			}
			require.Less(t, step, 361.0)
		}
	}
}

// The Koch curve after n steps has 4^n pieces and length (4/3)^n; the Heighway
// dragon of 2^n unit pieces ends at (1+i)^n. Any text on fractals.
func TestFramesNestIntoFractalsOfKnownSize(t *testing.T) {
	var koch func(frame geom.Frame, size float64, n int) ([]geom.Point, geom.Frame)
	koch = func(frame geom.Frame, size float64, n int) ([]geom.Point, geom.Frame) {
		if n == 0 {
			end := frame.Point(geom.Point{X: size})
			return []geom.Point{end}, geom.NewFrame(end, frame.Heading)
		}
		var all []geom.Point
		for _, turn := range []float64{0, 60, -120, 60} {
			var part []geom.Point
			part, frame = koch(geom.NewFrame(frame.Origin, frame.Heading+turn), size/3, n-1)
			all = append(all, part...)
		}
		return all, frame
	}
	for n := range 6 {
		points, end := koch(geom.NewFrame(geom.Point{}, 0), 1, n)
		require.Len(t, points, int(math.Pow(4, float64(n))))
		require.InDelta(t, math.Pow(4.0/3, float64(n)), geom.Length(append([]geom.Point{{}}, points...)), 1e-12)
		require.InDelta(t, 0, end.Origin.Distance(geom.Point{X: 1}), 1e-14)
		require.Equal(t, 0.0, end.Heading)
	}
	for n := 1; n <= 8; n++ {
		frame := geom.NewFrame(geom.Point{}, 0)
		for i := 1; i <= 1<<n; i++ {
			turn := 90.0 // the paper fold: the bit above the lowest set bit
			if (i&-i)<<1&i != 0 {
				turn = -90
			}
			frame = geom.NewFrame(frame.Point(geom.Point{X: 1}), frame.Heading+turn)
		}
		z := cmplx.Pow(1+1i, complex(float64(n), 0))
		require.InDelta(t, real(z), frame.Origin.X, 1e-9)
		require.InDelta(t, imag(z), frame.Origin.Y, 1e-9)
		require.Equal(t, math.Round(frame.Origin.X), frame.Origin.X, "right angles stay exact")
	}
}

func TestHeadingsStayBelowAWholeTurn(t *testing.T) {
	for _, c := range [][2]float64{{0, 0}, {360, 0}, {-90, 270}, {725, 5}, {-1e-20, 0}, {-720, 0}, {359.5, 359.5}, {math.Copysign(0, -1), 0}} {
		h := geom.NormalizeHeading(c[0])
		require.Equal(t, c[1], h)
		require.False(t, math.Signbit(h))
	}
	rapid.Check(t, func(t *rapid.T) {
		h := geom.NormalizeHeading(rapid.Float64Range(-1e12, 1e12).Draw(t, "angle"))
		require.True(t, 0 <= h && h < 360)
		direction, ok := geom.DirectionOf(geom.Direction(h))
		require.True(t, ok)
		require.InDelta(t, 0, math.Sin((direction-h)*math.Pi/180), 1e-14)
	})
	_, ok := geom.DirectionOf(geom.Point{})
	require.False(t, ok)
}

func TestFramesAreTurnsAndShifts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		origin, p := drawPoint(t, "origin"), drawPoint(t, "p")
		angle := rapid.Float64Range(-720, 720).Draw(t, "angle")
		frame := geom.NewFrame(origin, angle)
		want := geom.Rotation(angle).Then(geom.Translation(origin)).Point(p)
		require.InDelta(t, 0, want.Distance(frame.Point(p)), 1e-10)
		require.Equal(t, []geom.Point{frame.Point(p)}, frame.Append(nil, []geom.Point{p}))
		require.InDelta(t, 1, geom.Rotation(angle).Determinant(), 1e-14)
	})
}

func TestTransformsDoWhatTheirNamesSay(t *testing.T) {
	p := geom.Point{X: 3, Y: 1}
	require.Equal(t, geom.Point{X: 6, Y: -1}, geom.Scaling(2, -1).Point(p))
	require.Equal(t, geom.Point{X: -1, Y: 3}, geom.Rotation(90).Point(p))
	require.Equal(t, geom.Point{X: 3, Y: -1}, geom.Mirroring(0).Point(p))
	require.Equal(t, geom.Point{X: -3, Y: 1}, geom.Mirroring(90).Point(p))
	require.Equal(t, geom.Point{X: 1, Y: 3}, geom.Mirroring(45).Point(p))
	require.Equal(t, geom.Point{X: 4, Y: 3}, geom.Translation(geom.Point{X: 1, Y: 2}).Point(p))
	require.Equal(t, -1.0, geom.Mirroring(17).Determinant())
}

func TestFittingPutsTheLowerLeftAtTheOriginAndFillsOneSide(t *testing.T) {
	shape := line(-10, 5, 30, 5, 30, 25)
	fit, ok := geom.FitInto(geom.Bounds(shape), 80, 100)
	require.True(t, ok)
	require.Equal(t, geom.Box{Max: geom.Point{X: 80, Y: 40}}, geom.Bounds(fit.Append(nil, shape)))
	fit, ok = geom.FitInto(geom.Bounds(line(2, 3, 2, 9)), 5, 12)
	require.True(t, ok)
	require.Equal(t, line(0, 0, 0, 12), fit.Append(nil, line(2, 3, 2, 9)))
	fit, ok = geom.FitInto(geom.Bounds(line(2, 3)), 5, 12)
	require.True(t, ok)
	require.Equal(t, line(0, 0), fit.Append(nil, line(2, 3)))
	_, ok = geom.FitInto(geom.EmptyBox(), 5, 12)
	require.False(t, ok)
}

func TestSpotsLieAlongTheLine(t *testing.T) {
	m := geom.Measure(line(0, 0, 10, 0, 10, 0, 10, 20))
	require.Equal(t, 30.0, m.Length())
	for _, c := range []struct {
		mm, x, y, facing float64
	}{{-1, 0, 0, 0}, {0, 0, 0, 0}, {4, 4, 0, 0}, {10, 10, 0, 90}, {15, 10, 5, 90}, {30, 10, 20, 90}, {99, 10, 20, 90}} {
		require.Equal(t, geom.Point{X: c.x, Y: c.y}, m.Spot(c.mm).Point, "%v", c.mm)
		facing, ok := m.Facing(c.mm)
		require.True(t, ok)
		require.Equal(t, c.facing, facing, "%v", c.mm)
	}
	facing, ok := geom.Measure(line(0, 0, 10, 0, 10, 0)).Facing(10)
	require.True(t, ok)
	require.Equal(t, 0.0, facing, "a repeated end has no direction of its own")
	_, ok = geom.Measure(line(3, 3)).Facing(0)
	require.False(t, ok)
}

func TestCutsMeetAtTheCutAndKeepTheLength(t *testing.T) {
	m := geom.Measure(line(0, 0, 10, 0, 10, 20))
	for _, c := range []struct {
		mm            float64
		before, after []geom.Point
	}{
		{0, line(0, 0), line(0, 0, 10, 0, 10, 20)},
		{4, line(0, 0, 4, 0), line(4, 0, 10, 0, 10, 20)},
		{10, line(0, 0, 10, 0), line(10, 0, 10, 20)},
		{30, line(0, 0, 10, 0, 10, 20), line(10, 20)},
	} {
		before, after := m.Cut(c.mm)
		require.Equal(t, c.before, before, "%v", c.mm)
		require.Equal(t, c.after, after, "%v", c.mm)
	}
	before, after := geom.Measure(line(5, 5)).Cut(3)
	require.Equal(t, line(5, 5), before)
	require.Equal(t, line(5, 5), after)
	rapid.Check(t, func(t *rapid.T) {
		points := drawLine(t, 1)
		m := geom.Measure(points)
		mm := rapid.Float64Range(0, 1).Draw(t, "share") * m.Length()
		before, after := m.Cut(mm)
		require.Equal(t, before[len(before)-1], after[0])
		require.InDelta(t, mm, geom.Length(before), 1e-8)
		require.InDelta(t, m.Length(), geom.Length(before)+geom.Length(after), 1e-8)
	})
}

func TestClosedReversedAndWithoutRepeats(t *testing.T) {
	square := line(0, 0, 1, 0, 1, 1, 0, 1, 0, 0)
	require.True(t, geom.Closed(square))
	require.False(t, geom.Closed(square[:4]))
	require.False(t, geom.Closed(line(1, 1)))
	require.Equal(t, line(0, 1, 1, 1, 1, 0), geom.Reversed(square[1:4]))
	require.Equal(t, line(0, 0, 1, 0, 0, 0), geom.WithoutRepeats(line(0, 0, 0, 1e-7, 1, 0, 1, 0, 0, 0)))
}

// areaWithin is the area enclosed by the line through points and the straight way
// back, in mm²: positive when it runs around to the left (shoelace formula).
func areaWithin(points []geom.Point) float64 {
	if len(points) < 3 {
		return 0
	}
	// About the first point, which keeps the terms small.
	sum := 0.0
	for i := 2; i < len(points); i++ {
		sum += points[i-1].Sub(points[0]).Cross(points[i].Sub(points[0]))
	}
	return sum / 2
}
