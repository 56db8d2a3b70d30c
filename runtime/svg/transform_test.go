package svg

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
)

// The matrices of CSS Transforms 1, section 12, and the equivalences that the
// specification states.
func TestTransformsHaveTheMatricesOfTheSpecification(t *testing.T) {
	sine, cosine := math.Sin(math.Pi/6), math.Cos(math.Pi/6)
	for text, want := range map[string][6]float64{
		"":                         {1, 0, 0, 1, 0, 0},
		"none":                     {1, 0, 0, 1, 0, 0},
		"matrix(1 2 3 4 5 6)":      {1, 2, 3, 4, 5, 6},
		"translate(3)":             {1, 0, 0, 1, 3, 0},
		"translate(3,-4)":          {1, 0, 0, 1, 3, -4},
		"translate(3px, 1in)":      {1, 0, 0, 1, 3, 96},
		"scale(2)":                 {2, 0, 0, 2, 0, 0},
		"scale(2 3)":               {2, 0, 0, 3, 0, 0},
		"rotate(30)":               {cosine, sine, -sine, cosine, 0, 0},
		"rotate(30deg)":            {cosine, sine, -sine, cosine, 0, 0},
		"rotate(0.0833333333turn)": {cosine, sine, -sine, cosine, 0, 0},
		"skewX(45)":                {1, 0, 1, 1, 0, 0},
		"skewY(45)":                {1, 1, 0, 1, 0, 0},
		// rotate(a, x, y) is translate(x, y) rotate(a) translate(-x, -y).
		"rotate(90 10 20)": {0, 1, -1, 0, 30, 10},
		"translate(10 20) rotate(90) translate(-10,-20)": {0, 1, -1, 0, 30, 10},
		// The first is the outermost: a point is scaled, then moved.
		"translate(10 20)scale(2)":     {2, 0, 0, 2, 10, 20},
		"scale(2),translate(10,20)":    {2, 0, 0, 2, 20, 40},
		"\n scale ( 2 ) translateX(5)": {2, 0, 0, 2, 10, 0},
	} {
		m := measures{width: 100, height: 100, font: 16, root: 16}
		got, ok := m.transform(text)
		require.True(t, ok, text)
		for i, x := range []float64{got.XX, got.YX, got.XY, got.YY, got.Shift.X, got.Shift.Y} {
			require.InDelta(t, want[i], x, 1e-6, "%s, number %d", text, i)
		}
	}
	for _, text := range []string{"scale", "scale(", "scale()", "rotate(1 2)", "matrix(1 2 3 4 5)", "turn(3)", "scale(1,)", "scale(1e99)", "skewX(90)", "rotate(3mm)", "translate(5%)", "scale(2) x"} {
		_, ok := measures{}.transform(text)
		require.False(t, ok, text)
	}
}

// The example of SVG 2, section 8.5.1 (8.5 in earlier drafts): nested groups
// multiply, from the outermost inward.
func TestNestedTransformsMultiply(t *testing.T) {
	got := strokes(t, inside(`<g transform="translate(50,90)"><g transform="rotate(-45)"><g transform="translate(130,160) translate(-130,-160)"><path stroke="red" d="M0 0h10"/></g></g></g>`))
	k := 10 / math.Sqrt2
	requirePoints(t, [][]geom.Point{down(pt(50, 90), pt(50+k, 90-k))}, got, "nested")
}

// The transform of a view box: the table of SVG 2, section 8.10, with a box of
// 30 by 40 in viewports of 50 by 30 and 30 by 60, as its figure has it.
func TestAViewBoxIsFittedAsTheFigureOfPreserveAspectRatioHasIt(t *testing.T) {
	for _, c := range []struct {
		ratio      string
		w, h       float64
		kx, ky     float64
		left, down float64
	}{
		{"", 50, 30, 0.75, 0.75, 13.75, 0},
		{"xMidYMid", 50, 30, 0.75, 0.75, 13.75, 0},
		{"xMinYMin meet", 50, 30, 0.75, 0.75, 0, 0},
		{"xMaxYMin", 50, 30, 0.75, 0.75, 27.5, 0},
		{"xMidYMin", 30, 60, 1, 1, 0, 0},
		{"xMidYMid meet", 30, 60, 1, 1, 0, 10},
		{"xMidYMax", 30, 60, 1, 1, 0, 20},
		{"xMinYMin slice", 30, 60, 1.5, 1.5, 0, 0},
		{"xMidYMid slice", 30, 60, 1.5, 1.5, -7.5, 0},
		{"xMaxYMax slice", 30, 60, 1.5, 1.5, -15, 0},
		{"xMinYMax slice", 50, 30, 5.0 / 3, 5.0 / 3, 0, 30 - 200.0/3},
		{"none", 50, 30, 5.0 / 3, 0.75, 0, 0},
	} {
		a, ok := aspectOf(c.ratio)
		require.True(t, ok, c.ratio)
		m := a.into(geom.Box{Max: pt(30, 40)}, geom.Box{Max: pt(c.w, c.h)})
		require.InDelta(t, c.kx, m.XX, 1e-12, c.ratio)
		require.InDelta(t, c.ky, m.YY, 1e-12, c.ratio)
		require.InDelta(t, c.left, m.Shift.X, 1e-12, c.ratio)
		require.InDelta(t, c.down, m.Shift.Y, 1e-12, c.ratio)
	}
	for _, text := range []string{"xMidYmid", "xMid", "meet", "xMidYMid cover", "xMidYMid meet x", "XMidYMid"} {
		_, ok := aspectOf(text)
		require.False(t, ok, text)
	}
}

// CSS Values 4, section 6.2: 1in = 2.54cm = 25.4mm = 101.6Q = 72pt = 6pc = 96px.
func TestADrawingIsInTrueMillimetres(t *testing.T) {
	for size, mm := range map[string]float64{
		"96": 25.4, "96px": 25.4, "1in": 25.4, "2.54cm": 25.4, "25.4mm": 25.4, "101.6Q": 25.4, "72pt": 25.4, "6pc": 25.4,
		"6em": 25.4, "12ex": 25.4, "1e1mm": 10,
	} {
		got := strokes(t, fmt.Sprintf(`<svg width="%s" height="%s" viewBox="-5 -5 10 10"><path stroke="#000" d="M0 5V0"/></svg>`, size, size))
		requirePoints(t, [][]geom.Point{{pt(mm/2, 0), pt(mm/2, mm/2)}}, got, size)
	}
	// Without sizes, or with those in percent, the view box is in px; with one,
	// the other follows; with none of them, what is drawn is moved to (0, 0).
	px := 25.4 / 96
	for text, want := range map[string][]geom.Point{
		`viewBox="0 0 20 10"`:                            {pt(10*px, 0), pt(10*px, 10*px)},
		`viewBox="0 0 20 10" width="100%" height="100%"`: {pt(10*px, 0), pt(10*px, 10*px)},
		`viewBox="0 0 20 10" width="40mm"`:               {pt(20, 0), pt(20, 20)},
		`viewBox="0 0 20 10" height="40mm"`:              {pt(40, 0), pt(40, 40)},
		`width="20" height="30"`:                         {pt(10*px, 20*px), pt(10*px, 30*px)},
		``:                                               {pt(0, 0), pt(0, 10*px)},
		`viewBox="0 0 20 10" width="40mm" height="40mm"`: {pt(20, 10), pt(20, 30)},
		`viewBox="0 0 20 10" width="40mm" height="40mm" preserveAspectRatio="none"`: {pt(20, 0), pt(20, 40)},
	} {
		got := strokes(t, `<svg `+text+`><path stroke="#000" d="M10 10V0"/></svg>`)
		requirePoints(t, [][]geom.Point{want}, got, text)
	}
}
