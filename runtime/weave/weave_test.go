package weave

import (
	"context"
	"errors"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
	"wend/runtime/plan"
)

func weave(t require.TestingT, strokes [][]geom.Point, options Options) *Result {
	r, err := Weave(context.Background(), strokes, options)
	require.NoError(t, err)
	requireSound(t, strokes, options, r)
	return r
}

// requireSound holds a result against what is promised of every result: it
// covers the strokes and nothing else but links, its ends are where they should
// be, and the stated costs are those of the line and not under their bounds.
func requireSound(t require.TestingT, strokes [][]geom.Point, options Options, r *Result) {
	if len(r.Points) == 0 {
		require.Zero(t, r.Parts)
		return
	}
	require.Len(t, r.Roles, len(r.Points)-1)
	var sums [3]float64
	for i, role := range r.Roles {
		d := r.Points[i].Distance(r.Points[i+1])
		require.Positive(t, d)
		sums[role] += d
	}
	near := 2 * geom.SamePoint * float64(len(r.Points)) // every vertex may be off by one tolerance
	require.InDelta(t, r.DrawnMM, sums[plan.Drawn], near)
	if options.ToleranceMM == 0 {
		drawing, err := arrange(context.Background(), strokes, Options{})
		require.NoError(t, err)
		require.InDelta(t, drawing.totalMM, r.DrawnMM, near)
	}
	require.InDelta(t, r.LinkMM, sums[plan.Link], near)
	require.InDelta(t, r.RetraceMM, sums[plan.Retrace], near)
	require.LessOrEqual(t, r.LinkMM, r.SpanningMM+near)
	require.GreaterOrEqual(t, r.LinkMM, r.SpanningMM*math.Sqrt(3)/2-near)
	require.GreaterOrEqual(t, r.RetraceMM, r.RetraceBoundMM-1e-9)

	first, last := r.Points[0], r.Points[len(r.Points)-1]
	if options.Start != nil {
		require.LessOrEqual(t, first.Distance(*options.Start), geom.SamePoint)
	}
	if options.End != nil {
		require.LessOrEqual(t, last.Distance(*options.End), geom.SamePoint)
	}
	if options.Closed {
		require.Equal(t, first, last)
	}
	if len(strokes) > 200 {
		return // the comparison below takes quadratic time
	}
	slack := options.ToleranceMM + 4*geom.SamePoint
	var line, given [][2]geom.Point
	for i := range r.Roles {
		if r.Roles[i] == plan.Drawn {
			line = append(line, [2]geom.Point{r.Points[i], r.Points[i+1]})
		}
	}
	for _, s := range strokes {
		for i := range s {
			given = append(given, [2]geom.Point{s[max(0, i-1)], s[i]})
		}
	}
	all := append(slices.Clone(line), [2]geom.Point{first, first})
	for i := range r.Roles {
		all = append(all, [2]geom.Point{r.Points[i], r.Points[i+1]})
	}
	requireCovered(t, given, all, slack)
	requireCovered(t, line, given, slack)
	for i, s := range line { // no place is drawn for the first time twice
		for _, other := range line[:i] {
			require.False(t, overlap(s, other), "%v and %v overlap", s, other)
		}
	}
}

// requireCovered demands that every one of the segments lies on the others.
func requireCovered(t require.TestingT, segments, others [][2]geom.Point, slack float64) {
	for _, s := range segments {
		for _, k := range []float64{0, 0.1, 0.37, 0.5, 0.81, 1} {
			p := s[0].Add(s[1].Sub(s[0]).Times(k))
			require.True(t, slices.ContainsFunc(others, func(o [2]geom.Point) bool {
				return nearestOn(p, o[0], o[1]).Distance(p) <= slack
			}), "%v on %v is not covered", p, s)
		}
	}
}

// overlap reports whether two segments share more line than those do that meet at
// a small angle.
func overlap(a, b [2]geom.Point) bool {
	// Each of the ends may be off by one tolerance; what is farther apart is not one
	// line.
	const slack = 2 * geom.SamePoint
	var on []geom.Point
	for _, p := range a {
		if nearestOn(p, b[0], b[1]).Distance(p) <= slack {
			on = append(on, p)
		}
	}
	for _, p := range b {
		if nearestOn(p, a[0], a[1]).Distance(p) <= slack {
			on = append(on, p)
		}
	}
	for _, p := range on {
		if p.Distance(on[0]) > 0.01 {
			return true
		}
	}
	return false
}

func unitGrid(columns, rows int) [][]geom.Point {
	var strokes [][]geom.Point
	for i := 0; i <= rows; i++ {
		strokes = append(strokes, points(0, float64(i), float64(columns), float64(i)))
	}
	for i := 0; i <= columns; i++ {
		strokes = append(strokes, points(float64(i), 0, float64(i), float64(rows)))
	}
	return strokes
}

func star(arms int) [][]geom.Point {
	var strokes [][]geom.Point
	for i := range arms {
		a := 2 * math.Pi * float64(i) / float64(arms)
		strokes = append(strokes, points(0, 0, math.Cos(a), math.Sin(a)))
	}
	return strokes
}

// Chinese postman cases with known optima: the optimum of closed lines is the
// length plus the least pairing of odd nodes (Edmonds and Johnson, Math. Prog. 5,
// 1973); for open ones two odd nodes stay single. The values follow by subset
// dynamic programming; those of grids also from 4 floor((n-1)/2) (+4 if n is
// even) more than 2n(n+1), open 1 (n odd) or 2 (n even) less.
func TestOneLineOverAConnectedDrawingIsTheShortest(t *testing.T) {
	h := math.Sqrt2 / 2
	square := points(0, 0, 1, 0, 1, 1, 0, 1, 0, 0)
	for _, c := range []struct {
		name                string
		strokes             [][]geom.Point
		total, closed, open float64
	}{
		{"square with both diagonals", [][]geom.Point{square, points(0, 0, 1, 1), points(1, 0, 0, 1)},
			4 + 4*h, 8.828427124746, 7.828427124746},
		{"house with a roof", [][]geom.Point{square, points(0, 0, 1, 1), points(1, 0, 0, 1), points(0, 1, 0.5, 1.5, 1, 1)},
			8.242640687119, 9.242640687119, 8.242640687119},
		{"star of 5", star(5), 5, 10, 8},
		{"star of 4", star(4), 4, 8, 6},
		{"capital E", [][]geom.Point{points(0, 0, 0, 2), points(0, 0, 1, 0), points(0, 1, 1, 1), points(0, 2, 1, 2)}, 5, 10, 6},
		{"2 by 2 cells", unitGrid(2, 2), 12, 16, 14},
		{"3 by 3 cells", unitGrid(3, 3), 24, 28, 27},
		{"4 by 4 cells", unitGrid(4, 4), 40, 48, 46},
		{"5 by 5 cells", unitGrid(5, 5), 60, 68, 67},
		{"2 by 3 cells", unitGrid(2, 3), 17, 22, 19},
		{"8 by 8 cells", unitGrid(8, 8), 144, 160, 158},
	} {
		t.Run(c.name, func(t *testing.T) {
			open := weave(t, c.strokes, Options{})
			closed := weave(t, c.strokes, Options{Closed: true})
			require.Equal(t, 1, open.Parts)
			require.InDelta(t, c.total, open.DrawnMM, 1e-5)
			require.InDelta(t, c.open, totalMM(open), 1e-5)
			require.InDelta(t, c.closed, totalMM(closed), 1e-5)
			require.InDelta(t, open.RetraceMM, open.RetraceBoundMM, 1e-9)
			require.InDelta(t, closed.RetraceMM, closed.RetraceBoundMM, 1e-9)
		})
	}
}

// One line over n strokes of length l at a pitch d needs at least n-1 joins of
// d: n l + (n-1) d, a serpentine.
func TestParallelStrokesBecomeASerpentine(t *testing.T) {
	for _, n := range []int{2, 3, 10, 101} {
		var strokes [][]geom.Point
		for i := range n {
			strokes = append(strokes, points(0, float64(i)*0.7, 30, float64(i)*0.7))
		}
		r := weave(t, strokes, Options{})
		require.InDelta(t, float64(n)*30+float64(n-1)*0.7, totalMM(r), 1e-6)
		require.Zero(t, r.RetraceMM)
	}
}

// Steiner trees: E. N. Gilbert, H. O. Pollak, "Steiner minimal trees", SIAM J.
// Appl. Math. 16, 1968.
func TestLinksBranchInTheOpenWhereThatSavesLine(t *testing.T) {
	triangle := weave(t, [][]geom.Point{points(0, 0), points(1, 0), points(0.5, math.Sqrt(3)/2)}, Options{})
	require.InDelta(t, 2, triangle.SpanningMM, 1e-9)
	require.InDelta(t, math.Sqrt(3), triangle.LinkMM, 1e-5)

	corners := weave(t, [][]geom.Point{points(0, 0), points(1, 0), points(1, 1), points(0, 1)}, Options{})
	require.InDelta(t, 3, corners.SpanningMM, 1e-9)
	require.InDelta(t, 1+math.Sqrt(3), corners.LinkMM, 1e-5)

	flat := weave(t, [][]geom.Point{points(0, 0), points(10, 0), points(19, 5)}, Options{})
	require.InDelta(t, flat.SpanningMM, flat.LinkMM, 1e-9)
}

// totalMM is the length of the line.
func totalMM(r *Result) float64 { return r.DrawnMM + r.LinkMM + r.RetraceMM }

// Few strokes may cross in many places, or have many others near their ends: the
// work ends by what Charge says, long before there is a line.
func TestCrossingsAreCharged(t *testing.T) {
	var strokes [][]geom.Point
	for i := range 1000 {
		a := geom.Direction(float64(i) * 0.36).Times(50)
		strokes = append(strokes, []geom.Point{a, geom.Direction(float64(i)*0.36 + 150).Times(50)})
	}
	enough := errors.New("enough")
	operations, bytes := 0, 0
	_, err := Weave(context.Background(), strokes, Options{ToleranceMM: 0.25, Charge: func(o, b int) error {
		operations, bytes = operations+o, bytes+b
		if bytes >= 40_000*crossingBytes {
			return enough
		}
		return nil
	}})
	require.ErrorIs(t, err, enough)
	require.Less(t, bytes, 60_000*crossingBytes)
	require.GreaterOrEqual(t, operations, 40_000*crossingWork)
}
