package weave

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/runtime/geom"
)

func points(coordinates ...float64) []geom.Point {
	var ps []geom.Point
	for i := 0; i < len(coordinates); i += 2 {
		ps = append(ps, geom.Point{X: coordinates[i], Y: coordinates[i+1]})
	}
	return ps
}

func TestTheWayBackRetracesWithoutSideTrips(t *testing.T) {
	for _, c := range []struct {
		name string
		line []geom.Point
		want []int
	}{
		{"nothing drawn", points(3, 3), nil},
		{"one segment", points(0, 0, 1, 0), []int{0}},
		{"a corner", points(0, 0, 1, 0, 1, 1), []int{1, 0}},
		{"a closed figure is already back", points(0, 0, 1, 0, 1, 1, 0, 0), nil},
		{"there and back again", points(0, 0, 1, 0, 2, 0, 1, 0, 0, 0), nil},
		{"a side trip is cut out", points(0, 0, 1, 0, 1, 5, 1, 0, 2, 0), []int{1, 0}},
		{"a loop on the way is cut out", points(0, 0, 1, 0, 2, 1, 1, 2, 1, 0, 3, 0), []int{1, 0}},
		{"an end on an earlier vertex starts there", points(0, 0, 1, 0, 2, 0, 2, 1, 1, 0), []int{0}},
		{"a crossing is not a vertex", points(0, 0, 2, 0, 2, 2, 1, -1), []int{2, 1, 0}},
		{"one point within a millionth", points(0, 0, 1, 0, 1, 5, 1+5e-7, 0, 2, 0), []int{1, 0}},
		{"two points beyond a millionth", points(0, 0, 1, 0, 1, 5, 1+2e-6, 0, 2, 0), []int{3, 2, 1, 0}},
	} {
		t.Run(c.name, func(t *testing.T) { require.Equal(t, c.want, WayBack(c.line)) })
	}
}

func TestTheWayBackUsesDrawnEdgesAndPassesEachVertexOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 60).Draw(t, "points")
		line := []geom.Point{{X: 0, Y: 0}}
		for i := 1; i < n; i++ {
			p := line[i-1]
			line = append(line, geom.Point{
				X: p.X + float64(rapid.IntRange(-1, 1).Draw(t, "dx")),
				Y: p.Y + float64(rapid.IntRange(-1, 1).Draw(t, "dy")),
			})
		}
		drawn := map[[2]geom.Point]bool{}
		for i := 1; i < n; i++ {
			drawn[[2]geom.Point{line[i-1], line[i]}] = true
			drawn[[2]geom.Point{line[i], line[i-1]}] = true
		}
		at, seen := line[n-1], map[geom.Point]bool{line[n-1]: true}
		for _, i := range WayBack(line) {
			require.True(t, drawn[[2]geom.Point{at, line[i]}])
			require.False(t, seen[line[i]])
			at = line[i]
			seen[at] = true
		}
		require.Equal(t, line[0], at)
	})
}

func TestVerticesAreFoundAcrossCellBordersAndForgottenInOrder(t *testing.T) {
	table := newVertexTable(0, nil)
	edge := 7.0 / cellsPerMM
	v, isNew := table.add(geom.Point{X: edge + 4e-7, Y: edge + 4e-7})
	require.True(t, isNew)
	w, isNew := table.add(geom.Point{X: edge - 2e-7, Y: edge - 2e-7})
	require.False(t, isNew)
	require.Equal(t, v, w)
	for i := range 1000 {
		_, isNew := table.add(geom.Point{X: float64(i), Y: 1})
		require.True(t, isNew)
	}
	table.truncate(500)
	require.Equal(t, int32(499), table.find(geom.Point{X: 498, Y: 1}))
	require.Equal(t, int32(-1), table.find(geom.Point{X: 499, Y: 1}))
	_, isNew = table.add(geom.Point{X: 499, Y: 1})
	require.True(t, isNew)
}
