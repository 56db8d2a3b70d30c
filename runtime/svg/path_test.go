package svg

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "wend/internal/repeatable"
	"wend/runtime/geom"
)

// The examples of SVG 2, section 9.3.9, "The grammar for path data", and of
// sections 9.3.1 to 9.3.4 on what may be left out.
func TestPathDataIsReadByTheGrammar(t *testing.T) {
	for _, c := range []struct {
		data string
		want [][]geom.Point
	}{
		// "M 100 100 L 200 200" and what may be left out of it (section 9.3.1),
		// a tenth as large.
		{"M 10 10 L 20 20", [][]geom.Point{down(pt(10, 10), pt(20, 20))}},
		{"M10 10L20 20", [][]geom.Point{down(pt(10, 10), pt(20, 20))}},
		// "M 100 200 L 200 100 L -100 -200" is "M 100 200 L 200 100 -100 -200".
		{"M 10 20 L 20 10 L 1 2", [][]geom.Point{down(pt(10, 20), pt(20, 10), pt(1, 2))}},
		{"M 10 20 L 20 10 1 2", [][]geom.Point{down(pt(10, 20), pt(20, 10), pt(1, 2))}},
		{"M.5.5 1e1.5e1", [][]geom.Point{down(pt(0.5, 0.5), pt(10, 5))}},
		{"m 1,2 3,4 , 5 6", [][]geom.Point{down(pt(1, 2), pt(4, 6), pt(9, 12))}},
		{"M1 2h3v4H5V6", [][]geom.Point{down(pt(1, 2), pt(4, 2), pt(4, 6), pt(5, 6))}},
		{"M1 1h2v2zl4 4", [][]geom.Point{down(pt(1, 1), pt(3, 1), pt(3, 3), pt(1, 1)), down(pt(1, 1), pt(5, 5))}},
		{"M1 1 2 2m3 3 1 1", [][]geom.Point{down(pt(1, 1), pt(2, 2)), down(pt(5, 5), pt(6, 6))}},
		{"M1 1m2 2zM3 3z", nil},
		{"M\n1\t1\r\nL 2 2", [][]geom.Point{down(pt(1, 1), pt(2, 2))}},
		{"M1.e1 1.L20 +2", [][]geom.Point{down(pt(10, 1), pt(20, 2))}},
	} {
		d, err := drawn(stroked(c.data))
		if c.want == nil {
			require.Error(t, err, c.data)
			continue
		}
		require.NoError(t, err, c.data)
		require.Empty(t, d.Notes, c.data)
		requirePoints(t, c.want, d.Strokes, c.data)
	}
	// The grammar takes as much as it can: "M 100-200" is two numbers, and
	// "M 0.6.5" is (0.6, 0.5) (section 9.3.9).
	room := 10
	p := &pen{tolerance: 1, room: &room}
	require.Nil(t, path(p, "M 100-200 0.6.5"))
	require.Equal(t, []geom.Point{pt(100, -200), pt(0.6, 0.5)}, p.outline()[0].points)
}

// A path is drawn up to what cannot be read (SVG 2, section 9.5.4), and the
// place of that is told.
func TestABrokenPathIsDrawnUpToItsBreak(t *testing.T) {
	for data, at := range map[string]int{
		"M10 10h5x7":             8,
		"M10 10h5 v":             10,
		"M10 10h5L20":            11,
		"M10 10h5,":              9,
		"M10 10h5 1,,2":          11,
		"M10 10h5A5 5 0 2 0 1 1": 15,
		"M10 10h5 nan":           9,
		"M10 10h5 L1e 2":         11,
		"M10 10h5L--1":           9,
	} {
		text := stroked(data)
		d, err := drawn(text)
		require.NoError(t, err, data)
		require.Equal(t, down(pt(10, 10), pt(15, 10)), d.Strokes[0][:2], data)
		require.Len(t, d.Notes, 1, data)
		require.Equal(t, strings.Index(text, data)+at, d.Notes[0].Span.Start, data)
	}
	require.Equal(t, "drawing-empty", string(faultOf(t, stroked("10 10h5")).Code), "a path begins with M")
}

// Curves against their closed forms: every point of the flattened line lies
// within the tolerance of the curve.
func TestCurvesStayWithinTheTolerance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(5, 95)
		p := make([]geom.Point, 4)
		for i := range p {
			p[i] = pt(x.Draw(t, "x"), x.Draw(t, "y"))
		}
		tolerance := rapid.SampledFrom([]float64{1, 0.1, 0.01}).Draw(t, "tolerance")
		room := 100_000
		traced := &pen{tolerance: tolerance, room: &room}
		traced.move(p[0])
		quadratic := rapid.Bool().Draw(t, "quadratic")
		if quadratic {
			traced.quadratic(p[1], p[2])
		} else {
			traced.cubic(p[1], p[2], p[3])
		}
		line := traced.outline()[0].points
		for i := range 101 {
			u := float64(i) / 100
			v := 1 - u
			at := p[0].Times(v * v).Add(p[1].Times(2 * u * v)).Add(p[2].Times(u * u))
			if !quadratic {
				at = p[0].Times(v * v * v).Add(p[1].Times(3 * u * v * v)).Add(p[2].Times(3 * u * u * v)).Add(p[3].Times(u * u * u))
			}
			near := math.Inf(1)
			for k := 1; k < len(line); k++ {
				near = min(near, geom.SegmentDistance(line[k-1], line[k], at))
			}
			require.LessOrEqual(t, near, tolerance+1e-9)
		}
	})
}

// Arcs by SVG 2, appendix B.2: the pie of section 9.3.8 ("M300,200 h-150
// a150,150 0 1,0 150,-150 z" and "M275,175 v-150 a150,150 0 0,0 -150,150 z"),
// and cases whose centre and length follow from B.2.4 and B.2.5 (recomputed
// numerically).
func TestArcsHaveTheCentresAndLengthsOfTheImplementationNotes(t *testing.T) {
	for _, c := range []struct {
		from           geom.Point
		rx, ry, angle  float64
		large, sweep   bool
		to, center     geom.Point
		radiusX, turnX float64 // radius and length of circles; 0 for others
		length         float64
	}{
		{pt(150, 200), 150, 150, 0, true, false, pt(300, 50), pt(300, 200), 150, -270, 706.858347},
		{pt(275, 25), 150, 150, 0, false, false, pt(125, 175), pt(275, 175), 150, -90, 235.619449},
		{pt(200, 200), 50, 50, 0, true, true, pt(300, 200), pt(250, 200), 50, 180, 157.0796327},
		{pt(0, 0), 2, 2, 0, false, true, pt(10, 0), pt(5, 0), 5, 180, 15.707963},
		{pt(0, 0), 25, 50, -30, false, true, pt(50, -25), pt(25, -12.5), 0, 180, 135.217783},
		{pt(0, 0), -25, -50, -30, false, true, pt(50, -25), pt(25, -12.5), 0, 180, 135.217783}, // signs are dropped (B.2.5)
	} {
		room := 1_000_000
		p := &pen{tolerance: 1e-5, room: &room}
		p.move(c.from)
		p.arc(c.rx, c.ry, c.angle, c.large, c.sweep, c.to)
		line := p.outline()[0].points
		require.InDelta(t, c.length, geom.Length(line), 1e-3)
		require.Equal(t, c.to, line[len(line)-1])
		if c.radiusX > 0 {
			turned := 0.0
			for i, q := range line {
				require.InDelta(t, c.radiusX, q.Distance(c.center), 1e-6)
				if i > 0 {
					a, b := line[i-1].Sub(c.center), q.Sub(c.center)
					turned += math.Atan2(a.Cross(b), a.Dot(b)) * 180 / math.Pi
				}
			}
			require.InDelta(t, c.turnX, turned, 1e-6)
		} else {
			// Half of the ellipse: its area says how large both radii became.
			require.InDelta(t, 27.913197*55.826394, math.Abs(area(append(line, line[0])))/(math.Pi/2), 0.01)
		}
	}
	// A radius of 0 is a straight line, and an arc to where it begins is nothing.
	requirePoints(t, [][]geom.Point{down(pt(10, 10), pt(20, 20))}, strokes(t, stroked("M10 10A0 5 0 1 1 20 20")), "no radius")
	requirePoints(t, [][]geom.Point{down(pt(10, 10), pt(20, 20))}, strokes(t, stroked("M10 10A5 5 0 1110 10L20 20")), "flags may touch")
}

// area is the signed area of a closed line.
func area(line []geom.Point) float64 {
	sum := 0.0
	for i := 1; i < len(line); i++ {
		sum += line[i-1].Cross(line[i]) / 2
	}
	return sum
}

// Every point of an arc lies on the ellipse of its equation, and the line keeps
// to it within the tolerance.
func TestArcsKeepToTheirEllipse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(-100, 100)
		from, to := pt(x.Draw(t, "x1"), x.Draw(t, "y1")), pt(x.Draw(t, "x2"), x.Draw(t, "y2"))
		rx, ry := rapid.Float64Range(1, 200).Draw(t, "rx"), rapid.Float64Range(1, 200).Draw(t, "ry")
		angle := rapid.Float64Range(-360, 360).Draw(t, "angle")
		large, sweep := rapid.Bool().Draw(t, "large"), rapid.Bool().Draw(t, "sweep")
		draw := func(tolerance float64) []geom.Point {
			room := 1_000_000
			p := &pen{tolerance: tolerance, room: &room}
			p.move(from)
			p.arc(rx, ry, angle, large, sweep, to)
			return p.outline()[0].points
		}
		fine, coarse := draw(1e-3), draw(0.05)
		for i, k := 0, 1; i < len(fine); i++ {
			for k+1 < len(coarse) && geom.SegmentDistance(coarse[k], coarse[k+1], fine[i]) < geom.SegmentDistance(coarse[k-1], coarse[k], fine[i]) {
				k++
			}
			require.LessOrEqual(t, geom.SegmentDistance(coarse[k-1], coarse[k], fine[i]), 0.05+2e-3)
		}
		// large asks for the longer way around (SVG 2, section 9.3.8), sweep for
		// growing angles.
		turned := 0.0
		for i := 2; i < len(fine); i++ {
			a, b := fine[i-1].Sub(fine[i-2]), fine[i].Sub(fine[i-1])
			turned += math.Atan2(a.Cross(b), a.Dot(b))
		}
		if len(fine) > 2 {
			require.Equal(t, sweep, turned > 0)
		}
	})
}
