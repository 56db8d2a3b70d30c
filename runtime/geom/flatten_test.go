package geom_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/runtime/geom"
)

const manyPoints = 1_000_000

// flatCircle is a whole circle as a closed polyline, its start included.
func flatCircle(t testing.TB, radius, tolerance float64) []geom.Point {
	t.Helper()
	points, heading, err := geom.Arc([]geom.Point{{}}, geom.Point{}, 0, radius, 360, tolerance, manyPoints)
	require.NoError(t, err)
	require.Equal(t, 0.0, heading)
	return points
}

// distanceToLine is the distance of p from a polyline, to all its segments.
func distanceToLine(points []geom.Point, p geom.Point) float64 {
	best := p.Distance(points[0])
	for i := 1; i < len(points); i++ {
		best = min(best, geom.SegmentDistance(points[i-1], points[i], p))
	}
	return best
}

// Sagitta s = r(1 - cos(θ/2)); elementary, the numbers recomputed.
func TestCirclesAreFlattenedToTheFewestPiecesTheSagittaAllows(t *testing.T) {
	for _, c := range []struct{ radius, tolerance float64 }{{50, .05}, {100, .1}, {10, .01}} {
		require.Equal(t, 71.0, geom.ArcPieces(c.radius, 360, c.tolerance))
		points := flatCircle(t, c.radius, c.tolerance)
		require.Len(t, points, 72)
		middle := points[0].Mix(points[1], 0.5)
		require.InEpsilon(t, 9.78773e-4, 1-middle.Distance(geom.Point{Y: c.radius})/c.radius, 1e-6)
	}
	require.Equal(t, 3.0, geom.ArcPieces(1, 360, 5), "a coarse circle is still a triangle")
	require.Equal(t, 3.0, geom.ArcPieces(1, -360, 1))
	require.Equal(t, 0.0, geom.ArcPieces(0, 90, 0.1))
	require.Equal(t, 0.0, geom.ArcPieces(5, 0, 0.1))
}

// Archimedes' doublings of the hexagon (Measurement of a Circle; perimeter
// 2N sin(π/N), area N/2 sin(2π/N), sagitta 1 - cos(π/N) of radius 1).
func TestInscribedPolygonsHaveArchimedesMeasures(t *testing.T) {
	last := 0.0
	for _, c := range []struct{ n, perimeter, area, sagitta float64 }{
		{6, 6, 2.5980762, 0.1339746},
		{12, 6.2116571, 3, 0.0340742},
		{24, 6.2652573, 3.1058285, 0.0085551},
		{48, 6.2787004, 3.1326286, 0.0021411},
		{96, 6.2820639, 3.1393502, 0.00053541},
	} {
		points := flatCircle(t, 1, c.sagitta*1.0001)
		require.Len(t, points, int(c.n)+1)
		require.InDelta(t, c.perimeter, geom.Length(points), 1e-7)
		require.InDelta(t, c.area, areaWithin(points), 1e-7)
		sagitta := 1 - points[0].Mix(points[1], 0.5).Distance(geom.Point{Y: 1})
		require.InDelta(t, c.sagitta, sagitta, 1e-7)
		if c.n == 96 {
			require.InEpsilon(t, 4, last/sagitta, 1e-3)
		}
		last = sagitta
	}
}

func TestArcsTurnLeftForPositiveAndRightForNegativeAngles(t *testing.T) {
	for _, c := range []struct {
		heading, radius, turn float64
		end                   geom.Point
		endHeading            float64
	}{
		{0, 10, 90, geom.Point{X: 10, Y: 10}, 90},
		{0, 10, -90, geom.Point{X: 10, Y: -10}, 270},
		{90, 10, 90, geom.Point{X: -10, Y: 10}, 180},
		{90, 10, -90, geom.Point{X: 10, Y: 10}, 0},
		{0, 10, 180, geom.Point{Y: 20}, 180},
		{180, 10, -180, geom.Point{Y: 20}, 0},
		{0, 10, 360, geom.Point{}, 0},
		{0, 10, -720, geom.Point{}, 0},
		{37, 10, 1080, geom.Point{}, 37},
		{0, 0, 45, geom.Point{}, 45},
	} {
		points, heading, err := geom.Arc([]geom.Point{{}}, geom.Point{}, c.heading, c.radius, c.turn, 0.01, manyPoints)
		require.NoError(t, err)
		require.Equal(t, c.end, points[len(points)-1], "%+v", c)
		require.Equal(t, c.endHeading, heading, "%+v", c)
		end, endHeading := geom.ArcEnd(geom.Point{}, c.heading, c.radius, c.turn)
		require.Equal(t, c.end, end)
		require.Equal(t, heading, endHeading)
	}
}

func TestCurvesThatNeedTooManyPointsAppendNothingAndSaySo(t *testing.T) {
	before := []geom.Point{{X: 7}}
	check := func(points []geom.Point, err error, needed float64) {
		t.Helper()
		var tooMany *geom.TooManyPointsError
		require.ErrorAs(t, err, &tooMany)
		require.Equal(t, 10, tooMany.Limit)
		require.GreaterOrEqual(t, tooMany.Needed, needed)
		require.Equal(t, before, points)
	}
	points, heading, err := geom.Arc(before, geom.Point{}, 12, 50, 360, 0.05, 10)
	require.Equal(t, 12.0, heading)
	check(points, err, 71)
	points, _, err = geom.Arc(before, geom.Point{}, 0, 1e300, 1e300, 1e-300, 10)
	check(points, err, 1e9)
	points, _, err = geom.Arc(before, geom.Point{}, 0, 1, math.NaN(), 1, 10)
	require.Error(t, err)
	require.Equal(t, before, points)
	c := geom.Cubic{P1: geom.Point{Y: 100}, P2: geom.Point{X: 100, Y: 100}, P3: geom.Point{X: 100}}
	points, err = geom.Bezier(before, c, 0.001, 10)
	check(points, err, 11)
	points, err = geom.Spline(before, geom.Point{}, []geom.Point{{X: 10}, {X: 20, Y: 30}, {X: 40}, {X: 60, Y: 10}}, 0.001, 10)
	check(points, err, 11)
}

func TestArcsKeepTheToleranceAndTheirEnds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		start := drawPoint(t, "start")
		heading := rapid.Float64Range(-720, 720).Draw(t, "heading")
		radius := rapid.Float64Range(0.01, 400).Draw(t, "radius")
		turn := rapid.Float64Range(-800, 800).Draw(t, "turn")
		tolerance := rapid.Float64Range(0.005, 1).Draw(t, "tolerance")
		points, _, err := geom.Arc([]geom.Point{start}, start, heading, radius, turn, tolerance, manyPoints)
		require.NoError(t, err)
		end, _ := geom.ArcEnd(start, heading, radius, turn)
		require.Equal(t, end, points[len(points)-1])
		center := geom.ArcCenter(start, heading, radius, turn)
		extent := geom.ArcExtent(start, heading, radius, turn)
		box := geom.EmptyBox()
		for i, p := range points {
			require.InDelta(t, radius, p.Distance(center), 1e-9)
			require.True(t, extent.Grow(1e-9).Contains(p))
			box = box.Include(p)
			if i > 0 {
				require.GreaterOrEqual(t, points[i-1].Mix(p, 0.5).Distance(center), radius-tolerance-1e-9)
			}
		}
		require.True(t, box.Grow(tolerance+1e-9).Contains(extent.Min) && box.Grow(tolerance+1e-9).Contains(extent.Max))
	})
}

func drawPoint(t *rapid.T, label string) geom.Point {
	return geom.Point{X: rapid.Float64Range(-200, 200).Draw(t, label+".x"), Y: rapid.Float64Range(-200, 200).Draw(t, label+".y")}
}

// Radial errors of cubic arcs: Goldapp, Approximation of circular arcs by
// cubic polynomials, CAGD 8 (1991); Riškus, Information Technology and Control
// 35(4) (2006); recomputed.
func TestCubicArcsHaveThePublishedRadialError(t *testing.T) {
	for _, c := range []struct{ n, worst, relative float64 }{
		{2, 1.835e-2, 1e-3}, {3, 1.542e-3, 1e-3}, {4, 2.72530e-4, 1e-5}, {6, 2.38644e-5, 1e-5}, {8, 4.24553e-6, 1e-5}, {12, 3.72662e-7, 1e-5}, {16, 6.6324e-8, 1e-4},
	} {
		alpha := 360 / c.n
		k := 4.0 / 3 * math.Tan(alpha/4*math.Pi/180)
		a, b := geom.Point{X: 1}, geom.Direction(alpha)
		cubic := geom.Cubic{P0: a, P1: geom.Point{X: 1, Y: k}, P2: b.Sub(geom.Direction(alpha + 90).Times(k)), P3: b}
		worst, least := 0.0, 0.0
		for i := range 2001 {
			e := cubic.At(float64(i)/2000).Length() - 1
			worst, least = max(worst, e), min(least, e)
		}
		require.InEpsilon(t, c.worst, worst, c.relative, "%v pieces", c.n)
		require.Greater(t, least, -1e-15)
	}
	require.InDelta(t, 0.5522847498, 4.0/3*math.Tan(math.Pi/8), 1e-10)
}

// Pieces by Wang's formula and lengths: Goldman, Pyramid Algorithms (2003)
// section 5.6.3, the numbers recomputed.
func TestBezierCurvesUseFewerPiecesThanWangsFormula(t *testing.T) {
	for _, c := range []struct {
		cubic            geom.Cubic
		coarse, fine     float64
		length, slackLen float64
	}{
		{geom.Cubic{P1: geom.Point{Y: 100}, P2: geom.Point{X: 100, Y: 100}, P3: geom.Point{X: 100}}, 33, 103, 200.000000, 0.02},
		{geom.Cubic{P1: geom.Point{X: 30, Y: 90}, P2: geom.Point{X: 70, Y: -90}, P3: geom.Point{X: 100}}, 46, 143, 150.893013, 0.02},
		{geom.Cubic{P1: geom.Point{X: 100, Y: 100}, P2: geom.Point{Y: 100}, P3: geom.Point{X: 100}}, 41, 130, 182.842712, 0.02},
	} {
		require.Equal(t, c.coarse, c.cubic.WangPieces(0.1))
		require.Equal(t, c.fine, c.cubic.WangPieces(0.01))
		for _, tolerance := range []float64{0.1, 0.01} {
			points, err := geom.Bezier([]geom.Point{c.cubic.P0}, c.cubic, tolerance, manyPoints)
			require.NoError(t, err)
			require.LessOrEqual(t, float64(len(points)-1), c.cubic.WangPieces(tolerance))
			require.Equal(t, c.cubic.P3, points[len(points)-1])
			for i := range 3001 {
				require.LessOrEqual(t, distanceToLine(points, c.cubic.At(float64(i)/3000)), tolerance*(1+1e-9))
			}
		}
		points, err := geom.Bezier([]geom.Point{c.cubic.P0}, c.cubic, 1e-4, manyPoints)
		require.NoError(t, err)
		require.InDelta(t, c.length, geom.Length(points), c.slackLen)
	}
}

func TestAwkwardBezierCurvesStayWithinTolerance(t *testing.T) {
	p := func(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }
	for name, c := range map[string]geom.Cubic{
		"control points in line beyond the ends": {P0: p(0, 0), P1: p(-50, 0), P2: p(150, 0), P3: p(100, 0)},
		"control points in line beyond one end":  {P0: p(0, 0), P1: p(200, 0), P2: p(300, 0), P3: p(100, 0)},
		"a cusp":                                 {P0: p(0, 0), P1: p(100, 100), P2: p(0, 100), P3: p(100, 0)},
		"a loop with ends that coincide":         {P0: p(0, 0), P1: p(90, 60), P2: p(-40, 80), P3: p(0, 0)},
		"out and back on one line":               {P0: p(0, 0), P1: p(60, 60), P2: p(60, 60), P3: p(0, 0)},
		"a straight line":                        {P0: p(0, 0), P1: p(10, 0), P2: p(20, 0), P3: p(30, 0)},
		"an end without direction":               {P0: p(0, 0), P1: p(0, 0), P2: p(0, 50), P3: p(40, 50)},
		"far from the page":                      {P0: p(1e9, 1e9), P1: p(1e9, 1e9+50), P2: p(1e9+50, 1e9+50), P3: p(1e9+50, 1e9)},
	} {
		t.Run(name, func(t *testing.T) {
			requireFlat(t, c, 0.01)
		})
	}
	points, err := geom.Bezier(nil, geom.Cubic{P0: p(0, 0), P1: p(10, 0), P2: p(20, 0), P3: p(30, 0)}, 0.01, 10)
	require.NoError(t, err)
	require.Len(t, points, 1, "a straight line is one piece")
	points, err = geom.Bezier(nil, geom.Cubic{P0: p(4, 4), P1: p(4, 4), P2: p(4, 4), P3: p(4, 4)}, 0.01, 10)
	require.NoError(t, err)
	require.Empty(t, points, "a point is no piece")
}

func requireFlat(t require.TestingT, c geom.Cubic, tolerance float64) {
	points, err := geom.Bezier([]geom.Point{c.P0}, c, tolerance, manyPoints)
	require.NoError(t, err)
	require.Equal(t, c.P3, points[len(points)-1])
	extent := c.Extent()
	slack := 1e-9 + 1e-14*(extent.Max.Length()+extent.Min.Length())
	box := geom.EmptyBox()
	for i := range 501 {
		p := c.At(float64(i) / 500)
		require.LessOrEqual(t, distanceToLine(points, p), tolerance+slack)
		require.True(t, extent.Grow(slack).Contains(p))
		box = box.Include(p)
	}
	// The extent is tight: samples come near each of its edges.
	reach := 1e-3 * (c.P0.Distance(c.P1) + c.P1.Distance(c.P2) + c.P2.Distance(c.P3))
	require.True(t, box.Grow(reach+slack).Contains(extent.Min) && box.Grow(reach+slack).Contains(extent.Max))
}

func TestBezierCurvesKeepTheTolerance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := geom.Cubic{P0: drawPoint(t, "p0"), P1: drawPoint(t, "p1"), P2: drawPoint(t, "p2"), P3: drawPoint(t, "p3")}
		requireFlat(t, c, rapid.Float64Range(0.01, 2).Draw(t, "tolerance"))
	})
}

// Barry & Goldman, A recursive evaluation algorithm for a class of Catmull-Rom
// splines (SIGGRAPH 1988): the pyramid that the spline is defined by.
func barryGoldman(p [4]geom.Point, u float64) geom.Point {
	var knot [4]float64
	for i := 1; i < 4; i++ {
		knot[i] = knot[i-1] + math.Sqrt(p[i].Distance(p[i-1]))
	}
	t := knot[1] + u*(knot[2]-knot[1])
	level := p[:]
	for _, width := range []int{1, 2, 2} {
		var next []geom.Point
		for i := 0; i+1 < len(level); i++ {
			low := i
			if len(level) == 2 {
				low = 1
			}
			high := low + width
			if len(level) == 2 {
				high = 2
			}
			next = append(next, level[i].Mix(level[i+1], (t-knot[low])/(knot[high]-knot[low])))
		}
		level = next
	}
	return level[0]
}

func TestSplinesAreCentripetalCatmullRom(t *testing.T) {
	points := []geom.Point{{X: 10, Y: 5}, {X: 12, Y: 30}, {X: 60, Y: 28}, {X: 61, Y: 29}, {X: 20, Y: -10}}
	start := geom.Point{X: 1, Y: 2}
	cubics := geom.SplineCubics(start, points)
	require.Len(t, cubics, len(points))
	all := append([]geom.Point{start.Times(2).Sub(points[0]), start}, points...)
	last := len(all) - 1
	all = append(all, all[last].Times(2).Sub(all[last-1]))
	for i, c := range cubics {
		for u := 0.0; u <= 1; u += 0.125 {
			want := barryGoldman([4]geom.Point(all[i:i+4]), u)
			require.InDelta(t, 0, want.Distance(c.At(u)), 1e-12, "piece %d at %v", i, u)
		}
	}
}

// Centripetal values of the family that Yuksel, Schaefer & Keyser compare
// (Computer-Aided Design 43, 2011), recomputed.
func TestACentripetalSplinePassesItsTabledPoints(t *testing.T) {
	cubics := geom.SplineCubics(geom.Point{}, []geom.Point{{X: 1}, {X: 1, Y: 4}, {X: 2, Y: 4}})
	for u, want := range map[float64]geom.Point{0.25: {X: 1.125, Y: 0.75}, 0.5: {X: 1, Y: 2}, 0.75: {X: 0.875, Y: 3.25}} {
		require.InDelta(t, 0, want.Distance(cubics[1].At(u)), 1e-14)
	}
}

func TestSplinesPassThroughTheirPointsAndStaySmooth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		start := drawPoint(t, "start")
		through := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) geom.Point { return drawPoint(t, "p") }), 1, 8).Draw(t, "points")
		line, err := geom.Spline([]geom.Point{start}, start, through, 0.05, manyPoints)
		require.NoError(t, err)
		at := 0
		last := start
		for _, p := range through {
			if p.Distance(last) <= geom.SamePoint {
				continue
			}
			for ; line[at] != p; at++ {
				require.Less(t, at+1, len(line), "a point of the spline is missing")
			}
			last = p
		}
		cubics := geom.SplineCubics(start, through)
		for i, c := range cubics {
			for k := range 50 {
				require.LessOrEqual(t, distanceToLine(line, c.At(float64(k)/49)), 0.05+1e-9)
			}
			if i > 0 {
				in, out := cubics[i-1].P3.Sub(cubics[i-1].P2), c.P1.Sub(c.P0)
				require.InDelta(t, 0, in.Cross(out), 1e-9*(1+in.Length()*out.Length()))
			}
		}
	})
}

func TestSplinesOfOneOrNoPointAreStraightOrNothing(t *testing.T) {
	line, err := geom.Spline(nil, geom.Point{}, []geom.Point{{X: 10}, {X: 10}}, 0.01, 100)
	require.NoError(t, err)
	require.Equal(t, []geom.Point{{X: 10}}, line)
	line, err = geom.Spline(nil, geom.Point{}, []geom.Point{{}}, 0.01, 100)
	require.NoError(t, err)
	require.Empty(t, line)
}

func FuzzBezierEndsWithinItsLimit(f *testing.F) {
	f.Add(0.0, 0.0, 0.0, 100.0, 100.0, 100.0, 100.0, 0.0, 0.01)
	f.Add(0.0, 0.0, -50.0, 0.0, 150.0, 0.0, 100.0, 0.0, 0.1)
	f.Add(1e300, -1e300, 1e300, 1e300, math.Inf(1), 0.0, math.NaN(), 5e-324, 1e-300)
	f.Fuzz(func(t *testing.T, x0, y0, x1, y1, x2, y2, x3, y3, tolerance float64) {
		c := geom.Cubic{P0: geom.Point{X: x0, Y: y0}, P1: geom.Point{X: x1, Y: y1}, P2: geom.Point{X: x2, Y: y2}, P3: geom.Point{X: x3, Y: y3}}
		points, err := geom.Bezier(nil, c, math.Abs(tolerance), 1000)
		require.LessOrEqual(t, len(points), 1000)
		if err == nil && len(points) > 0 {
			require.Equal(t, c.P3, points[len(points)-1])
		}
	})
}

func BenchmarkArc(b *testing.B) {
	b.ReportAllocs()
	dst := make([]geom.Point, 0, 1000)
	for b.Loop() {
		dst, _, _ = geom.Arc(dst[:0], geom.Point{}, 30, 50, 360, 0.001, 1000)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(dst)), "ns/point")
}

func BenchmarkBezier(b *testing.B) {
	b.ReportAllocs()
	c := geom.Cubic{P1: geom.Point{X: 30, Y: 90}, P2: geom.Point{X: 70, Y: -90}, P3: geom.Point{X: 100}}
	dst := make([]geom.Point, 0, 1000)
	for b.Loop() {
		dst, _ = geom.Bezier(dst[:0], c, 0.01, 1000)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(dst)), "ns/point")
}
