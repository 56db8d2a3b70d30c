package stdlib_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/runtime/geom"
	"wend/runtime/value"
)

// Paths of page size, with the odd repeated point among them.
func somePath(t *rapid.T) *value.Path {
	// On a grid of a micrometre, so that two points are far enough apart to be two.
	coordinate := rapid.Map(rapid.IntRange(-100_000, 100_000), func(i int) float64 { return float64(i) / 1000 })
	n := rapid.IntRange(1, 12).Draw(t, "points")
	points := make([]geom.Point, n)
	for i := range points {
		if i > 0 && rapid.IntRange(0, 9).Draw(t, "repeat") == 0 {
			points[i] = points[i-1]
			continue
		}
		points[i] = pt(coordinate.Draw(t, "x"), coordinate.Draw(t, "y"))
	}
	return pathOf(float64(rapid.IntRange(-800, 800).Draw(t, "turn")), points...)
}

// inside is a place on the path, in mm, drawn from all of it.
func inside(t *rapid.T, p *value.Path) float64 {
	return rapid.Float64Range(0, 1).Draw(t, "share") * geom.Length(p.Points)
}

func requireSamePoints(t require.TestingT, want, got []geom.Point, tolerance float64) {
	require.Len(t, got, len(want))
	for i := range want {
		require.LessOrEqual(t, want[i].Distance(got[i]), tolerance, "point %d: %v, not %v", i, got[i], want[i])
	}
}

func TestMovingTurningAndMirroringKeepLengths(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := somePath(t)
		angle := rapid.Float64Range(-720, 720).Draw(t, "angle")
		for _, q := range []*value.Path{
			call(t, "rotate", p, angle).Path(),
			call(t, "mirror", p, angle).Path(),
			call(t, "move", p, 3.5, -20).Path(),
			call(t, "move", p, pt(3.5, -20)).Path(),
			call(t, "centered", p).Path(),
			call(t, "reverse", p).Path(),
		} {
			require.InDelta(t, geom.Length(p.Points), geom.Length(q.Points), 1e-9)
		}
	})
}

func TestScalingMultipliesLengths(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := somePath(t)
		k := rapid.Float64Range(-5, 5).Draw(t, "factor")
		q := call(t, "scale", p, k).Path()
		require.InDelta(t, math.Abs(k)*geom.Length(p.Points), geom.Length(q.Points), 1e-8)
		require.Equal(t, p.Turn, q.Turn)
		box, stretched := geom.Bounds(p.Points), geom.Bounds(call(t, "scale", p, 2, 3).Path().Points)
		require.InDelta(t, 2*box.Width(), stretched.Width(), 1e-9)
		require.InDelta(t, 3*box.Height(), stretched.Height(), 1e-9)
	})
}

func TestMirroringTwiceAndTurningBackRestoreAPath(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := somePath(t)
		angle := rapid.Float64Range(-720, 720).Draw(t, "angle")
		twice := call(t, "mirror", call(t, "mirror", p, angle), angle).Path()
		requireSamePoints(t, p.Points, twice.Points, 1e-10)
		require.Equal(t, p.Turn, twice.Turn)
		back := call(t, "rotate", call(t, "rotate", p, angle), -angle).Path()
		requireSamePoints(t, p.Points, back.Points, 1e-10)
		// Two mirrors make a turn by twice the angle between them.
		other := rapid.Float64Range(-180, 180).Draw(t, "other")
		turned := call(t, "mirror", call(t, "mirror", p, angle), other).Path()
		requireSamePoints(t, call(t, "rotate", p, 2*(other-angle)).Path().Points, turned.Points, 1e-9)
	})
}

func TestReverseAndMirrorNegateTheTurn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := somePath(t)
		require.Equal(t, -p.Turn+0, call(t, "reverse", p).Path().Turn)
		require.Equal(t, -p.Turn+0, call(t, "mirror", p, 30).Path().Turn)
		back := call(t, "reverse", call(t, "reverse", p)).Path()
		require.Equal(t, p.Points, back.Points)
		require.Equal(t, p.Turn, back.Turn)
	})
}

func TestUnequalFactorsChangeTheTurnAsTheyChangeDirections(t *testing.T) {
	for _, c := range []struct{ turn, x, y, want float64 }{
		{45, 1, math.Sqrt(3), 60}, // the slope 1 becomes √3
		{45, math.Sqrt(3), 1, 30},
		{135, 1, math.Sqrt(3), 120},
		{-45, 1, math.Sqrt(3), -60},
		{405, 1, math.Sqrt(3), 420},
		{90, 2, 5, 90},
		{720, 2, 5, 720},
		{45, -1, math.Sqrt(3), -60},
		{45, -1, -math.Sqrt(3), 60},
		{33, -2, -2, 33},
		{33, 2, -2, -33},
		{50, 2, 0, 50},
	} {
		q := call(t, "scale", pathOf(c.turn, pt(0, 0), pt(1, 1)), c.x, c.y).Path()
		require.InDelta(t, c.want, q.Turn, 1e-12, "%+v", c)
	}
}

func TestFitFillsTheBoxAndKeepsProportions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := somePath(t)
		box := geom.Bounds(p.Points)
		if box.Width() < 1 || box.Height() < 1 {
			return // too thin to compare proportions
		}
		w := rapid.Float64Range(1, 140).Draw(t, "width")
		h := rapid.Float64Range(1, 100).Draw(t, "height")
		fitted := geom.Bounds(call(t, "fit", p, w, h).Path().Points)
		require.InDelta(t, 0, fitted.Min.Length(), 1e-9)
		require.LessOrEqual(t, fitted.Width(), w+1e-9)
		require.LessOrEqual(t, fitted.Height(), h+1e-9)
		require.InDelta(t, 0, min(w-fitted.Width(), h-fitted.Height()), 1e-9, "one side is filled")
		require.InEpsilon(t, box.Width()/box.Height(), fitted.Width()/fitted.Height(), 1e-9)
		require.InDelta(t, w, geom.Bounds(call(t, "fit", p, w, nil).Path().Points).Width(), 1e-9)
		require.InDelta(t, h, geom.Bounds(call(t, "fit", p, nil, h).Path().Points).Height(), 1e-9)
	})
}

func TestAListOfPathsIsChangedByItsJointBounds(t *testing.T) {
	lines := []any{pathOf(0, pt(0, 0), pt(10, 0)), pathOf(0, pt(10, 20), pt(40, 20))}
	fitted := call(t, "fit", lines, 20, nil).List()
	require.Len(t, fitted, 2)
	requireSamePoints(t, []geom.Point{pt(0, 0), pt(5, 0)}, fitted[0].Path().Points, 0)
	requireSamePoints(t, []geom.Point{pt(5, 10), pt(20, 10)}, fitted[1].Path().Points, 0)
	middle := call(t, "centered", lines).List()
	requireSamePoints(t, []geom.Point{pt(-20, -10), pt(-10, -10)}, middle[0].Path().Points, 0)
	for _, name := range []string{"scale", "rotate", "mirror"} {
		require.Len(t, call(t, name, lines, 2).List(), 2)
		require.Empty(t, call(t, name, []any{}, 2).List())
	}
}

func TestCutAndJoinAreInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := somePath(t)
		at := inside(t, p)
		parts := call(t, "cut", p, at)
		before, after := parts.List()[0].Path(), parts.List()[1].Path()
		require.InDelta(t, at, geom.Length(before.Points), 1e-9)
		require.Equal(t, before.Points[len(before.Points)-1], after.Points[0])
		joined := call(t, "join", parts).Path()
		require.InDelta(t, geom.Length(p.Points), geom.Length(joined.Points), 1e-9)
		require.Equal(t, p.Turn, joined.Turn)
		require.Equal(t, p.Points[0], joined.Points[0])
		require.Equal(t, p.Points[len(p.Points)-1], joined.Points[len(joined.Points)-1])
	})
}

func TestSpotIsWhereCutCutsAndFacingIsTheDirectionThere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := somePath(t)
		at := inside(t, p)
		spot := call(t, "spot", p, at).Point()
		require.Equal(t, call(t, "cut", p, at).List()[1].Path().Points[0], spot)
		length := geom.Length(p.Points)
		if at > length-1e-3 {
			return
		}
		// A small step on lies in the direction that facing gives, unless there
		// is a corner on the way.
		facing := call(t, "facing", p, at).Number()
		if facing == call(t, "facing", p, at+1e-3).Number() {
			next := call(t, "spot", p, at+1e-3).Point()
			require.LessOrEqual(t, spot.Add(geom.Polar(1e-3, facing)).Distance(next), 1e-9)
		}
	})
}

func TestPlacesAlongAPathAtCornersAndEnds(t *testing.T) {
	p := pathOf(0, pt(0, 0), pt(10, 0), pt(10, 0), pt(10, 10))
	for _, c := range []struct {
		mm     float64
		spot   geom.Point
		facing float64
	}{
		{0, pt(0, 0), 0}, {4, pt(4, 0), 0}, {10, pt(10, 0), 90}, {15, pt(10, 5), 90}, {20, pt(10, 10), 90},
		{-1e-7, pt(0, 0), 0}, {20 + 1e-7, pt(10, 10), 90},
	} {
		require.Equal(t, c.spot, call(t, "spot", p, c.mm).Point(), c.mm)
		require.Equal(t, c.facing, call(t, "facing", p, c.mm).Number(), c.mm)
	}
	dot := pathOf(0, pt(3, 4))
	require.Equal(t, pt(3, 4), call(t, "spot", dot, 0).Point())
	require.Len(t, call(t, "cut", dot, 0).List(), 2)
}

func TestJoinGoesOnWhereThePathBeforeEndsAndTurned(t *testing.T) {
	corner := pathOf(90, pt(0, 0), pt(10, 0), pt(10, 5))
	joined := call(t, "join", corner, corner, corner).Path()
	requireSamePoints(t, []geom.Point{
		pt(0, 0), pt(10, 0), pt(10, 5), pt(10, 15), pt(5, 15), pt(-5, 15), pt(-5, 10),
	}, joined.Points, 1e-12)
	require.Equal(t, 270.0, joined.Turn)
	require.Equal(t, joined.Points, call(t, "join", []any{corner, corner, corner}).Path().Points)
	// The frame of the first is kept, and only offsets of the others count.
	away := pathOf(0, pt(100, 100), pt(101, 100))
	requireSamePoints(t, []geom.Point{pt(100, 100), pt(101, 100), pt(102, 100)}, call(t, "join", away, away).Path().Points, 0)
}

func TestJoiningTakesPathsInAnyGrouping(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := somePath(t), somePath(t), somePath(t)
		left := call(t, "join", call(t, "join", a, b), c).Path()
		right := call(t, "join", a, call(t, "join", b, c)).Path()
		requireSamePoints(t, left.Points, right.Points, 1e-9)
		require.Equal(t, left.Turn, right.Turn)
	})
}

func TestPathFaultsHaveTheirCodes(t *testing.T) {
	line, dot := pathOf(0, pt(0, 0), pt(10, 0)), pathOf(0, pt(0, 0))
	require.EqualValues(t, "beyond-path", faultOf(t, "spot", line, 10.01))
	require.EqualValues(t, "beyond-path", faultOf(t, "cut", line, -1))
	require.EqualValues(t, "no-direction", faultOf(t, "facing", dot, 0))
	require.EqualValues(t, "fit-size", faultOf(t, "fit", line, -1, nil))
	require.EqualValues(t, "fit-without-size", faultOf(t, "fit", line, nil, nil))
	require.EqualValues(t, "fit-flat", faultOf(t, "fit", line, nil, 10))
	require.EqualValues(t, "path-too-large", faultOf(t, "scale", line, 1e308))
	require.EqualValues(t, "path-too-large", faultOf(t, "move", line, 1.1e9, 0))
	require.EqualValues(t, "path-too-large", faultOf(t, "polyline", []any{pt(0, 0), pt(1e300, 0)}))
	require.EqualValues(t, "path-too-large", faultOf(t, "tour", []any{pt(0, 0), pt(0, -1e300)}, nil))
	require.EqualValues(t, "path-too-large", faultOf(t, "weave", []any{pathOf(0, pt(0, 0), pt(1e8, 0))}, nil, nil))
	require.EqualValues(t, "path-too-large", faultOf(t, "weave", []any{line}, pt(1e300, 0), nil))
	require.EqualValues(t, "list-item-kind", faultOf(t, "rotate", []any{line, 3}, 10))
	require.EqualValues(t, "empty-list", faultOf(t, "join", []any{}))
	require.EqualValues(t, "join-without-separator", faultOf(t, "join", []any{"a"}))
	require.EqualValues(t, "no-direction", faultOf(t, "along", line, dot))
	require.EqualValues(t, "path-too-large", faultOf(t, "along", pathOf(0, pt(0, 0), pt(1e12, 0)), line))
}
