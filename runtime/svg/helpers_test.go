package svg

import (
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/geom"
)

func free(int, int) error { return nil }

// drawn draws a text at a tolerance of a thousandth of a millimetre.
func drawn(text string) (*Drawing, error) {
	d, err := Read(source.New("test.svg", text), free)
	if err != nil {
		return nil, err
	}
	return d.Draw(Options{ToleranceMM: 0.001, Charge: free})
}

// strokes draws a text that has nothing wrong with it.
func strokes(t require.TestingT, text string) [][]geom.Point {
	drawing, err := drawn(text)
	require.NoError(t, err, text)
	require.Empty(t, drawing.Notes, text)
	return drawing.Strokes
}

// inside is a drawing of 100 by 100 mm whose units are mm.
func inside(content string) string {
	return `<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">` + content + `</svg>`
}

// stroked is a path in such a drawing, without fill.
func stroked(data string) string { return inside(`<path fill="none" stroke="#000" d="` + data + `"/>`) }

// faultOf is what is wrong with a text.
func faultOf(t *testing.T, text string) *diag.Fault {
	t.Helper()
	_, err := drawn(text)
	var fault *diag.Fault
	require.ErrorAs(t, err, &fault, "%.200s", text)
	require.NotRegexp(t, `\{\w+\}`, fault.Error(), "every place of the message is filled")
	return fault
}

func pt(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }

// down turns what a drawing says, whose y points down, into what is drawn.
func down(points ...geom.Point) []geom.Point {
	for i, p := range points {
		points[i] = pt(p.X, 100-p.Y)
	}
	return points
}

// requirePoints compares lines to a millionth of a millimetre.
func requirePoints(t *testing.T, want, got [][]geom.Point, message string) {
	t.Helper()
	require.Len(t, got, len(want), message)
	for i := range want {
		require.Len(t, got[i], len(want[i]), message)
		for k := range want[i] {
			require.InDelta(t, want[i][k].X, got[i][k].X, 1e-6, message)
			require.InDelta(t, want[i][k].Y, got[i][k].Y, 1e-6, message)
		}
	}
}
