package svg

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
	"wend/runtime/weave"
)

// lengthWith is how much there is to draw of what stands in 100 mm by 100 mm.
func lengthWith(t *testing.T, fills Fills, content string) float64 {
	d, err := Read(sourceOf(inside(content)), free)
	require.NoError(t, err)
	got, err := d.Draw(Options{ToleranceMM: 0.01, Fills: fills, SpacingMM: 2, Context: t.Context(), Charge: free})
	require.NoError(t, err)
	return lengthOf(got.Strokes)
}

// A line from 0 to 80 runs behind a square from 20 to 40: 80 mm and 80 around it,
// less the 20 that an opaque square hides.
func TestOpaqueFillsHideWhatLiesBehindThem(t *testing.T) {
	const line = `<path stroke="#000" d="M0 30h80"/>`
	square := func(attributes string) string {
		return `<rect x="20" y="20" width="20" height="20" ` + attributes + `/>`
	}
	gradient := `<linearGradient id="g"><stop offset="0" stop-color="#fff"/><stop offset="1" style="STOP"/></linearGradient>`
	for name, c := range map[string]struct {
		content string
		hidden  bool
	}{
		"black":              {line + square(""), true},
		"white":              {line + square(`fill="#fff"`), true},
		"stroked":            {line + square(`fill="red" stroke="#000"`), true},
		"in front":           {square("") + line, false},
		"no fill":            {line + square(`fill="none" stroke="#000"`), false},
		"transparent":        {line + square(`fill-opacity="0.5"`), false},
		"a sheer colour":     {line + square(`fill="#00000080"`), false},
		"in a sheer group":   {line + `<g opacity="0.5">` + square("") + `</g>`, false},
		"hidden":             {line + square("") + `<g visibility="hidden">` + square("") + `</g>`, true},
		"blurred":            {line + `<g filter="url(#f)">` + square("") + `</g>`, false},
		"masked":             {line + square(`mask="url(#m)"`), false},
		"an opaque gradient": {strings.Replace(gradient, "STOP", "stop-color:#000", 1) + line + square(`fill="url(#g)"`), true},
		"one that ends":      {strings.Replace(gradient, "STOP", "stop-opacity:0", 1) + line + square(`fill="url(#g)"`), false},
		"one by reference":   {strings.Replace(gradient, "STOP", "stop-opacity:0", 1) + `<radialGradient id="r" href="#g"/>` + line + square(`fill="url(#r)"`), false},
		"one of itself":      {`<radialGradient id="r" href="#r"/>` + line + square(`fill="url(#r)"`), false},
	} {
		t.Run(name, func(t *testing.T) {
			want := 160.0
			if c.hidden {
				want -= 20
			}
			require.InDelta(t, want, lengthWith(t, Cover, c.content), 1e-6)
			require.InDelta(t, 160.0, lengthWith(t, Outline, c.content), 1e-6)
		})
	}
}

// Of stacked squares the last one is whole, and each place is hatched once.
func TestStackedFillsAreHatchedOnce(t *testing.T) {
	const square = `<rect x="10" y="10" width="40" height="40"/>`
	one := lengthWith(t, Hatch, square)
	require.InDelta(t, one, lengthWith(t, Hatch, strings.Repeat(square, 5)), 1e-6)
	// Within the larger one, a white one is left free.
	got := lengthWith(t, Hatch, square+`<rect x="20" y="20" width="20" height="20" fill="#fff"/>`)
	require.InDelta(t, 160+80+(40*40-20*20)/2, got, 40)
}

// Where a fill shines through another, their rows lie on one another.
func TestRowsOfSheerFillsLieOnThoseBehind(t *testing.T) {
	const behind, sheer = `<rect x="10" y="10" width="40" height="40"/>`, `<rect x="21" y="17" width="11" height="13" fill-opacity="0.5"/>`
	d, err := Read(sourceOf(inside(behind+sheer)), free)
	require.NoError(t, err)
	got, err := d.Draw(Options{ToleranceMM: 0.01, Fills: Hatch, SpacingMM: 2, Angle: 45, Context: t.Context(), Charge: free})
	require.NoError(t, err)
	woven, err := weave.Weave(t.Context(), got.Strokes, weave.Options{})
	require.NoError(t, err)
	one, err := weave.Weave(t.Context(), got.Strokes[:1], weave.Options{})
	require.NoError(t, err)
	require.InDelta(t, one.DrawnMM+2*(11+13), woven.DrawnMM, 1e-3)
}

// A cover ends where its clip path and its viewport do.
func TestCoversAreClipped(t *testing.T) {
	const line = `<path stroke="#000" d="M0 30h80"/>`
	clipped := `<clipPath id="c"><rect x="30" width="50" height="100"/></clipPath>` + line + `<rect clip-path="url(#c)" x="20" y="20" width="20" height="20"/>`
	require.InDelta(t, 80+60-10, lengthWith(t, Cover, clipped), 1e-6)
	port := line + `<svg x="30" width="40" height="90"><rect x="-10" y="20" width="20" height="20"/></svg>`
	require.InDelta(t, 80+40-10, lengthWith(t, Cover, port), 1e-6)
}

// Many shapes that cover many others take work in proportion to how they lie, not
// to all pairs of them.
func TestCoversOfManyShapesAreFoundByTheirPlace(t *testing.T) {
	work := func(side int) int {
		var b strings.Builder
		for y := range side {
			for x := range side {
				step := 100 / float64(side)
				fmt.Fprintf(&b, `<circle cx="%v" cy="%v" r="%v"/>`, float64(x)*step, float64(y)*step, step)
			}
		}
		d, err := Read(sourceOf(inside(b.String())), free)
		require.NoError(t, err)
		sum := 0
		_, err = d.Draw(Options{ToleranceMM: 0.05, Largest: geom.Point{X: 100, Y: 100}, Fills: Cover, Context: t.Context(), Charge: func(operations, _ int) error {
			sum += operations
			return nil
		}})
		require.NoError(t, err)
		return sum
	}
	require.Less(t, work(40), 5*work(20), "four times as many circles")
}
