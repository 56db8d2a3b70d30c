package geom_test

import (
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/runtime/geom"
)

func TestSegmentsMeetInOneOfFourWays(t *testing.T) {
	for _, c := range []struct {
		segments []geom.Point
		want     geom.Meeting
	}{
		{line(0, 0, 10, 10, 0, 10, 10, 0), geom.Crossing},
		{line(0, 0, 10, 0, 0, 1, 10, 1), geom.Apart},
		{line(0, 0, 10, 0, 12, -1, 12, 1), geom.Apart},
		{line(0, 0, 10, 0, 10, 0, 20, 5), geom.Touching},
		{line(0, 0, 10, 0, 5, 0, 5, 5), geom.Touching},
		{line(0, 0, 10, 0, 5, 1e-300, 5, 5), geom.Apart},
		{line(0, 0, 10, 0, 5, -1e-300, 5, 5), geom.Crossing},
		{line(0, 0, 10, 0, 5, 0, 15, 0), geom.Overlap},
		{line(0, 0, 10, 10, 8, 8, 2, 2), geom.Overlap},
		{line(0, 0, 10, 0, 10, 0, 20, 0), geom.Touching},
		{line(0, 0, 10, 0, 11, 0, 20, 0), geom.Apart},
		{line(3, 3, 3, 3, 0, 0, 9, 9), geom.Touching},
		{line(3, 4, 3, 4, 0, 0, 9, 9), geom.Apart},
		{line(3, 4, 3, 4, 3, 4, 3, 4), geom.Touching},
		{line(0.1, 0.1, 0.3, 0.3, 0.2, 0.2, 5, 0), geom.Touching},
	} {
		s := c.segments
		require.Equal(t, c.want, geom.Meet(s[0], s[1], s[2], s[3]), "%v", s)
		require.Equal(t, c.want, geom.Meet(s[3], s[2], s[1], s[0]), "%v, swapped and turned", s)
		require.Equal(t, c.want, geom.Meet(s[1], s[0], s[2], s[3]), "%v, one turned", s)
	}
}

// Kettner, Mehlhorn, Pion, Schirra & Yap, Classroom examples of robustness
// problems in geometric computations (2008): points near (0.5, 0.5) against the
// line from (12, 12) to (24, 24), where the plain determinant is often wrong.
func TestOrientationIsExactNearTheLine(t *testing.T) {
	a, b := geom.Point{X: 12, Y: 12}, geom.Point{X: 24, Y: 24}
	plainWrong := 0
	for i := range 64 {
		for k := range 64 {
			p := geom.Point{X: 0.5 + float64(i)*0x1p-53, Y: 0.5 + float64(k)*0x1p-53}
			want := 0
			if p.Y > p.X {
				want = 1
			} else if p.Y < p.X {
				want = -1
			}
			require.Equal(t, want, geom.Orientation(a, b, p))
			if plain := b.Sub(a).Cross(p.Sub(a)); plain > 0 != (want > 0) || plain < 0 != (want < 0) {
				plainWrong++
			}
		}
	}
	require.Greater(t, plainWrong, 500, "the example is as hard as it is said to be")
}

func TestOrientationAgreesWithExactArithmetic(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		coordinate := rapid.OneOf(rapid.Float64Range(-300, 300), rapid.SampledFrom([]float64{0, 0.1, 0.2, 0.3, 1, 3, 1e-200, -1e-200, 5e-324}))
		var p [3]geom.Point
		for i := range p {
			p[i] = geom.Point{X: coordinate.Draw(t, "x"), Y: coordinate.Draw(t, "y")}
		}
		if rapid.Bool().Draw(t, "near the line") {
			p[2] = p[0].Mix(p[1], rapid.Float64Range(0, 1).Draw(t, "share"))
		}
		rat := func(x float64) *big.Rat { return new(big.Rat).SetFloat64(x) }
		sub := func(x, y float64) *big.Rat { return new(big.Rat).Sub(rat(x), rat(y)) }
		left := new(big.Rat).Mul(sub(p[1].X, p[0].X), sub(p[2].Y, p[0].Y))
		right := new(big.Rat).Mul(sub(p[1].Y, p[0].Y), sub(p[2].X, p[0].X))
		want := left.Cmp(right)
		require.Equal(t, want, geom.Orientation(p[0], p[1], p[2]))
		require.Equal(t, want, geom.Orientation(p[1], p[2], p[0]))
		require.Equal(t, -want, geom.Orientation(p[1], p[0], p[2]))
	})
}

func TestIntersectionsLieOnBothLines(t *testing.T) {
	s, u, ok := geom.Intersect(geom.Point{}, geom.Point{X: 10}, geom.Point{X: 4, Y: -1}, geom.Point{X: 4, Y: 3})
	require.True(t, ok)
	require.Equal(t, 0.4, s)
	require.Equal(t, 0.25, u)
	_, _, ok = geom.Intersect(geom.Point{}, geom.Point{X: 10}, geom.Point{Y: 1}, geom.Point{X: 7, Y: 1})
	require.False(t, ok)
	rapid.Check(t, func(t *rapid.T) {
		a, b, c, d := drawPoint(t, "a"), drawPoint(t, "b"), drawPoint(t, "c"), drawPoint(t, "d")
		if geom.Meet(a, b, c, d) != geom.Crossing {
			return
		}
		s, u, ok := geom.Intersect(a, b, c, d)
		if !ok {
			return
		}
		sine := math.Abs(b.Sub(a).Cross(d.Sub(c))) / (a.Distance(b) * c.Distance(d))
		require.InDelta(t, 0, a.Mix(b, s).Distance(c.Mix(d, u)), 1e-10/max(sine, 1e-9))
	})
}

func TestCommonPiecesOfNearlyCoincidentSegments(t *testing.T) {
	for _, c := range []struct {
		segments []geom.Point
		from, to float64
		ok       bool
	}{
		{line(0, 0, 10, 0, 5, 0, 15, 0), 0.5, 1, true},
		{line(0, 0, 10, 0, 15, 0.005, 5, 0), 0.5, 1, true},
		{line(0, 0, 10, 0, -5, 0, 15, 0), 0, 1, true},
		{line(0, 0, 10, 0, 2, 0.005, 4, -0.005), 0.2, 0.4, true},
		{line(0, 0, 10, 0, 2, 0.02, 4, 0), 0, 0, false},
		{line(0, 0, 10, 0, 10, 0, 20, 0), 0, 0, false},
		{line(0, 0, 10, 0, 5, -5, 5, 5), 0, 0, false},
		{line(0, 0, 0, 0, 0, 0, 5, 0), 0, 0, false},
	} {
		s := c.segments
		from, to, ok := geom.CommonPiece(s[0], s[1], s[2], s[3], 0.01)
		require.Equal(t, c.ok, ok, "%v", s)
		require.InDelta(t, c.from, from, 1e-12, "%v", s)
		require.InDelta(t, c.to, to, 1e-12, "%v", s)
	}
}

func TestDistancesFromASegment(t *testing.T) {
	a, b := geom.Point{}, geom.Point{X: 10}
	for _, c := range []struct{ x, y, away, share float64 }{{5, 3, 3, 0.5}, {-3, 4, 5, 0}, {13, -4, 5, 1}, {10, 0, 0, 1}} {
		p := geom.Point{X: c.x, Y: c.y}
		require.Equal(t, c.away, geom.SegmentDistance(a, b, p))
		require.Equal(t, c.share, geom.NearestOnSegment(a, b, p))
	}
	require.Equal(t, 5.0, geom.SegmentDistance(a, a, geom.Point{X: 3, Y: 4}))
	require.Equal(t, 0.0, geom.NearestOnSegment(a, a, geom.Point{X: 3, Y: 4}))
}

func BenchmarkOrientationSimple(b *testing.B) {
	b.ReportAllocs()
	sum := 0
	for b.Loop() {
		sum += geom.Orientation(geom.Point{X: 1, Y: 2}, geom.Point{X: 30, Y: 4}, geom.Point{X: 5, Y: 60})
	}
	_ = sum
}

func BenchmarkOrientationOnTheLine(b *testing.B) {
	b.ReportAllocs()
	sum := 0
	for b.Loop() {
		sum += geom.Orientation(geom.Point{X: 10.1, Y: 10.1}, geom.Point{X: 14.3, Y: 14.3}, geom.Point{X: 12.7, Y: 12.7})
	}
	_ = sum
}

func BenchmarkOrientationNearCollinear(b *testing.B) {
	b.ReportAllocs()
	sum := 0
	for b.Loop() {
		sum += geom.Orientation(geom.Point{X: 0.1, Y: 0.1}, geom.Point{X: 0.3, Y: 0.3}, geom.Point{X: 0.7, Y: 0.7})
	}
	_ = sum
}
