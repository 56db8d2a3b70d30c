package region_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/runtime/geom"
	"wend/runtime/region"
)

// tolerance is that of the arcs, in mm.
const tolerance = 2e-4

func offset(t require.TestingT, r region.Region, mm float64, corners region.Corners) region.Region {
	grown, err := region.Offset(r, mm, tolerance, corners, free)
	require.NoError(t, err)
	return grown
}

// Steiner's formula (J. Steiner, 1840; any book on convex geometry): what is
// convex grows by P d + π d² with round corners; with mitred ones a regular
// polygon stays one.
func TestConvexAreasGrowBySteinersFormula(t *testing.T) {
	rectangle := region.Of(rectangle(3, -2, 40, 25))
	for _, mm := range []float64{0.01, 1, 7, 100} {
		require.InEpsilon(t, 1000+130*mm+math.Pi*mm*mm, areaOf(t, offset(t, rectangle, mm, region.Round)), 1e-4)
		require.InEpsilon(t, 1000+130*mm+4*mm*mm, areaOf(t, offset(t, rectangle, mm, region.Mitred)), 1e-6)
	}
	// A rounded rectangle grown again and shrunk again.
	rounded := offset(t, rectangle, 5, region.Round)
	require.InEpsilon(t, 1000+130*8+math.Pi*64, areaOf(t, offset(t, rounded, 3, region.Round)), 1e-4)
	require.InEpsilon(t, 1000, areaOf(t, offset(t, rounded, -5, region.Round)), 1e-4)
	for n := 3; n < 30; n++ {
		polygon := region.Of(circle(pt(1, 2), 10, n))
		angle := math.Pi / float64(n)
		area, perimeter := 50*float64(n)*math.Sin(2*angle), 20*float64(n)*math.Sin(angle)
		require.InEpsilon(t, area+4*perimeter+16*math.Pi, areaOf(t, offset(t, polygon, 4, region.Round)), 1e-4)
		inner := 10*math.Cos(angle) + 4
		require.InEpsilon(t, float64(n)*inner*inner*math.Tan(angle), areaOf(t, offset(t, polygon, 4, region.Mitred)), 1e-6)
		inner = 10*math.Cos(angle) - 2
		require.InEpsilon(t, float64(n)*inner*inner*math.Tan(angle), areaOf(t, offset(t, polygon, -2, region.Round)), 1e-6)
		require.Empty(t, offset(t, polygon, -10, region.Round))
	}
}

func TestHolesShrinkAndFillUp(t *testing.T) {
	ring := region.Of(rectangle(0, 0, 30, 30), rectangle(10, 10, 10, 10))
	require.InEpsilon(t, 900+120*2+4*math.Pi-36, areaOf(t, offset(t, ring, 2, region.Round)), 1e-4)
	require.InEpsilon(t, 34*34-36, areaOf(t, offset(t, ring, 2, region.Mitred)), 1e-6)
	require.InEpsilon(t, 42*42, areaOf(t, offset(t, ring, 6, region.Mitred)), 1e-6, "the hole is full")
	require.InEpsilon(t, 26*26-(100+80+4*math.Pi), areaOf(t, offset(t, ring, -2, region.Round)), 1e-4)
	// Its corners are the last to go, where they are as far from the hole's corner
	// as from their sides: at 10 √2 / (1 + √2).
	require.Len(t, offset(t, ring, -5.85, region.Round), 4)
	require.Empty(t, offset(t, ring, -5.86, region.Round))
}

// A place lies in a grown region just when the region is so near, and in a
// shrunk one when what is not the region is farther away.
func TestOffsetsGoAsFarAsTheySay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := someRegion().Draw(t, "region")
		mm := rapid.Float64Range(-15, 15).Draw(t, "mm")
		grown := offset(t, r, mm, region.Round)
		simple, err := r.Simple(free)
		require.NoError(t, err)
		for range 30 {
			p := pt(rapid.Float64Range(-70, 70).Draw(t, "x"), rapid.Float64Range(-70, 70).Draw(t, "y"))
			distance := math.Inf(1)
			for _, line := range simple {
				for i := 1; i < len(line.Points); i++ {
					distance = min(distance, geom.SegmentDistance(line.Points[i-1], line.Points[i], p))
				}
			}
			if simple.Contains(p) {
				distance = -distance
			}
			if math.Abs(distance-mm) > 1e-3 {
				require.Equal(t, distance < mm, grown.Contains(p), "%v is %v away", p, distance)
			}
		}
	})
}

func besideLine(t require.TestingT, mm float64, line ...geom.Point) [][]geom.Point {
	lines, err := region.OffsetLine(line, mm, tolerance, region.Round, free)
	require.NoError(t, err)
	return lines
}

func TestALineBesideALine(t *testing.T) {
	straight := besideLine(t, 2, pt(0, 0), pt(5, 0), pt(10, 0))
	require.Len(t, straight, 1)
	require.InDelta(t, 10, geom.Length(straight[0]), 1e-6)
	require.InDelta(t, 0, straight[0][0].Distance(pt(0, 2)), 1e-6)
	right := besideLine(t, -2, pt(0, 0), pt(5, 0), pt(10, 0))
	require.InDelta(t, 0, right[0][0].Distance(pt(0, -2)), 1e-6)

	corner := []geom.Point{pt(0, 0), pt(10, 0), pt(10, 10)}
	inner := besideLine(t, 2, corner...)
	require.Len(t, inner, 1)
	require.InDelta(t, 16, geom.Length(inner[0]), 1e-6)
	outer := besideLine(t, -2, corner...)
	require.Len(t, outer, 1)
	require.InDelta(t, 20+math.Pi, geom.Length(outer[0]), 1e-3)
	require.InDelta(t, 0, outer[0][0].Distance(pt(0, -2)), 1e-6)

	// A hairpin: nothing fits inside, and the way around is whole.
	hairpin := []geom.Point{pt(0, 0), pt(10, 0), pt(10, 1), pt(0, 1)}
	for _, part := range besideLine(t, 2, hairpin...) {
		for _, p := range part {
			require.Less(t, p.X, 1e-6, "only before its ends")
		}
	}
	require.InDelta(t, 21+2*math.Pi, geom.Length(besideLine(t, -2, hairpin...)[0]), 1e-3)
}

// What runs beside a line is as far from it as it says, on the side it says.
func TestLinesBesideLinesKeepTheirDistance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var line []geom.Point
		for range rapid.IntRange(2, 12).Draw(t, "points") {
			line = append(line, pt(rapid.Float64Range(-50, 50).Draw(t, "x"), rapid.Float64Range(-50, 50).Draw(t, "y")))
		}
		mm := rapid.SampledFrom([]float64{-12, -3, -0.5, 0.5, 3, 12}).Draw(t, "mm")
		for _, part := range besideLine(t, mm, line...) {
			for i := 1; i < len(part); i++ {
				p := part[i-1].Mix(part[i], 0.5)
				distance := math.Inf(1)
				for j := 1; j < len(line); j++ {
					distance = min(distance, geom.SegmentDistance(line[j-1], line[j], p))
				}
				require.InDelta(t, math.Abs(mm), distance, 1e-3, "at %v", p)
			}
		}
	})
}

// The work on a line that crosses itself everywhere grows with its crossings,
// also where it is offset: of a thousand small areas most close up, and of the
// gaps between them too.
func TestOffsetsOfATangleGrowWithItsCrossings(t *testing.T) {
	tangle := func(corners int) region.Region {
		random := rand.New(rand.NewPCG(1, 2))
		var line []geom.Point
		for range corners {
			line = append(line, pt(random.Float64()*140, random.Float64()*90))
		}
		return region.Of(append(line, line[0]))
	}
	work := func(corners int, mm float64) int {
		sum := 0
		_, err := region.Offset(tangle(corners), mm, 0.02, region.Round, func(steps, made int) error {
			sum += steps + made
			return nil
		})
		require.NoError(t, err)
		return sum
	}
	for _, mm := range []float64{-0.25, 2} {
		// Twice the corners make four times the crossings.
		require.Less(t, work(400, mm), 5*work(200, mm), "%v mm", mm)
	}
}
