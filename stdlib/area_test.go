package stdlib_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/diag"
	"wend/runtime/geom"
	"wend/runtime/value"
)

func area(t *testing.T, r any) float64 { return call(t, "area", r).Number() }

func lengthsOf(v value.Value) []float64 {
	var mm []float64
	for _, item := range v.List() {
		mm = append(mm, geom.Length(item.Path().Points))
	}
	return mm
}

func TestLinesAreCutByRegionsInTheirOrder(t *testing.T) {
	box := square(0, 0, 10)
	line := pathOf(0, pt(-5, 5), pt(15, 5), pt(15, 8), pt(5, 8))
	require.InDeltaSlice(t, []float64{10, 5}, lengthsOf(call(t, "clip", line, box)), 1e-6)
	require.InDeltaSlice(t, []float64{5, 13}, lengthsOf(call(t, "outside", line, box)), 1e-6)
	// Lists of lines, and a region with a hole.
	ring := []any{box, square(4, 4, 2)}
	lines := []any{pathOf(0, pt(5, -5), pt(5, 15)), pathOf(0, pt(1, 1), pt(2, 1))}
	require.InDeltaSlice(t, []float64{4, 4, 1}, lengthsOf(call(t, "clip", lines, ring)), 1e-6)
	require.InDeltaSlice(t, []float64{5, 2, 5}, lengthsOf(call(t, "outside", lines, ring)), 1e-6)
	require.Equal(t, diag.Code("region-open"), faultOf(t, "clip", line, line))
	require.Equal(t, diag.Code("path-too-large"), faultOf(t, "clip", line, square(0, 0, 2e9)))
	require.Equal(t, diag.Code("path-too-large"), faultOf(t, "outside", pathOf(0, pt(0, 0), pt(1e300, 0)), box))
}

func TestRegionsAreCombined(t *testing.T) {
	a, b, c := square(0, 0, 10), square(5, 5, 10), square(8, 0, 4)
	require.InDelta(t, 175, area(t, call(t, "union", a, b)), 1e-6)
	require.InDelta(t, 183, area(t, call(t, "union", a, b, c)), 1e-6)
	require.InDelta(t, 25, area(t, call(t, "intersection", a, b)), 1e-6)
	require.InDelta(t, 75, area(t, call(t, "difference", a, b)), 1e-6)
	require.InDelta(t, 67, area(t, call(t, "difference", a, b, c)), 1e-6)
	// A list alone stands for its items, each a region; two arguments are two
	// regions, each even-odd.
	require.InDelta(t, 175, area(t, call(t, "union", []any{a, b})), 1e-6)
	require.InDelta(t, 150, area(t, []any{a, b}), 1e-6)
	require.InDelta(t, 150, area(t, call(t, "union", []any{a, b}, []any{a, b})), 1e-6)
	require.InDelta(t, 75, area(t, call(t, "difference", []any{a, b})), 1e-6)
	require.Empty(t, call(t, "union", []any{}).List())
	require.Empty(t, call(t, "intersection", a, square(50, 50, 1)).List())
	require.Equal(t, diag.Code("list-item-kind"), faultOf(t, "union", []any{a, 3}))
	require.Equal(t, diag.Code("region-open"), faultOf(t, "union", a, pathOf(0, pt(0, 0), pt(1, 0))))
}

func TestAreasAndCentroids(t *testing.T) {
	require.Equal(t, 84.0, area(t, []any{square(0, 0, 10), square(3, 3, 4)}))
	require.Zero(t, area(t, []any{}))
	center := call(t, "centroid", []any{square(0, 0, 10), square(4, 0, 2)}).Point()
	require.InDelta(t, 5, center.X, 1e-9)
	require.InDelta(t, (100*5-4*1)/96.0, center.Y, 1e-9)
	require.Equal(t, diag.Code("region-flat"), faultOf(t, "centroid", pathOf(0, pt(0, 0), pt(5, 5), pt(0, 0))))
	require.Equal(t, diag.Code("region-flat"), faultOf(t, "centroid", []any{}))
}

func TestOffsetsOfRegionsAndOfLines(t *testing.T) {
	box := square(0, 0, 10)
	require.InEpsilon(t, 100+40*2+math.Pi*4, area(t, call(t, "offset", box, 2, nil)), 1e-3)
	require.InEpsilon(t, 196, area(t, call(t, "offset", box, 2, true)), 1e-6)
	require.InEpsilon(t, 36, area(t, call(t, "offset", box, -2, nil)), 1e-6)
	require.Empty(t, call(t, "offset", box, -6, nil).List())
	require.Len(t, call(t, "offset", []any{box, square(4, 4, 2)}, -1, nil).List(), 2)
	beside := call(t, "offset", pathOf(0, pt(0, 0), pt(10, 0)), 3, nil).List()
	require.Len(t, beside, 1)
	require.Equal(t, []geom.Point{pt(0, 3), pt(10, 3)}, beside[0].Path().Points)
	both := call(t, "offset", []any{pathOf(0, pt(0, 0), pt(10, 0)), box}, -1, nil).List()
	require.Len(t, both, 2)
	require.True(t, geom.Closed(both[0].Path().Points), "regions come first")
	require.Equal(t, diag.Code("path-too-large"), faultOf(t, "offset", box, 1e12, nil))
}

// A box is a region like the path around it, alone and in a list.
func TestABoxIsARegion(t *testing.T) {
	box, line := value.Box(geom.Box{Max: pt(10, 10)}), pathOf(0, pt(-5, 5), pt(15, 5))
	hole := value.Box(geom.Box{Min: pt(4, 4), Max: pt(6, 6)})
	require.Equal(t, 100.0, area(t, box))
	require.Equal(t, 96.0, area(t, []any{box, square(4, 4, 2)}))
	require.InDelta(t, 0, pt(5, 5).Distance(call(t, "centroid", []any{box, hole}).Point()), 1e-9)
	require.True(t, call(t, "inside", pt(3, 3), box).Bool())
	require.False(t, call(t, "inside", pt(5, 5), []any{box, hole}).Bool())
	require.InDeltaSlice(t, []float64{4, 4}, lengthsOf(call(t, "clip", line, []any{box, hole})), 1e-6)
	require.InDeltaSlice(t, []float64{5, 5}, lengthsOf(call(t, "outside", line, box)), 1e-6)
	require.InDelta(t, 96, area(t, call(t, "difference", box, hole)), 1e-6)
	require.InDelta(t, 96, area(t, call(t, "difference", []any{box, hole})), 1e-6)
	require.InDelta(t, 36, area(t, call(t, "offset", box, -2, nil)), 1e-6)
	require.Len(t, call(t, "offset", []any{box, hole}, -1, nil).List(), 2)
	require.InDeltaSlice(t, []float64{5, 5}, lengthsOf(call(t, "behind", line, box)), 1e-6)
	require.InDeltaSlice(t, []float64{40, 5, 5}, lengthsOf(call(t, "behind", []any{box, line})), 1e-6)
	require.InDeltaSlice(t, []float64{40, 8, 5, 2, 5}, lengthsOf(call(t, "behind", []any{[]any{box, hole}, line})), 1e-6)
	for _, word := range []string{"hatch", "shade"} {
		args := []any{box, 2, nil, nil, nil}
		around := []any{square(0, 0, 10), 2, nil, nil, nil}
		if word == "shade" {
			args, around = []any{box, nil, nil, nil}, []any{square(0, 0, 10), nil, nil, nil}
		}
		require.Equal(t, call(t, word, around...).Path().Points, call(t, word, args...).Path().Points)
	}
	require.Equal(t, diag.Code("list-item-kind"), faultOf(t, "clip", line, []any{box, 3}))
	require.Equal(t, diag.Code("list-item-kind"), faultOf(t, "behind", line, []any{box, 3}))
	require.Equal(t, diag.Code("region-flat"), faultOf(t, "hatch", value.Box(geom.Box{Max: pt(10, 0)}), 2, nil, nil, nil))
}

func TestWhatStandsBehindIsHidden(t *testing.T) {
	front, middle, back := square(0, 0, 10), square(5, 5, 10), square(8, 2, 4)
	seen := lengthsOf(call(t, "behind", []any{front, middle, back}))
	total := 0.0
	for _, mm := range seen {
		total += mm
	}
	require.InDelta(t, 40+30+(2+3), total, 1e-6)
	// Open paths are drawn and hide nothing; a shape of several paths has holes.
	line := pathOf(0, pt(-5, 5), pt(15, 5))
	require.InDeltaSlice(t, []float64{20, 40}, lengthsOf(call(t, "behind", []any{line, front})), 1e-6)
	frame := []any{front, square(4, 4, 2)}
	require.InDeltaSlice(t, []float64{40, 8, 5, 2, 5}, lengthsOf(call(t, "behind", []any{frame, line})), 1e-6)
	// Of several regions each hides by itself.
	require.InDeltaSlice(t, []float64{5}, lengthsOf(call(t, "behind", line, []any{front, square(2, 2, 15)})), 1e-6)
	require.Empty(t, call(t, "behind", []any{}).List())
	require.Equal(t, diag.Code("list-item-kind"), faultOf(t, "behind", []any{3}))
	require.Equal(t, diag.Code("region-open"), faultOf(t, "behind", line, line))
}

func TestFillsSayWhatTheyCannotDo(t *testing.T) {
	box := square(0, 0, 10)
	require.Equal(t, diag.Code("step-size"), faultOf(t, "hatch", box, 0, nil, nil, nil))
	require.Equal(t, diag.Code("region-flat"), faultOf(t, "hatch", []any{}, 1, nil, nil, nil))
	require.Equal(t, diag.Code("region-flat"), faultOf(t, "shade", []any{}, nil, nil, nil))
	require.Equal(t, diag.Code("shade-style"), faultOf(t, "shade", box, "dots", nil, nil))
	for _, tone := range []any{-0.1, 1, 3} {
		require.Equal(t, diag.Code("shade-tone"), faultOf(t, "shade", box, nil, tone, nil))
	}
}

// Half a page's worth of ink leaves half of it light; nothing goes below the width
// of the line, which is 0.5 mm here.
func TestTonesBySpacing(t *testing.T) {
	box := square(0, 0, 40)
	for _, style := range []string{"coil", "furrows"} {
		for _, tone := range []float64{0, 0.5, 0.75} {
			mm := geom.Length(call(t, "shade", box, style, tone, nil).Path().Points)
			spacing := 0.5 / (1 - tone)
			require.InEpsilon(t, 1600/spacing, mm, 0.07, "%s %v", style, tone)
		}
	}
	thin := geom.Length(call(t, "hatch", box, 0.01, nil, nil, nil).Path().Points)
	require.InEpsilon(t, 1600/0.5, thin, 0.05)
}

// Where one word asks for most of what a program may, the message speaks of that
// word, and of no loop.
func TestAWordThatAsksForTooMuchIsNamedAlone(t *testing.T) {
	for _, text := range []string{
		"let big = polyline([(0,0),(1e5,0),(1e5,1e5),(0,1e5),(0,0)])\nfollow shade(big, tone: 0)\n",
		"let big = polyline([(0,0),(1e9,0),(1e9,1e9),(0,1e9),(0,0)])\nfollow hatch(big, 1)\n",
	} {
		_, list := drawn(t, "big", text, 0.05)
		require.Len(t, list, 1)
		require.Contains(t, list[0].Hint, "this word alone")
		require.Empty(t, list[0].Related)
	}
}
