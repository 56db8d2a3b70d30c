package simulator_test

import (
	"bytes"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "wend/internal/repeatable"
	"wend/runtime/geom"
	"wend/runtime/simulator"
)

func shifted(points []geom.Point, by geom.Point) []geom.Point {
	out := make([]geom.Point, len(points))
	for i, p := range points {
		out[i] = p.Add(by)
	}
	return out
}

func TestDeviationIsMeasuredAlongTheLine(t *testing.T) {
	straight := []geom.Point{{}, {X: 50}, {X: 100}}
	square := []geom.Point{{}, {X: 20}, {X: 20, Y: 20}, {Y: 20}, {}}
	for name, c := range map[string]struct {
		ideal, drawn  []geom.Point
		largest, mean float64
		within        float64
	}{
		"the same line":                  {straight, straight, 0, 0, 1e-12},
		"other points on the same line":  {straight, []geom.Point{{}, {X: 3}, {X: 99}, {X: 100}}, 0, 0, 1e-12},
		"beside it":                      {straight, shifted(straight, geom.Point{Y: 0.3}), 0.3, 0.3, 1e-9},
		"a missing end":                  {straight, []geom.Point{{}, {X: 97}}, 3, 3.0 * 3 / 2 / 100 / 2, 0.05},
		"a cut corner":                   {square, []geom.Point{{}, {X: 19}, {X: 20, Y: 1}, {X: 20, Y: 20}, {Y: 20}, {}}, math.Sqrt(0.5), 0.008, 0.005},
		"a detour":                       {straight, []geom.Point{{}, {X: 50}, {X: 50, Y: 2}, {X: 50}, {X: 100}}, 2, 0.02, 0.03},
		"the wrong way round":            {square, []geom.Point{{}, {Y: 20}, {X: 20, Y: 20}, {X: 20}, {}}, 20, 10, 5},
		"nothing drawn":                  {straight, nil, 0, 0, 0},
		"one point each":                 {straight[:1], straight[1:2], 50, 50, 1e-12},
		"one point drawn":                {straight, straight[:1], 100, 25, 1},
		"one point wanted":               {straight[:1], straight, 100, 25, 1},
		"a stand repeated does not hurt": {straight, []geom.Point{{}, {}, {X: 50}, {X: 50}, {X: 100}}, 0, 0, 1e-12},
	} {
		largest, mean := simulator.Deviation(c.ideal, c.drawn)
		require.InDelta(t, c.largest, largest, max(c.within, 1e-12), name)
		require.InDelta(t, c.mean, mean, max(c.within, 1e-12), name)
	}
}

// Rows nearer to each other than the line is off: the nearest line at all would
// be the wrong row.
func TestANeighbouringRowDoesNotCount(t *testing.T) {
	var rows []geom.Point
	for i := range 40 {
		y := float64(i) * 0.2
		a, b := geom.Point{X: 0, Y: y}, geom.Point{X: 60, Y: y}
		if i%2 == 1 {
			a, b = b, a
		}
		rows = append(rows, a, b)
	}
	largest, mean := simulator.Deviation(rows, shifted(rows, geom.Point{Y: 0.2}))
	require.InDelta(t, 0.2, largest, 1e-6)
	require.InDelta(t, 0.2, mean, 0.01)
}

// Many like strokes, each drawn a little short: no stroke must be taken for its
// neighbour.
func TestShortenedStrokesAreNotTakenForTheirNeighbours(t *testing.T) {
	for _, step := range []float64{0, 0.5, 1} {
		var ideal, drawn []geom.Point
		for i := range 121 {
			p := geom.Point{X: float64(i) * step, Y: 60 * float64(i%2)}
			ideal = append(ideal, p)
			if i%2 == 1 {
				p.Y -= 0.4
			}
			drawn = append(drawn, p)
		}
		largest, mean := simulator.Deviation(ideal, drawn)
		require.InDelta(t, 0.4, largest, 0.01, "%v mm apart", step)
		require.Less(t, mean, 0.02)
	}
}

// Pairing each cut with its own shifted self is one of the pairings, and the
// root of the mean square, which is no less than the mean, is the shift.
func TestTheMeanDeviationOfAShiftedLineIsNoMoreThanTheShift(t *testing.T) {
	points := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) geom.Point {
		return geom.Point{X: rapid.Float64Range(0, 100).Draw(t, "x"), Y: rapid.Float64Range(0, 100).Draw(t, "y")}
	}), 2, 30)
	rapid.Check(t, func(t *rapid.T) {
		line := points.Draw(t, "line")
		by := geom.Polar(min(1, geom.Length(line)/100)*rapid.Float64Range(0, 1).Draw(t, "shift"), rapid.Float64Range(0, 360).Draw(t, "direction"))
		largest, mean := simulator.Deviation(line, shifted(line, by))
		require.LessOrEqual(t, mean, by.Length()*(1+1e-6)+1e-9)
		require.LessOrEqual(t, mean, largest+1e-9)
		same, _ := simulator.Deviation(line, line)
		require.InDelta(t, 0, same, 1e-9)
	})
}

// Slack shows in the deviation of a whole drawing, and is absent without it.
func TestTheDeviationOfADrawingShowsItsSlack(t *testing.T) {
	text := rosette(4000)
	run := func(slack float64) []geom.Point {
		setup := simulator.Setup{}
		setup.Mechanics.SlackMM = [2]float64{slack, slack}
		d, err := simulator.Draw(t.Context(), bytes.NewReader(text), setup)
		require.NoError(t, err)
		return d.Trace
	}
	ideal := run(0)
	largest, _ := simulator.Deviation(ideal, run(0))
	require.InDelta(t, 0, largest, 1e-9)
	// Both axes off by the whole slack, the first approach included.
	largest, mean := simulator.Deviation(ideal, run(0.4))
	require.Greater(t, largest, 0.3)
	require.Less(t, largest, 0.4*math.Sqrt2+0.02)
	require.Greater(t, mean, 0.05)
}
