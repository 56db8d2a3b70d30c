package region_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "wend/internal/repeatable"
	"wend/runtime/geom"
	"wend/runtime/region"
)

func areaOf(t require.TestingT, r region.Region) float64 {
	area, _, _, err := r.Measure(free)
	require.NoError(t, err)
	return area
}

type operation func([]region.Region, region.Work) (region.Region, error)

func apply(t require.TestingT, by operation, regions ...region.Region) region.Region {
	r, err := by(regions, free)
	require.NoError(t, err)
	return r
}

// Any place lies in a result just when the operation says so of the operands.
func TestPlacesAreWhereTheOperationsSay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := someRegion().Draw(t, "a"), someRegion().Draw(t, "b"), someRegion().Draw(t, "c")
		union := apply(t, region.Union, a, b, c)
		both := apply(t, region.Intersection, a, b, c)
		less := apply(t, region.Difference, a, b, c)
		simple, err := a.Simple(free)
		require.NoError(t, err)
		for range 40 {
			p := pt(rapid.Float64Range(-55, 55).Draw(t, "x"), rapid.Float64Range(-55, 55).Draw(t, "y"))
			if nearLine(p, a, 1e-5) || nearLine(p, b, 1e-5) || nearLine(p, c, 1e-5) {
				continue
			}
			inA, inB, inC := a.Contains(p), b.Contains(p), c.Contains(p)
			require.Equal(t, inA || inB || inC, union.Contains(p), "union at %v", p)
			require.Equal(t, inA && inB && inC, both.Contains(p), "intersection at %v", p)
			require.Equal(t, inA && !inB && !inC, less.Contains(p), "difference at %v", p)
			require.Equal(t, inA, simple.Contains(p), "simple at %v", p)
		}
	})
}

// The non-zero rule, by the angles under which a place sees the lines.
func TestNonZeroIsWhatTheLinesRunAround(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := someRegion().Draw(t, "a")
		filled, err := a.NonZero(free)
		require.NoError(t, err)
		for range 40 {
			p := pt(rapid.Float64Range(-55, 55).Draw(t, "x"), rapid.Float64Range(-55, 55).Draw(t, "y"))
			if nearLine(p, a, 1e-5) {
				continue
			}
			turn := 0.0
			for _, line := range a {
				for i := range line.Points {
					u, v := line.Points[i].Sub(p), line.Points[(i+1)%len(line.Points)].Sub(p)
					turn += math.Atan2(u.Cross(v), u.Dot(v))
				}
			}
			require.Equal(t, math.Round(turn/(2*math.Pi)) != 0, filled.Contains(p), "at %v", p)
		}
	})
}

func nearLine(p geom.Point, r region.Region, within float64) bool {
	for _, line := range r {
		for i := range line.Points {
			if geom.SegmentDistance(line.Points[max(i-1, 0)], line.Points[i], p) < within {
				return true
			}
		}
	}
	return false
}

// Areas add up: of a, b, what they share, what either holds; and results
// are lines that do not cross, their inside on the left.
func TestAreasAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := someRegion().Draw(t, "a"), someRegion().Draw(t, "b")
		union, both := apply(t, region.Union, a, b), apply(t, region.Intersection, a, b)
		onlyA, onlyB := apply(t, region.Difference, a, b), apply(t, region.Difference, b, a)
		const close = 1e-3
		require.InDelta(t, areaOf(t, a)+areaOf(t, b), areaOf(t, union)+areaOf(t, both), close)
		require.InDelta(t, areaOf(t, a), areaOf(t, onlyA)+areaOf(t, both), close)
		require.InDelta(t, areaOf(t, union), areaOf(t, onlyA)+areaOf(t, onlyB)+areaOf(t, both), close)
		require.InDelta(t, areaOf(t, a), areaOf(t, apply(t, region.Union, a, a)), close)
		require.InDelta(t, 0, areaOf(t, apply(t, region.Difference, a, a)), close)
		for _, r := range []region.Region{union, both, onlyA} {
			sum := 0.0
			for i, line := range r {
				require.Equal(t, line.Points[0], line.Points[len(line.Points)-1])
				for j := 1; j < len(line.Points); j++ {
					sum += line.Points[j-1].Cross(line.Points[j]) / 2
				}
				if i < 8 {
					requireNoCrossing(t, line.Points)
				}
			}
			require.InDelta(t, areaOf(t, r), sum, close, "the inside is on the left of every line")
		}
	})
}

func requireNoCrossing(t require.TestingT, line []geom.Point) {
	for i := 1; i < len(line); i++ {
		for j := i + 1; j < len(line); j++ {
			if geom.Meet(line[i-1], line[i], line[j-1], line[j]) == geom.Crossing {
				// The corners were put on the grid when it was decided.
				s, u, _ := geom.Intersect(line[i-1], line[i], line[j-1], line[j])
				p := line[i-1].Mix(line[i], s)
				near := math.Inf(1)
				for _, end := range [4]geom.Point{line[i-1], line[i], line[j-1], line[j]} {
					near = min(near, p.Distance(end))
				}
				require.Less(t, near, 1e-4, "the pieces %d and %d cross at %v %v", i, j, s, u)
			}
		}
	}
}

// Squares by hand: outlines that touch stay apart, holes are kept, and corners
// come out to the last bit.
func TestSquares(t *testing.T) {
	a, b := region.Of(rectangle(0, 0, 10, 10)), region.Of(rectangle(5, 5, 10, 10))
	require.Equal(t, 175.0, areaOf(t, apply(t, region.Union, a, b)))
	require.Equal(t, 25.0, areaOf(t, apply(t, region.Intersection, a, b)))
	require.Equal(t, 75.0, areaOf(t, apply(t, region.Difference, a, b)))
	require.Len(t, apply(t, region.Union, a, b)[0].Points, 9)

	beside := region.Of(rectangle(10, 0, 10, 10))
	joined := apply(t, region.Union, a, beside)
	require.Len(t, joined, 1)
	require.Equal(t, 200.0, areaOf(t, joined))
	require.Empty(t, apply(t, region.Intersection, a, beside))

	corner := region.Of(rectangle(10, 10, 10, 10))
	require.Len(t, apply(t, region.Union, a, corner), 2)

	hole := apply(t, region.Difference, a, region.Of(rectangle(3, 3, 4, 4)))
	require.Len(t, hole, 2)
	require.Equal(t, 84.0, areaOf(t, hole))

	third := pt(1.0/3, math.Pi)
	odd := region.Of([]geom.Point{third, pt(9.1, 0.1), pt(5.7, 8.3), third})
	require.Contains(t, apply(t, region.Union, odd, region.Of(rectangle(5, 2, 9, 1)))[0].Points, third)
}

// Closed forms: circular segments and lenses from their radius and distance
// (any table of plane figures), centroids of a half disc and of a triangle.
func TestAreasAndCentroidsOfKnownFigures(t *testing.T) {
	const corners = 20000
	a, b := region.Of(circle(pt(0, 0), 10, corners)), region.Of(circle(pt(12, 0), 10, corners))
	lens := 2*100*math.Acos(0.6) - 12*8
	require.InEpsilon(t, lens, areaOf(t, apply(t, region.Intersection, a, b)), 1e-6)
	require.InEpsilon(t, 200*math.Pi-lens, areaOf(t, apply(t, region.Union, a, b)), 1e-6)

	half := apply(t, region.Intersection, a, region.Of(rectangle(-20, 0, 40, 20)))
	_, centroid, ok, err := half.Measure(free)
	require.NoError(t, err)
	require.True(t, ok)
	require.InDelta(t, 0, centroid.X, 1e-6)
	require.InDelta(t, 40/(3*math.Pi), centroid.Y, 1e-5)

	_, centroid, _, err = region.Of([]geom.Point{pt(300, 0), pt(306, 0), pt(300, 9), pt(300, 0)}).Measure(free)
	require.NoError(t, err)
	require.InDelta(t, 302, centroid.X, 1e-9)
	require.InDelta(t, 3, centroid.Y, 1e-9)

	// A pentagram, even-odd: the five tips without the middle. With r the radius
	// of its corners, area = 5 r² (sin 36° cos 36° - ...): by the shoelace formula
	// of one tip, whose base lies at r cos 72° / cos 36°.
	var star []geom.Point
	for i := range 6 {
		sin, cos := math.Sincos(2 * math.Pi * float64(2*i) / 5)
		star = append(star, pt(10*cos, 10*sin))
	}
	inner := 10 * math.Cos(2*math.Pi/5) / math.Cos(math.Pi/5)
	tip := inner * math.Sin(math.Pi/5) * (10 - inner*math.Cos(math.Pi/5))
	require.InDelta(t, 5*tip, areaOf(t, region.Of(star)), 1e-4)

	_, _, ok, err = region.Of([]geom.Point{pt(1, 1), pt(5, 5), pt(1, 1)}).Measure(free)
	require.NoError(t, err)
	require.False(t, ok)
}

// Copies of a line meet the others once: work grows with their number, not with
// its square.
func TestCopiesOfALineCostLittle(t *testing.T) {
	steps := func(copies int) int {
		regions := make([]region.Region, copies)
		for i := range regions {
			regions[i] = region.Of(circle(pt(0, 0), 40, 125))
		}
		sum := 0
		r, err := region.Difference(regions, func(steps, made int) error {
			sum += steps + made
			return nil
		})
		require.NoError(t, err)
		require.Empty(t, r)
		return sum
	}
	require.Less(t, steps(400), 21*steps(20))
}
