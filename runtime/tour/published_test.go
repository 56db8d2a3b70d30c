package tour

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
)

// Instances whose optimum is published: G. Reinelt, TSPLIB, ORSA Journal on
// Computing 3 (1991) 376-384, where each edge is rounded to a whole number. The
// coordinates are from memory; that the published length is met by a tour of
// them, and by none shorter, is what speaks for them.
var published = map[string]struct {
	optimum int
	points  []geom.Point
}{
	"berlin52": {7542, []geom.Point{
		{X: 565, Y: 575}, {X: 25, Y: 185}, {X: 345, Y: 750}, {X: 945, Y: 685}, {X: 845, Y: 655}, {X: 880, Y: 660}, {X: 25, Y: 230},
		{X: 525, Y: 1000}, {X: 580, Y: 1175}, {X: 650, Y: 1130}, {X: 1605, Y: 620}, {X: 1220, Y: 580}, {X: 1465, Y: 200}, {X: 1530, Y: 5},
		{X: 845, Y: 680}, {X: 725, Y: 370}, {X: 145, Y: 665}, {X: 415, Y: 635}, {X: 510, Y: 875}, {X: 560, Y: 365}, {X: 300, Y: 465},
		{X: 520, Y: 585}, {X: 480, Y: 415}, {X: 835, Y: 625}, {X: 975, Y: 580}, {X: 1215, Y: 245}, {X: 1320, Y: 315}, {X: 1250, Y: 400},
		{X: 660, Y: 180}, {X: 410, Y: 250}, {X: 420, Y: 555}, {X: 575, Y: 665}, {X: 1150, Y: 1160}, {X: 700, Y: 580}, {X: 685, Y: 595},
		{X: 685, Y: 610}, {X: 770, Y: 610}, {X: 795, Y: 645}, {X: 720, Y: 635}, {X: 760, Y: 650}, {X: 475, Y: 960}, {X: 95, Y: 260},
		{X: 875, Y: 920}, {X: 700, Y: 500}, {X: 555, Y: 815}, {X: 830, Y: 485}, {X: 1170, Y: 65}, {X: 830, Y: 610}, {X: 605, Y: 625},
		{X: 595, Y: 360}, {X: 1340, Y: 725}, {X: 1740, Y: 245},
	}},
	"eil51": {426, []geom.Point{
		{X: 37, Y: 52}, {X: 49, Y: 49}, {X: 52, Y: 64}, {X: 20, Y: 26}, {X: 40, Y: 30}, {X: 21, Y: 47}, {X: 17, Y: 63}, {X: 31, Y: 62},
		{X: 52, Y: 33}, {X: 51, Y: 21}, {X: 42, Y: 41}, {X: 31, Y: 32}, {X: 5, Y: 25}, {X: 12, Y: 42}, {X: 36, Y: 16}, {X: 52, Y: 41},
		{X: 27, Y: 23}, {X: 17, Y: 33}, {X: 13, Y: 13}, {X: 57, Y: 58}, {X: 62, Y: 42}, {X: 42, Y: 57}, {X: 16, Y: 57}, {X: 8, Y: 52},
		{X: 7, Y: 38}, {X: 27, Y: 68}, {X: 30, Y: 48}, {X: 43, Y: 67}, {X: 58, Y: 48}, {X: 58, Y: 27}, {X: 37, Y: 69}, {X: 38, Y: 46},
		{X: 46, Y: 10}, {X: 61, Y: 33}, {X: 62, Y: 63}, {X: 63, Y: 69}, {X: 32, Y: 22}, {X: 45, Y: 35}, {X: 59, Y: 15}, {X: 5, Y: 6},
		{X: 10, Y: 17}, {X: 21, Y: 10}, {X: 5, Y: 64}, {X: 30, Y: 15}, {X: 39, Y: 10}, {X: 32, Y: 39}, {X: 25, Y: 32}, {X: 25, Y: 55},
		{X: 48, Y: 28}, {X: 56, Y: 37}, {X: 30, Y: 40},
	}},
}

// The tour that is shortest in true lengths need not be the shortest one in
// rounded lengths; of these two instances it is at most one longer.
func TestPublishedToursAreFound(t *testing.T) {
	for name, instance := range published {
		order, err := Order(context.Background(), instance.points, Options{Closed: true, Kicks: 2000})
		require.NoError(t, err)
		sum := 0
		for i, k := range order {
			sum += int(math.Round(instance.points[k].Distance(instance.points[order[(i+1)%len(order)]])))
		}
		require.GreaterOrEqual(t, sum, instance.optimum, name)
		require.LessOrEqual(t, sum, instance.optimum+1, name)
	}
}
