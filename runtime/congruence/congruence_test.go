package congruence_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "wend/internal/repeatable"
	"wend/runtime/congruence"
	"wend/runtime/geom"
)

func pt(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }

// walk goes on and turns in turns: lengths in mm, angles in degrees.
func walk(start geom.Point, heading float64, steps ...float64) []geom.Point {
	line := []geom.Point{start}
	for i, s := range steps {
		if i%2 == 1 {
			heading += s
			continue
		}
		sine, cosine := math.Sincos(heading * math.Pi / 180)
		line = append(line, line[len(line)-1].Add(pt(s*cosine, s*sine)))
	}
	return line
}

func circle(center geom.Point, r, from float64) []geom.Point {
	var line []geom.Point
	for i := range 361 {
		sine, cosine := math.Sincos((from + float64(i)) * math.Pi / 180)
		line = append(line, center.Add(pt(r*cosine, r*sine)))
	}
	return line
}

var (
	square = walk(pt(20, 20), 0, 40, 90, 40, 90, 40, 90, 40)
	hook   = walk(pt(20, 20), 0, 60, 90, 20)
)

func TestADrawingIsTheSameUpToWhatIsAllowed(t *testing.T) {
	here, moved := congruence.Motions{}, congruence.Motions{Moved: true}
	turned, mirrored := congruence.Motions{Moved: true, Turned: true}, congruence.Motions{Moved: true, Turned: true, Mirrored: true}
	for _, c := range []struct {
		name          string
		wanted, found []geom.Point
		allowed       congruence.Motions
		kind          congruence.Kind
	}{
		{"itself", square, square, here, congruence.None},
		{"from its end", hook, geom.Reversed(hook), here, congruence.None},
		{"from another corner, the other way", square, walk(pt(60, 60), 180, 40, 90, 40, 90, 40, 90, 40), here, congruence.None},
		{"from the middle of a side", square, walk(pt(30, 20), 0, 30, 90, 40, 90, 40, 90, 40, 90, 10), here, congruence.None},
		{"in many pieces", hook, walk(pt(20, 20), 0, 10, 0, 20, 0, 30, 90, 5, 0, 15), here, congruence.None},
		{"within the tolerance", hook, walk(pt(20.2, 20.1), 0, 60, 90, 20), here, congruence.None},
		{"elsewhere, allowed", square, walk(pt(3, 5), 0, 40, 90, 40, 90, 40, 90, 40), moved, congruence.None},
		{"elsewhere", square, walk(pt(23, 20), 0, 40, 90, 40, 90, 40, 90, 40), here, congruence.Moved},
		{"turned, allowed", hook, walk(pt(90, 80), 217, 60, 90, 20), turned, congruence.None},
		{"turned", hook, walk(pt(90, 80), 217, 60, 90, 20), moved, congruence.Turned},
		{"mirrored, allowed", hook, walk(pt(90, 80), 217, 60, -90, 20), mirrored, congruence.None},
		{"mirrored", hook, walk(pt(20, 20), 0, 60, -90, 20), moved, congruence.Turn},
		{"a circle from another place", circle(pt(50, 50), 30, 0), circle(pt(50, 50), 30, 77.5), here, congruence.None},
		{"one side gone over twice", square, walk(pt(20, 20), 0, 40, 90, 40, 90, 40, 90, 40, 90, 40), here, congruence.Again},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.Equal(t, c.kind, congruence.Compare(c.wanted, c.found, c.allowed, 0.3).Kind)
		})
	}
}

// The measures are those that a ruler and a protractor find.
func TestTheFirstDifferenceIsMeasured(t *testing.T) {
	moved := congruence.Motions{Moved: true}
	for _, c := range []struct {
		name          string
		wanted, found []geom.Point
		want          congruence.Difference
	}{
		{"a side too short", square, walk(pt(20, 20), 0, 40, 90, 30, 90, 40, 90, 30), congruence.Difference{Kind: congruence.Length, Piece: 2, Wanted: 40, Found: 30, Segment: 1, At: pt(60, 50)}},
		{"a side too long", hook, walk(pt(20, 20), 0, 60, 90, 21), congruence.Difference{Kind: congruence.Length, Piece: 2, Wanted: 20, Found: 21, Segment: 1, At: pt(80, 40)}},
		{"a corner too flat", square, walk(pt(20, 20), 0, 40, 80, 40, 80, 40, 80, 40), congruence.Difference{Kind: congruence.Turn, Piece: 1, Wanted: 90, Found: 80, Segment: 1, At: pt(60, 20)}},
		{"the inside angle of a triangle", walk(pt(20, 20), 0, 50, 120, 50, 120, 50), walk(pt(20, 20), 0, 50, 60, 50, 60, 50), congruence.Difference{Kind: congruence.Turn, Piece: 1, Wanted: 120, Found: 60, Segment: 1, At: pt(70, 20)}},
		{"the last side left out", square, walk(pt(20, 20), 0, 40, 90, 40, 90, 40), congruence.Difference{Kind: congruence.Missing, Piece: 3, Wanted: 40, Segment: 2, At: pt(20, 60)}},
		{"a piece too many", hook, walk(pt(20, 20), 0, 60, 90, 20, 90, 7), congruence.Difference{Kind: congruence.Extra, Piece: 3, Found: 7, Segment: 2, At: pt(80, 40)}},
		{"another way to set off", hook, walk(pt(20, 20), 30, 60, 90, 25), congruence.Difference{Kind: congruence.Heading, Piece: 1, Wanted: 0, Found: 30, At: pt(20, 20)}},
		{"a circle too large", circle(pt(50, 50), 20, 0), circle(pt(50, 50), 25, 0), congruence.Difference{Kind: congruence.Curve, Piece: 1, Wanted: 2 * math.Pi * 20, Found: 2 * math.Pi * 25, At: pt(75, 50)}},
		{"a corner left out", hook, walk(pt(20, 20), 0, 60, 0, 20), congruence.Difference{Kind: congruence.Turn, Piece: 1, Wanted: 90, Segment: 1, At: pt(80, 20)}},
		{"a corner that hardly turns", square, walk(pt(20, 20), 0, 40, 9, 40, 9, 40, 9, 40), congruence.Difference{Kind: congruence.Turn, Piece: 1, Wanted: 90, Found: 9, Segment: 1, At: pt(60, 20)}},
		{"straight on after the end", hook[:2], walk(pt(20, 20), 0, 60, 0, 20), congruence.Difference{Kind: congruence.Extra, Piece: 2, Found: 20, Segment: 1, At: pt(80, 20)}},
		{"nothing drawn", hook, []geom.Point{pt(20, 20)}, congruence.Difference{Kind: congruence.Missing, Piece: 1, Wanted: 60, At: pt(20, 20)}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := congruence.Compare(c.wanted, c.found, moved, 0.3)
			require.Equal(t, c.want.Kind, got.Kind, "%+v", got)
			require.Equal(t, c.want.Piece, got.Piece)
			require.Equal(t, c.want.Segment, got.Segment)
			require.InDelta(t, c.want.Wanted, got.Wanted, 0.02)
			require.InDelta(t, c.want.Found, got.Found, 0.02)
			require.InDelta(t, 0, c.want.At.Distance(got.At), 1e-9)
		})
	}
	d := congruence.Compare(hook, walk(pt(30, 15), 0, 60, 90, 20), congruence.Motions{}, 0.3)
	require.Equal(t, congruence.Moved, d.Kind)
	require.InDelta(t, 0, d.Offset.Distance(pt(10, -5)), 1e-9)
}

// A twig with two side trips, in either order, is one picture; one trip short or
// left out is said with its place.
func TestTheOrderOfSideTripsDoesNotCount(t *testing.T) {
	left, right := pt(40, 60), pt(60, 60)
	a, b := pt(50, 20), pt(50, 40)
	twig := []geom.Point{a, b, left, b, right, b}
	require.Equal(t, congruence.None, congruence.Compare(twig, []geom.Point{a, b, right, b, left}, congruence.Motions{}, 0.3).Kind)
	d := congruence.Compare(twig, []geom.Point{a, b, right, b}, congruence.Motions{}, 0.3)
	require.Equal(t, congruence.Undrawn, d.Kind)
	require.Less(t, d.At.Distance(b.Mix(left, 0.5)), 12.0)
	d = congruence.Compare(twig, []geom.Point{a, b, left, b, pt(75, 60)}, congruence.Motions{}, 0.3)
	require.Equal(t, congruence.Course, d.Kind)
	require.Equal(t, 3, d.Segment)
	lopsided := []geom.Point{a, b, left, b, pt(70, 80), b}
	mirrored := geom.Mirroring(90).Then(geom.Translation(pt(100, 0))).Append(nil, lopsided)
	require.Equal(t, congruence.Mirrored, congruence.Compare(lopsided, mirrored, congruence.Motions{Moved: true}, 0.3).Kind)
}

// Any walk stays the same drawing under any motion that is allowed, cut into more
// pieces or gone backward; and is another one as soon as one piece is three millimetres
// longer.
func TestAnyWalkIsItselfAfterAnyMotion(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var steps []float64
		for range rapid.IntRange(2, 6).Draw(t, "pieces") {
			steps = append(steps, float64(rapid.IntRange(5, 30).Draw(t, "length")), float64(rapid.SampledFrom([]int{-120, -90, -60, -45, 30, 45, 60, 72, 90, 120, 144}).Draw(t, "turn")))
		}
		line := walk(pt(50, 50), 0, steps...)
		motion := geom.Rotation(float64(rapid.IntRange(0, 359).Draw(t, "turned")))
		mirrored := rapid.Bool().Draw(t, "mirrored")
		if mirrored {
			motion = geom.Mirroring(30).Then(motion)
		}
		motion = motion.Then(geom.Translation(pt(rapid.Float64Range(-20, 20).Draw(t, "x"), 7)))
		found := motion.Append(nil, line)
		if rapid.Bool().Draw(t, "backward") {
			found = geom.Reversed(found)
		}
		all := congruence.Motions{Moved: true, Turned: true, Mirrored: true}
		require.Equal(t, congruence.None, congruence.Compare(line, found, all, 0.3).Kind)

		steps[0] += 3
		d := congruence.Compare(line, motion.Append(nil, walk(pt(50, 50), 0, steps...)), all, 0.3)
		require.NotEqual(t, congruence.None, d.Kind)
	})
}
