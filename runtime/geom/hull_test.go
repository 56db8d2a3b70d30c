package geom_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/runtime/geom"
)

func TestTheHullOfASquareIsItsCorners(t *testing.T) {
	square := []geom.Point{{X: 1, Y: 1}, {}, {X: 2}, {X: 2, Y: 2}, {Y: 2}, {X: 1}, {X: 2}}
	require.Equal(t, []geom.Point{{}, {X: 2}, {X: 2, Y: 2}, {Y: 2}, {}}, geom.Hull(square))
	require.Equal(t, []geom.Point{{}, {X: 2}, {}}, geom.Hull([]geom.Point{{X: 1}, {X: 2}, {}}))
	require.Equal(t, []geom.Point{{X: 3}}, geom.Hull([]geom.Point{{X: 3}, {X: 3}}))
	require.Empty(t, geom.Hull(nil))
}

// By definition: convex, its corners among the points, and no point outside.
func TestEveryPointIsInsideTheHull(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		coordinate := rapid.Map(rapid.IntRange(-6, 6), func(n int) float64 { return float64(n) })
		points := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) geom.Point {
			return geom.Point{X: coordinate.Draw(t, "x"), Y: coordinate.Draw(t, "y")}
		}), 2, 20).Draw(t, "points")
		hull := geom.Hull(points)
		for i := 1; i < len(hull); i++ {
			side := hull[i].Sub(hull[i-1])
			require.Contains(t, points, hull[i])
			for _, p := range points {
				require.GreaterOrEqual(t, side.Cross(p.Sub(hull[i-1])), 0.0)
			}
		}
		require.Equal(t, hull[0], hull[len(hull)-1])
	})
}
