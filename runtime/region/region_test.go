package region_test

import (
	"bufio"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/runtime/geom"
	"wend/runtime/region"
)

func of(rings ...[]geom.Point) region.Region {
	var area region.Region
	for _, ring := range rings {
		area = append(area, geom.RunsOf(ring))
	}
	return area
}

func point(t *testing.T, text string) geom.Point {
	x, y, _ := strings.Cut(text, ",")
	at := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		require.NoError(t, err)
		return v
	}
	return geom.Point{X: at(x), Y: at(y)}
}

// The areas and verdicts are Shapely's: see testdata/even-odd.py.
func TestEvenOddAgreesWithAnotherLibrary(t *testing.T) {
	file, err := os.Open("testdata/even-odd.txt")
	require.NoError(t, err)
	defer file.Close()
	var area region.Region
	counts := map[string]int{}
	lines := bufio.NewScanner(file)
	for lines.Scan() {
		if rings, ok := strings.CutPrefix(lines.Text(), "region "); ok {
			var all [][]geom.Point
			for _, ring := range strings.Split(rings, ";") {
				var points []geom.Point
				for _, p := range strings.Fields(ring) {
					points = append(points, point(t, p))
				}
				all = append(all, append(points, points[0]))
			}
			area = of(all...)
			continue
		}
		at, verdict, _ := strings.Cut(lines.Text(), " ")
		require.Equal(t, verdict != "out", area.Contains(point(t, at)), "%s: %s", at, verdict)
		counts[verdict]++
	}
	require.NoError(t, lines.Err())
	require.Greater(t, counts["in"], 500)
	require.Greater(t, counts["out"], 500)
	require.Greater(t, counts["on"], 100)
}

func TestTheLineItselfIsInsideAndAHoleIsNot(t *testing.T) {
	square := func(size float64) []geom.Point {
		return []geom.Point{{X: -size, Y: -size}, {X: size, Y: -size}, {X: size, Y: size}, {X: -size, Y: size}, {X: -size, Y: -size}}
	}
	ring := of(square(10), square(4))
	for _, c := range []struct {
		x, y float64
		want bool
	}{{0, 0, false}, {7, 0, true}, {10, 3, true}, {4, 1, true}, {-10, 10, true}, {10 + 5e-7, 3, true}, {10 + 5e-6, 3, false}, {4 - 5e-6, 1, false}, {0, -10, true}, {0, 11, false}} {
		require.Equal(t, c.want, ring.Contains(geom.Point{X: c.x, Y: c.y}), "%+v", c)
	}
	require.False(t, of().Contains(geom.Point{}))
	require.True(t, of([]geom.Point{{X: 1}}).Contains(geom.Point{X: 1}))
	require.False(t, of([]geom.Point{{X: 1}}).Contains(geom.Point{X: 2}))
}

// A long line of many corners against the sum of its turning angles around the
// point, which is a whole number of turns, odd inside.
func TestInsideIsAnOddNumberOfTurnsAround(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		count := rapid.IntRange(3, 200).Draw(t, "corners")
		coordinate := rapid.Float64Range(-50, 50)
		ring := make([]geom.Point, count)
		for i := range ring {
			ring[i] = geom.Point{X: coordinate.Draw(t, "x"), Y: coordinate.Draw(t, "y")}
		}
		ring = append(ring, ring[0])
		// Not so near the line that rounding would decide.
		p := rapid.Custom(func(t *rapid.T) geom.Point {
			return geom.Point{X: coordinate.Draw(t, "x"), Y: coordinate.Draw(t, "y")}
		}).Filter(func(p geom.Point) bool {
			for i := 1; i < len(ring); i++ {
				if geom.SegmentDistance(ring[i-1], ring[i], p) < 1e-4 {
					return false
				}
			}
			return true
		}).Draw(t, "p")
		turned := 0.0
		for i := 1; i < len(ring); i++ {
			a, b := ring[i-1].Sub(p), ring[i].Sub(p)
			turned += math.Atan2(a.Cross(b), a.Dot(b))
		}
		turns := int(math.Round(turned / (2 * math.Pi)))
		require.Equal(t, turns%2 != 0, of(ring).Contains(p))
	})
}
