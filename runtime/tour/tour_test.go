package tour

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
)

// uniform is a seeded set of points in a square of 1000 mm.
func uniform(count int, seed uint64) []geom.Point {
	chance := rand.New(rand.NewPCG(seed, uint64(count)))
	points := make([]geom.Point, count)
	for i := range points {
		points[i] = geom.Point{X: 1000 * chance.Float64(), Y: 1000 * chance.Float64()}
	}
	return points
}

// clustered is a seeded set of points normally spread round one centre for
// every hundred of them.
func clustered(count int, seed uint64) []geom.Point {
	chance := rand.New(rand.NewPCG(seed, uint64(count)))
	centres := uniform(max(1, count/100), seed+1)
	points := make([]geom.Point, count)
	for i := range points {
		c := centres[chance.IntN(len(centres))]
		points[i] = geom.Point{X: c.X + 20*chance.NormFloat64(), Y: c.Y + 20*chance.NormFloat64()}
	}
	return points
}

func TestEveryPointIsVisitedOnce(t *testing.T) {
	for _, count := range []int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 12, 40, 1000} {
		for _, closed := range []bool{true, false} {
			points := uniform(count, 1)
			order, err := Order(context.Background(), points, Options{Closed: closed, Kicks: 300})
			require.NoError(t, err)
			require.Len(t, order, count)
			seen := make([]bool, count)
			for _, i := range order {
				require.False(t, seen[i])
				seen[i] = true
			}
		}
	}
}

// The length that the search counts with is the length of the way it has.
func TestGainsAreTrue(t *testing.T) {
	for _, closed := range []bool{true, false} {
		w := newWay(clustered(700, 3), closed, nil)
		w.construct()
		before := w.sum()
		gain := 0.0
		for node, ok := w.queue.take(); ok; node, ok = w.queue.take() {
			gain += w.better(node)
			require.InDelta(t, before-gain, w.sum(), 1e-6)
		}
	}
}

// What the optimum is for sets so small that every order can be tried.
func TestSmallToursAreOptimal(t *testing.T) {
	for seed := range uint64(40) {
		for _, closed := range []bool{true, false} {
			points := uniform(7, seed)
			order, err := Order(context.Background(), points, Options{Closed: closed})
			require.NoError(t, err)
			require.InDelta(t, leastOf(points, closed), wayLength(points, order, closed), 1e-9)
		}
	}
}

// leastOf tries every order.
func leastOf(points []geom.Point, closed bool) float64 {
	least := math.Inf(1)
	order := make([]int, len(points))
	for i := range order {
		order[i] = i
	}
	var permute func(fixed int)
	permute = func(fixed int) {
		if fixed == len(order) {
			least = min(least, wayLength(points, order, closed))
			return
		}
		for i := fixed; i < len(order); i++ {
			order[fixed], order[i] = order[i], order[fixed]
			permute(fixed + 1)
			order[fixed], order[i] = order[i], order[fixed]
		}
	}
	permute(0)
	return least
}

// Points of a circle have one best tour, round it; those of a grid of even
// sides one of the length of as many sides of a cell as there are points
// (elementary geometry).
func TestKnownTours(t *testing.T) {
	var ring, grid []geom.Point
	for i := range 180 {
		angle := float64(i*77%180) * math.Pi / 90
		ring = append(ring, geom.Point{X: 50 * math.Cos(angle), Y: 50 * math.Sin(angle)})
	}
	for i := range 400 {
		grid = append(grid, geom.Point{X: float64(i * 7 % 20), Y: float64(i / 20)})
	}
	order, err := Order(context.Background(), ring, Options{Closed: true})
	require.NoError(t, err)
	require.InDelta(t, 180*2*50*math.Sin(math.Pi/180), wayLength(ring, order, true), 1e-9)
	order, err = Order(context.Background(), grid, Options{Closed: true})
	require.NoError(t, err)
	require.InDelta(t, 400, wayLength(grid, order, true), 1e-9)
}

// All pairs of pieces, looked at one by one.
func TestNoPiecesCross(t *testing.T) {
	for _, points := range [][]geom.Point{uniform(400, 5), clustered(400, 6)} {
		for _, closed := range []bool{true, false} {
			order, err := Order(context.Background(), points, Options{Closed: closed, Kicks: 1})
			require.NoError(t, err)
			for i := 1; i < len(order); i++ {
				for j := 1; j < i-1; j++ {
					a, b, c, d := points[order[i-1]], points[order[i]], points[order[j-1]], points[order[j]]
					require.False(t, opposite(a, b, c, d) && opposite(c, d, a, b))
				}
			}
		}
	}
}

func TestPointsOnOneAnother(t *testing.T) {
	points := append(uniform(30, 1), uniform(30, 1)...)
	points = append(points, points[3], points[3])
	order, err := Order(context.Background(), points, Options{})
	require.NoError(t, err)
	require.Len(t, order, 62)
	alone, err := Order(context.Background(), points[:30], Options{})
	require.NoError(t, err)
	require.InDelta(t, wayLength(points, alone, false), wayLength(points, order, false), 1e-9)
	order, err = Order(context.Background(), make([]geom.Point, 9), Options{Closed: true})
	require.NoError(t, err)
	require.Len(t, order, 9)
}

func TestTheSameSetGivesTheSameTour(t *testing.T) {
	points := clustered(500, 9)
	first, err := Order(context.Background(), points, Options{Seed: 4, Kicks: 500})
	require.NoError(t, err)
	second, err := Order(context.Background(), points, Options{Seed: 4, Kicks: 500})
	require.NoError(t, err)
	require.Equal(t, first, second)
}

func TestNoNumberIsRefused(t *testing.T) {
	_, err := Order(context.Background(), []geom.Point{{X: math.NaN()}}, Options{})
	require.ErrorIs(t, err, ErrNotFinite)
	_, err = Order(context.Background(), []geom.Point{{Y: math.Inf(1)}}, Options{})
	require.ErrorIs(t, err, ErrNotFinite)
}

func TestATourCanBeCutOff(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := Order(ctx, uniform(100, 1), Options{})
	require.ErrorIs(t, err, context.Canceled)
}

func BenchmarkOrder(b *testing.B) {
	for _, count := range []int{200, 1000, 10_000, 100_000} {
		points := uniform(count, 1)
		b.Run(fmt.Sprint(count), func(b *testing.B) {
			b.ReportAllocs()
			var order []int
			for b.Loop() {
				order, _ = Order(context.Background(), points, Options{Closed: true})
			}
			// A best tour through so many random points is about this long (J. Beardwood, J.
			// H. Halton and J. M. Hammersley 1959; the constant after D. S. Johnson and L. A.
			// McGeoch; from memory), and a little longer where there are few.
			b.ReportMetric(100*(wayLength(points, order, true)/(0.7124*1000*math.Sqrt(float64(count)))-1), "%-over-constant")
		})
	}
}

// wayLength is the length in mm of the way through points in an order.
func wayLength(points []geom.Point, order []int, closed bool) float64 {
	sum := 0.0
	for i := 1; i < len(order); i++ {
		sum += points[order[i-1]].Distance(points[order[i]])
	}
	if closed && len(order) > 1 {
		sum += points[order[len(order)-1]].Distance(points[order[0]])
	}
	return sum
}
