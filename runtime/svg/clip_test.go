package svg

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
)

// lengthOf is the length of all strokes together.
func lengthOf(lines [][]geom.Point) float64 {
	sum := 0.0
	for _, line := range lines {
		sum += geom.Length(line)
	}
	return sum
}

func TestClipPathsCut(t *testing.T) {
	const band = `<path clip-path="url(#c)" fill="none" stroke="#000" d="M0 50h100"/>`
	for clip, want := range map[string]float64{ // what is left of the band
		`<clipPath id="c"><rect x="20" width="30" height="100"/></clipPath>`:                                       30,
		`<clipPath id="c"><circle cx="50" cy="50" r="20"/></clipPath>`:                                             40,
		`<clipPath id="c"><rect x="20" width="30" height="100"/><rect x="40" width="30" height="100"/></clipPath>`: 50, // any of them
		`<clipPath id="c"><path d="M10 0h80v100h-80zM30 0h40v100h-40z"/></clipPath>`:                               80, // non-zero
		`<clipPath id="c"><path clip-rule="evenodd" d="M10 0h80v100h-80zM30 0h40v100h-40z"/></clipPath>`:           40,
		`<clipPath id="c"><g><rect width="100" height="100"/></g></clipPath>`:                                      0, // no groups (CSS Masking 1, section 6)
		`<clipPath id="c"/>`: 0,
		`<clipPath id="c"><rect display="none" width="100" height="100"/></clipPath>`:                                                                       0,
		`<clipPath id="c"><rect id="r" width="5" height="100"/><use href="#r" x="50"/></clipPath>`:                                                          10,
		`<clipPath id="c" transform="translate(90)"><rect width="50" height="100"/></clipPath>`:                                                             10,
		`<clipPath id="d"><rect width="30" height="100"/></clipPath><clipPath id="c" clip-path="url(#d)"><rect x="10" width="50" height="100"/></clipPath>`: 20,
		`<clipPath id="d"><rect width="30" height="100"/></clipPath><clipPath id="c"><rect clip-path="url(#d)" x="10" width="50" height="100"/></clipPath>`: 20,
		`<clipPath id="c"><line x2="100" y2="100" stroke="#000"/></clipPath>`:                                                                               0,
	} {
		d, err := drawn(inside(clip + band + `<path d="M0 1h100" stroke="#000"/>`))
		require.NoError(t, err)
		require.InDelta(t, want+100, lengthOf(d.Strokes), 1e-2, clip)
	}
	// In units of the box around what is cut, whatever is painted of it.
	box := `<clipPath id="c" clipPathUnits="objectBoundingBox"><rect x="0.25" y="0" width="0.5" height="1"/></clipPath>`
	require.InDelta(t, 40, lengthOf(strokes(t, inside(box+`<g clip-path="url(#c)" stroke="#000" fill="none"><path d="M10 50h80"/><path d="M90 49v2" stroke="none"/></g>`))), 1e-6)
	// A group is cut as a whole, and what is turned is cut where it lies.
	requirePoints(t, [][]geom.Point{down(pt(30, 70), pt(50, 70))}, strokes(t, inside(`<clipPath id="c"><rect x="20" width="20" height="100"/></clipPath>
		<g transform="translate(10 10)" clip-path="url(#c)" stroke="#000"><path d="M0 60h100"/></g>`)), "group")
}

// A fill that is cut has the edge of the clip path as its own, where it meets it.
func TestAFillThatIsCutHasAnEdgeThere(t *testing.T) {
	const clip = `<clipPath id="c"><rect x="50" width="50" height="100"/></clipPath>`
	half := math.Pi*20 + 40
	require.InDelta(t, half, lengthOf(strokes(t, inside(clip+`<circle clip-path="url(#c)" cx="50" cy="50" r="20"/>`))), 0.01)
	require.InDelta(t, half+math.Pi*20, lengthOf(strokes(t, inside(clip+`<circle clip-path="url(#c)" stroke="#000" cx="50" cy="50" r="20"/>`))), 0.01)
	require.InDelta(t, math.Pi*20, lengthOf(strokes(t, inside(clip+`<circle clip-path="url(#c)" fill="none" stroke="#000" cx="50" cy="50" r="20"/>`))), 0.01)
}

func TestWhatAClipPathCannotBeIsNamed(t *testing.T) {
	for content, want := range map[string]string{
		`<g clip-path="url(#none)">`:  "`url(#none)` names nothing in this file, and is left out",
		`<g clip-path="url(#p)">`:     "`url(#p)` names nothing in this file, and is left out",
		`<g clip-path="circle(50%)">`: "`clip-path`: cannot be read, and is passed over",
		`<clipPath id="c"><text>a</text><rect width="9" height="9"/></clipPath><g clip-path="url(#c)">`: "`<text>` is left out",
	} {
		d, err := drawn(inside(content + `<path id="p" d="M0 5h9" stroke="#000"/></g>`))
		require.NoError(t, err)
		require.Len(t, d.Notes, 1, content)
		require.Equal(t, want, d.Notes[0].Error())
	}
	require.Equal(t, "drawing-use-loop", string(faultOf(t, inside(`<clipPath id="c" clip-path="url(#c)"><rect width="9" height="9"/></clipPath><path clip-path="url(#c)" d="M0 5h9" stroke="#000"/>`)).Code))
	require.Equal(t, "drawing-use-loop", string(faultOf(t, inside(`<clipPath id="c"><rect clip-path="url(#c)" width="9" height="9"/></clipPath><path clip-path="url(#c)" d="M0 5h9" stroke="#000"/>`)).Code))
}

// The rows of a hatched area are as long together as its area over the spacing,
// within what the border takes.
func TestFillsAreHatched(t *testing.T) {
	hatched := func(content string, spacing float64) [][]geom.Point {
		d, err := Read(sourceOf(inside(content)), free)
		require.NoError(t, err)
		got, err := d.Draw(Options{ToleranceMM: 0.01, Fills: Hatch, SpacingMM: spacing, Angle: 45, Context: context.Background(), Charge: free})
		require.NoError(t, err)
		return got.Strokes
	}
	rows := func(lines [][]geom.Point) float64 {
		sum := 0.0
		for _, line := range lines {
			for i := 1; i < len(line); i++ {
				if d := line[i].Sub(line[i-1]); math.Abs(d.X-d.Y) < 1e-6*d.Length() {
					sum += d.Length()
				}
			}
		}
		return sum
	}
	for content, area := range map[string]float64{
		`<circle cx="50" cy="50" r="30"/>`:                                                                                900 * math.Pi,
		`<path d="M10 10h80v80h-80zM30 30h40v40h-40z"/>`:                                                                  6400,
		`<path fill-rule="evenodd" d="M10 10h80v80h-80zM30 30h40v40h-40z"/>`:                                              6400 - 1600,
		`<rect x="50" width="100" height="50"/>`:                                                                          2500, // cut at the page
		`<clipPath id="c"><rect width="50" height="100"/></clipPath><circle clip-path="url(#c)" cx="50" cy="50" r="30"/>`: 450 * math.Pi,
	} {
		got := hatched(content, 1)
		require.NotEmpty(t, got, content)
		// Where rows part around a hole, some are gone over twice.
		require.Greater(t, rows(got), 0.94*area, content)
		require.Less(t, rows(got), 1.25*area, content)
	}
	// White is the paper: it has an outline alone.
	require.Len(t, hatched(`<rect width="9" height="9" fill="#fff"/>`, 1)[0], 5)
	require.InDelta(t, 36, lengthOf(hatched(`<rect width="9" height="9" fill="#fff"/>`, 1)), 1e-9)
}

func TestColoursThatLeaveNothingAreKnown(t *testing.T) {
	for text, want := range map[string][2]float64{
		"white": {1, 1}, "#fff": {1, 1}, "#FFFFFF": {1, 1}, "#ffff": {1, 1}, "#ffffff00": {1, 0}, "#0000": {0, 0}, "#080": {0, 1},
		"rgb(255,255,255)": {1, 1}, "rgb(100%, 100%, 50%)": {0.5, 1}, "rgba(255 255 255 / 0)": {1, 0}, "rgb(51,102,153)": {0.2, 1},
		"hsla(0, 100%, 50%, 0)": {0, 0}, "snow": {250.0 / 255, 1}, "black": {0, 1}, "currentColor": {0, 1}, "#12": {0, 1}, "rgb(": {0, 1}, "": {0, 1},
	} {
		darkest, alpha := colour(text)
		require.InDelta(t, want[0], darkest, 1e-9, text)
		require.InDelta(t, want[1], alpha, 1e-9, text)
	}
}
