package geom_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/runtime/geom"
)

func TestTheNearestIsTheOneThatLookingAtAllFinds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// Whole numbers: many points are equally far, some are twice there.
		coordinate := rapid.Map(rapid.IntRange(0, rapid.IntRange(1, 40).Draw(t, "size")), func(i int) float64 { return float64(i) })
		var points []geom.Point
		var near geom.Neighbours
		require.Equal(t, -1, near.Nearest(geom.Point{}))
		for range rapid.IntRange(1, 300).Draw(t, "count") {
			p := geom.Point{X: coordinate.Draw(t, "x"), Y: coordinate.Draw(t, "y")}
			points = append(points, p)
			near.Add(p)
			if len(points)%7 > 0 {
				continue
			}
			from := geom.Point{X: coordinate.Draw(t, "x") + 0.5, Y: coordinate.Draw(t, "y")}
			best := 0
			for i := range points {
				if from.Distance(points[i]) < from.Distance(points[best]) {
					best = i
				}
			}
			require.Equal(t, best, near.Nearest(from))
		}
		require.Equal(t, len(points), near.Len())
	})
}

// Points that are added and asked about in turn.
func BenchmarkNearest(b *testing.B) {
	chance := rand.New(rand.NewPCG(1, 2))
	b.ReportAllocs()
	for range b.N {
		var near geom.Neighbours
		for range 20_000 {
			p := geom.Point{X: chance.Float64() * 200, Y: chance.Float64() * 150}
			near.Nearest(p)
			near.Add(p)
		}
	}
}
