package svg

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
)

// Areas and lengths of the basic shapes in closed form.
func TestShapesHaveTheSizesOfTheirClosedForms(t *testing.T) {
	for content, want := range map[string][2]float64{ // length and area
		`<rect x="10" y="20" width="30" height="40"/>`:                 {140, 1200},
		`<rect x="10" y="20" width="30" height="40" rx="5"/>`:          {140 - 40 + 10*math.Pi, 1200 - 100 + 25*math.Pi},
		`<rect x="10" y="20" width="30" height="40" ry="5"/>`:          {140 - 40 + 10*math.Pi, 1200 - 100 + 25*math.Pi},
		`<rect x="10" y="20" width="30" height="30" rx="99" ry="99"/>`: {30 * math.Pi, 225 * math.Pi}, // no more than half
		`<rect x="10" y="20" width="30" height="40" rx="0" ry="9"/>`:   {140, 1200},
		`<circle cx="50" cy="50" r="20"/>`:                             {40 * math.Pi, 400 * math.Pi},
		`<circle cx="50%" cy="50%" r="10%"/>`:                          {20 * math.Pi, 100 * math.Pi}, // of the diagonal / √2
		`<ellipse cx="50" cy="50" rx="20" ry="10"/>`:                   {96.884482205, 200 * math.Pi},
		`<ellipse cx="50" cy="50" rx="20"/>`:                           {40 * math.Pi, 400 * math.Pi},
		`<polygon points="1,6 3,1 7,2 4,4 8,5"/>`:                      {math.Sqrt(29) + math.Sqrt(17) + math.Sqrt(13) + math.Sqrt(17) + math.Sqrt(50), 16.5},
		`<circle style="cx:50;cy:50px;r:20" r="3"/>`:                   {40 * math.Pi, 400 * math.Pi},
	} {
		for _, style := range []string{`stroke="#000" fill="none"`, `fill="#123"`, `stroke="red"`} {
			got := strokes(t, inside(`<g `+style+`>`+content+`</g>`))
			require.Len(t, got, 1, content)
			require.InEpsilon(t, want[0], geom.Length(got[0]), 2e-4, content)
			require.InEpsilon(t, want[1], math.Abs(area(got[0])), 2e-4, content)
			require.Equal(t, got[0][0], got[0][len(got[0])-1], content)
		}
	}
	requirePoints(t, [][]geom.Point{down(pt(1, 2), pt(3, 4))}, strokes(t, inside(`<line x1="1" y1="2" x2="3" y2="4" stroke="#000"/>`)), "line")
	requirePoints(t, [][]geom.Point{down(pt(1, 2), pt(3, 4), pt(9, 1))}, strokes(t, inside(`<polyline points="1 2,3,4 9 1" fill="none" stroke="#000"/>`)), "polyline")
}

// marks are what each element of a drawing leaves: a level line at the height of
// its name, so that a drawing says which of its elements are seen.
func seen(t *testing.T, text string) string {
	t.Helper()
	d, err := drawn(text)
	require.NoError(t, err, text)
	var heights []string
	for _, s := range d.Strokes {
		heights = append(heights, fmt.Sprintf("%.0f", 100-s[0].Y))
	}
	return strings.Join(heights, " ")
}

// Each path that is to be seen is drawn at a height that says which one it is.
func TestWhatIsHiddenIsLeftOut(t *testing.T) {
	const last = `<path d="M0 9h9" stroke="#000"/>`
	for content, want := range map[string]string{
		`<path d="M0 1h9" stroke="#000" display="none"/>`:                                                                  "9",
		`<g display="none"><path d="M0 1h9" stroke="#000" display="inline"/></g>`:                                          "9",
		`<g visibility="hidden"><path d="M0 1h9" stroke="#000"/><path d="M0 2h9" stroke="#000" visibility="visible"/></g>`: "2 9",
		`<g opacity="0"><path d="M0 1h9" stroke="#000"/></g>`:                                                              "9",
		`<path d="M0 1h9" stroke="#000" opacity="0%"/>`:                                                                    "9",
		`<path d="M0 1h9" stroke="#000" stroke-opacity="0"/>`:                                                              "9",
		`<path d="M0 1h9" stroke="#000" stroke-width="0"/>`:                                                                "9",
		`<path d="M0 1h9" stroke="none"/>`:                                                                                 "9",
		`<path d="M0 1h9" stroke="transparent"/>`:                                                                          "9",
		`<path d="M0 1h9" stroke="rgba(1,2,3,0)"/>`:                                                                        "9",
		`<path d="M0 1h9" stroke="rgb(1 2 3 / 0%)"/>`:                                                                      "9",
		`<path d="M0 1h9" stroke="#1230"/>`:                                                                                "9",
		`<path d="M0 1h9" fill="#000"/>`:                                                                                   "9", // no area
		`<path d="M0 1h9v1z" fill="none"/>`:                                                                                "9",
		`<path d="M0 1h9v1z" fill-opacity="0"/>`:                                                                           "9",
		`<path d="M0 1h9v1z"/>`:                                                                                            "1 9", // black is what fill is
		`<path d="M0 1h0" stroke="#000"/><circle r="0"/><rect width="0" height="9"/>`:                                      "9",
		`<rect width="-1" height="9"/><ellipse rx="-1" ry="-3"/>`:                                                          "9",
		`<defs><path d="M0 1h9" stroke="#000"/></defs><symbol><path d="M0 1h9"/></symbol>`:                                 "9",
		`<path d="M0 -1h9" stroke="#000"/><path d="M101 1h9" stroke="#000"/>`:                                              "9", // outside
		`<g transform="scale(0)"><path d="M0 1h9" stroke="#000"/></g>`:                                                     "9",
		`<path d="M0 1h9" stroke="url(#nothing)"/>`:                                                                        "9",
		`<path d="M0 1h9" stroke="url(#nothing) red"/>`:                                                                    "9",
		`<g stroke="#000"><path d="M0 1h9"/><path d="M0 2h9" stroke="inherit"/></g>`:                                       "1 2 9",
		`<switch><g requiredExtensions="x"><path d="M0 1h9" stroke="#000"/></g><path d="M0 2h9" stroke="#000"/><path d="M0 3h9" stroke="#000"/></switch>`: "2 9",
		`<switch><path systemLanguage="de" d="M0 1h9" stroke="#000"/><path systemLanguage="fr, en-GB" d="M0 2h9" stroke="#000"/></switch>`:                "2 9",
		`<x:g xmlns:x="http://example.org/"><path d="M0 1h9" stroke="#000"/></x:g>`:                                                                       "9",
	} {
		require.Equal(t, want, seen(t, inside(content+last)), content)
	}
}

// CSS Cascade 4, section 6: importance, then the style of the element, then
// how much a selector says, then order; presentation attributes count least.
func TestStylesCascade(t *testing.T) {
	for rules, want := range map[string]string{
		``:                                                      "1 2 3",
		`path{display:none}`:                                    "3",
		`.a{display:none}`:                                      "2 3",
		`#b{display:none}`:                                      "1 3",
		`*{stroke:none}`:                                        "3",
		`path.a, #c{display:none}`:                              "2",
		`g path{display:none}`:                                  "1 3",
		`g > path{display:none}`:                                "1 3",
		`svg > path{display:none}`:                              "2 3",
		`svg > g > path#b.b{display:none}`:                      "1 3",
		`svg g.k svg path{display:none}`:                        "1 2 3",
		`path{display:none} .a{display:inline}`:                 "1 3",
		`.a{display:inline} path{display:none}`:                 "1 3",
		`path{display:none!important} .a{display:inline}`:       "3",
		`.b{stroke:red} #b{stroke:none} path{stroke:blue}`:      "1 3",
		`/* .a{ */ .b{display:/* x */none}`:                     "1 3",
		`<![CDATA[ .a{display:none} ]]>`:                        "2 3",
		`@font-face{font-family:x;src:url(y)} .a{display:none}`: "2 3",
		`line{stroke:none}`:                                     "1 2 3", // its own style counts more
		`line{stroke:none !important}`:                          "1 2",
		`.a{display:none`:                                       "2 3",
		`a:hover{x:y}.a{display:none}`:                          "2 3",
	} {
		text := inside(`<style>` + rules + `</style><path class="x a" d="M0 1h9" stroke="#000"/><g class="k"><path id="b" class="b" d="M0 2h9" stroke="#000"/></g><line id="c" x2="9" y1="3" y2="3" style="stroke:#000"/>`)
		require.Equal(t, want, seen(t, text), rules)
	}
}

func TestUseDrawsAnElementOnceMore(t *testing.T) {
	requirePoints(t, [][]geom.Point{
		down(pt(10, 20), pt(15, 20)),
		down(pt(50, 30), pt(60, 30)),
	}, strokes(t, inside(`<defs><path id="p" d="M0 0h5" stroke="#000"/></defs>
		<use href="#p" x="10" y="20"/><use xlink:href="#p" xmlns:xlink="http://www.w3.org/1999/xlink" transform="translate(50 30) scale(2)"/>`)), "use")
	// What is used takes its style from where it is used (SVG 2, section 5.5.3).
	require.Equal(t, "7", seen(t, inside(`<defs><path id="p" d="M0 0h5"/></defs><use href="#p" x="10" y="20"/><use href="#p" x="10" y="7" stroke="#000"/>`)))
	// A symbol has a viewport of its own, which cuts (section 5.6).
	requirePoints(t, [][]geom.Point{down(pt(10, 15), pt(30, 15))}, strokes(t, inside(`<symbol id="s" viewBox="0 0 10 5"><path d="M-5 2.5h50M0 7h9" stroke="#000"/></symbol>
		<use href="#s" x="10" y="10" width="20" height="10"/>`)), "symbol")
	requirePoints(t, [][]geom.Point{down(pt(10, 15), pt(30, 15))}, strokes(t, inside(`<svg x="10" y="10" width="20" height="10" viewBox="0 0 10 5"><path d="M-5 2.5h50M0 7h9" stroke="#000"/></svg>`)), "nested")
	requirePoints(t, [][]geom.Point{down(pt(5, 15), pt(35, 15))}, strokes(t, inside(`<svg x="10" y="10" width="20" height="10" overflow="visible" viewBox="0 0 10 5"><path d="M-2.5 2.5h15" stroke="#000"/></svg>`)), "overflow")
}

func TestDashesAreCutAsThePatternSays(t *testing.T) {
	dash := func(style string) [][]geom.Point {
		return strokes(t, inside(`<path d="M10 10h20" stroke="#000" fill="none" style="`+style+`"/>`))
	}
	piece := func(from, to float64) []geom.Point { return down(pt(from, 10), pt(to, 10)) }
	for style, want := range map[string][][]geom.Point{
		"stroke-dasharray:none":                     {piece(10, 30)},
		"stroke-dasharray:0 0":                      {piece(10, 30)},
		"stroke-dasharray:8 4":                      {piece(10, 18), piece(22, 30)},
		"stroke-dasharray:5":                        {piece(10, 15), piece(20, 25)},
		"stroke-dasharray:5,3,2":                    {piece(10, 15), piece(18, 20), piece(25, 28)}, // twice, as SVG 2, section 13.5.6, has it
		"stroke-dasharray:8 4;stroke-dashoffset:4":  {piece(10, 14), piece(18, 26)},
		"stroke-dasharray:8 4;stroke-dashoffset:-2": {piece(12, 20), piece(24, 30)},
		"stroke-dasharray:8 4;stroke-dashoffset:10": {piece(12, 20), piece(24, 30)},
		"stroke-dasharray:10%":                      {piece(10, 20)},
	} {
		requirePoints(t, want, dash(style), style)
	}
	// pathLength says how long the path counts as (section 9.6.1).
	requirePoints(t, [][]geom.Point{piece(10, 12), piece(14, 16), piece(18, 20), piece(22, 24), piece(26, 28)},
		strokes(t, inside(`<path pathLength="10" d="M10 10h20" stroke="#000" stroke-dasharray="1"/>`)), "pathLength")
	// Over corners, and with the length of the whole line.
	total := 0.0
	for _, s := range strokes(t, inside(`<circle cx="50" cy="50" r="30" fill="none" stroke="#000" stroke-dasharray="3 1"/>`)) {
		total += geom.Length(s)
	}
	require.InDelta(t, 60*math.Pi*0.75, total, 1)
}

func TestFillsAreClosedOutlines(t *testing.T) {
	requirePoints(t, [][]geom.Point{down(pt(1, 1), pt(9, 1), pt(9, 9), pt(1, 1))}, strokes(t, inside(`<path d="M1 1h8v8"/>`)), "an open path is filled as if it were closed")
	requirePoints(t, [][]geom.Point{down(pt(9, 9), pt(1, 1)), down(pt(1, 1), pt(9, 1), pt(9, 9))}, strokes(t, inside(`<path stroke="#000" d="M1 1h8v8"/>`)), "its edge is seen, too")
	d, err := Read(sourceOf(inside(`<path d="M1 1h8v8"/><path fill="none" stroke="#000" d="M0 9h9"/><path stroke="#000" d="M1 2h8v8"/>`)), free)
	require.NoError(t, err)
	got, err := d.Draw(Options{ToleranceMM: 0.01, Fills: None, Charge: free})
	require.NoError(t, err)
	requirePoints(t, [][]geom.Point{down(pt(0, 9), pt(9, 9)), down(pt(1, 2), pt(9, 2), pt(9, 10))}, got.Strokes, "without fills")
	// A fill of the whole sheet has no edge that is seen, unless it is all there is.
	require.Equal(t, "5", seen(t, inside(`<rect width="100" height="100"/><rect x="-9" width="200" height="200"/><path stroke="#000" d="M0 5h9"/>`)))
	require.Equal(t, "0", seen(t, inside(`<rect width="100" height="100"/>`)))
}

func TestLinesAreCutAtTheViewport(t *testing.T) {
	requirePoints(t, [][]geom.Point{down(pt(0, 50), pt(30, 50)), down(pt(70, 40), pt(100, 40))},
		strokes(t, stroked("M-20 50h50M70 40h99")), "across the edges")
	requirePoints(t, [][]geom.Point{down(pt(90, 10), pt(100, 10)), down(pt(100, 20), pt(90, 20))},
		strokes(t, stroked("M90 10h30v10h-30")), "out and in again")
	requirePoints(t, [][]geom.Point{down(pt(0, 0), pt(100, 0), pt(100, 100), pt(0, 100), pt(0, 0))},
		strokes(t, stroked("M0 0h100v100h-100z")), "on the edge is inside")
	// What lies beside its page altogether is drawn all the same, and told.
	d, err := drawn(stroked("M120 50h30"))
	require.NoError(t, err)
	requirePoints(t, [][]geom.Point{down(pt(120, 50), pt(150, 50))}, d.Strokes, "outside")
	require.Contains(t, d.Notes[0].Error(), "lies outside its page")
}

// Each kind of thing that has no line is named once, at its first place.
func TestWhatIsNotDrawnIsNamedOnce(t *testing.T) {
	text := inside(`
<linearGradient id="g"><stop/></linearGradient><pattern id="p"/>
<text x="1" y="2">moss</text><text>fern<tspan/></text>
<image href="a.png"/>
<rect width="5" height="5" fill="url(#g)"/><rect x="9" width="5" height="5" fill="url(#g)"/>
<rect width="5" height="5" fill="url(#p)" filter="url(#f)" mask="url(#m)"/>
<path d="M0 0h9" stroke="#000" marker-end="url(#a)"/>
<use href="#none"/><use href="other.svg#a"/>
<foreignObject/><blink/>
<text display="none">hidden</text><g visibility="hidden"><text>hidden</text></g>
<path d="M0 0h9" stroke="#000" transform="turn(3)" stroke-width="wide"/>`)
	d, err := drawn(text)
	require.NoError(t, err)
	var got []string
	for _, n := range d.Notes {
		got = append(got, fmt.Sprintf("%d:%d %s", n.Span.From().Line, n.Span.From().Column, n.Error()))
	}
	require.Equal(t, []string{
		"3:1 `<text>` is left out (and 1 more like it)",
		"4:1 `<image>` is left out",
		"5:1 a gradient has no line; its shape is drawn (and 1 more like it)",
		"6:1 a mask is not applied; what it is for is drawn whole",
		"6:1 a filter is not applied; what it is for is drawn without",
		"6:1 a pattern has no line here; its shape is drawn",
		"7:1 a marker is left out",
		"8:1 `#none` names nothing in this file, and is left out (and 1 more like it)",
		"9:1 `<foreignObject>` is left out",
		"9:17 `<blink>` is left out",
		"11:66 `stroke-width`: cannot be read, and is passed over (and 1 more like it)",
	}, got)
}

// A drawing keeps its tolerance after it was enlarged to the page.
func TestCurvesAreFineEnoughToBeEnlarged(t *testing.T) {
	d, err := Read(sourceOf(`<svg viewBox="0 0 16 16"><circle cx="8" cy="8" r="6"/></svg>`), free)
	require.NoError(t, err)
	for _, large := range []float64{1, 10, 100, 1000} {
		got, err := d.Draw(Options{ToleranceMM: 0.02, Largest: pt(large, 2*large), Charge: free})
		require.NoError(t, err)
		r := 6 * 25.4 / 96
		k := max(1, large/(2*r))
		sagitta := 0.0
		for i := 1; i < len(got.Strokes[0]); i++ {
			a, b := got.Strokes[0][i-1], got.Strokes[0][i]
			sagitta = max(sagitta, r-a.Mix(b, 0.5).Distance(pt(8*25.4/96, 8*25.4/96)))
		}
		require.LessOrEqual(t, k*sagitta, 0.02*1.0001)
		require.Greater(t, k*sagitta, 0.01, "and no finer than it must be")
	}
}
