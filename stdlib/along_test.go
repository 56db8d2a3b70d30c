package stdlib_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "wend/internal/repeatable"
	"wend/runtime/geom"
	"wend/runtime/value"
)

// ngon is a regular polygon around (0, 0), run around to the left and closed.
func ngon(n int, radius float64) *value.Path {
	points := make([]geom.Point, n+1)
	for i := range n {
		points[i] = geom.Polar(radius, 360*float64(i)/float64(n))
	}
	points[n] = points[0]
	return pathOf(0, points...)
}

func TestAlongAStraightLineAMotifStaysAsItIs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		motif := somePath(t)
		axis := pathOf(0, pt(0, 0), pt(13, 0), pt(13, 0), pt(50, 0))
		bent := call(t, "along", motif, axis).Path()
		require.Zero(t, bent.Turn)
		// It may have more points, where it passes vertices of the line.
		require.InDelta(t, geom.Length(motif.Points), geom.Length(bent.Points), 1e-9)
		requireSamePoints(t, motif.Points[:1], bent.Points[:1], 1e-12)
		requireSamePoints(t, motif.Points[len(motif.Points)-1:], bent.Points[len(bent.Points)-1:], 1e-9)
	})
}

// A line parallel to the x axis becomes the exact parallel of the line: of a
// regular polygon with apothem a, the one with apothem a - h (elementary
// geometry), closed and run through once a lap.
func TestAlongAPolygonALevelLineBecomesItsParallel(t *testing.T) {
	for _, n := range []int{3, 4, 6, 50} {
		ring := ngon(n, 40)
		lap := geom.Length(ring.Points)
		apothem := 40 * math.Cos(math.Pi/float64(n))
		for _, h := range []float64{-10, 0, 5} {
			for _, laps := range []float64{1, -1, 2.5} {
				bent := call(t, "along", pathOf(0, pt(0, h), pt(laps*lap, h)), ring).Path()
				require.InDelta(t, math.Abs(laps)*lap*(apothem-h)/apothem, geom.Length(bent.Points), 1e-6, "n %d h %g laps %g", n, h, laps)
				for i := 1; i < len(bent.Points); i++ {
					middle := bent.Points[i-1].Mix(bent.Points[i], 0.5)
					require.LessOrEqual(t, middle.Length(), (apothem-h)/math.Cos(math.Pi/float64(n))+1e-9)
					require.GreaterOrEqual(t, geom.SegmentDistance(bent.Points[i-1], bent.Points[i], pt(0, 0)), apothem-h-1e-9)
				}
			}
		}
	}
}

func TestAlongAMotifIsBentToWithinTheTolerance(t *testing.T) {
	// Against the same motif cut so finely that bending its points is enough.
	rapid.Check(t, func(t *rapid.T) {
		line := pathOf(0, pt(0, 0), pt(30, 5), pt(50, 30), pt(90, 20))
		from := pt(rapid.Float64Range(-20, 130).Draw(t, "x"), rapid.Float64Range(-15, 15).Draw(t, "y"))
		to := pt(rapid.Float64Range(-20, 130).Draw(t, "x"), rapid.Float64Range(-15, 15).Draw(t, "y"))
		bent := call(t, "along", pathOf(0, from, to), line).Path().Points
		for k := range 201 {
			at := from.Mix(to, float64(k)/200)
			exact := call(t, "along", pathOf(0, at), line).Path().Points[0]
			nearest := math.Inf(1)
			for i := 1; i < len(bent); i++ {
				nearest = min(nearest, geom.SegmentDistance(bent[i-1], bent[i], exact))
			}
			if len(bent) > 1 {
				require.LessOrEqual(t, nearest, 0.01+1e-9)
			}
		}
	})
}

func TestAlongGoesStraightOnBeyondTheEndsOfAnOpenLine(t *testing.T) {
	line := pathOf(0, pt(0, 0), pt(10, 0), pt(10, 10))
	bent := call(t, "along", pathOf(0, pt(-5, 1), pt(-1, 1)), line).Path()
	requireSamePoints(t, []geom.Point{pt(-5, 1), pt(-1, 1)}, bent.Points, 0)
	bent = call(t, "along", pathOf(0, pt(22, 1), pt(25, 1)), line).Path()
	requireSamePoints(t, []geom.Point{pt(9, 12), pt(9, 15)}, bent.Points, 1e-12)
}

func TestAlongCutsMitresShortAtSharpCorners(t *testing.T) {
	spike := pathOf(0, pt(0, 0), pt(50, 0), pt(0, 0.1))
	back := pathOf(0, pt(0, 0), pt(50, 0), pt(0, 0))
	for _, line := range []*value.Path{spike, back} {
		bent := call(t, "along", pathOf(0, pt(0, 3), pt(99, 3)), line).Path()
		for _, p := range bent.Points {
			require.LessOrEqual(t, p.Distance(pt(25, 0)), 25+2*3+0.2)
		}
	}
}

func TestAlongTakesTheWholeWayOfAMotifThatRunsBack(t *testing.T) {
	ring := ngon(12, 30)
	lap := geom.Length(ring.Points)
	there := pathOf(0, pt(-lap/3, 2), pt(lap*1.4, -3))
	back := call(t, "reverse", there)
	a := call(t, "along", there, ring).Path()
	b := call(t, "along", back, ring).Path()
	requireSamePoints(t, a.Points, geom.Reversed(b.Points), 1e-9)
}
