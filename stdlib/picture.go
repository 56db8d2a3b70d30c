package stdlib

import (
	"path"
	"slices"
	"strings"

	"wend/lang/diag"
	"wend/lang/types"
	"wend/runtime/geom"
	"wend/runtime/svg"
	"wend/runtime/value"
)

// pictureWords read pictures that were made elsewhere.
func pictureWords() []value.Native {
	return append([]value.Native{drawingWord()}, photoWords()...)
}

// fillWays are what `fills:` may be, the usual one first.
var fillWays = []struct {
	name  string
	fills svg.Fills
}{{"outline", svg.Outline}, {"cover", svg.Cover}, {"hatch", svg.Hatch}, {"none", svg.None}}

// WaysWithFills are the names of what may become of what is filled in a
// drawing, the usual one first.
func WaysWithFills() []string {
	names := make([]string, len(fillWays))
	for i, w := range fillWays {
		names[i] = w.name
	}
	return names
}

func drawingWord() value.Native {
	return value.Native{
		Builtin: &types.Builtin{
			Name: "drawing",
			Forms: []types.Form{lists(types.Path, of(types.Text, "file"), optional(of(types.Text, "fills")),
				optional(length("spacing")), optional(angle("angle")))},
			Doc: "The strokes of a drawing in a file (SVG 2), a list of paths in its true mm: y points up, and (0, 0) is the lower left of its viewport. " +
				"A stroked line is drawn along its middle, whatever its width, and dashed ones in dashes. What is filled is drawn by its outline. `fills: \"cover\"` also lets it hide what the file draws behind it, unless it is transparent. `fills: \"hatch\"` does so too, and hatches it within its outline, with rows `spacing` mm apart (2 if left out, never less than the line is wide) at an angle in degrees (45 if left out), unless it is white; `fills: \"none\"` leaves it out. " +
				"What is hidden, has no size or lies outside is left out, and so is what has no line, such as text that is not outlined: each kind of that is named once, with its place. " +
				"Curves are drawn finely enough for the whole to be enlarged to the page. The file lies beside the program that names it, or below.",
			Example: `let strokes = drawing("leaf.svg")
let line = weave(fit(strokes, width: 90, height: 90))
draw centered(line) at page.center
`,
		},
		Func: drawing,
	}
}

// How what is filled is hatched where nothing is said.
const (
	usualSpacingMM = 2.0
	usualAngle     = 45.0
)

func drawing(h value.Host, args []value.Value) (value.Value, error) {
	name := args[0].Text()
	if strings.ToLower(path.Ext(name)) != ".svg" {
		return value.Nothing, &diag.Fault{Code: "drawing-kind", Args: diag.Args{"name": name}}
	}
	fills := fillWays[0].fills
	if args[1].Kind() == types.Text {
		i := slices.Index(WaysWithFills(), args[1].Text())
		if i < 0 {
			return value.Nothing, &diag.Fault{Code: "drawing-fills", Args: diag.Args{
				"name": args[1].Text(), "known": "`" + strings.Join(WaysWithFills(), "`, `") + "`",
			}}
		}
		fills = fillWays[i].fills
	}
	spacing, degrees := usualSpacingMM, usualAngle
	if args[2].IsNumber() {
		var err error
		if spacing, err = stepOf("drawing", args[2]); err != nil {
			return value.Nothing, err
		}
		spacing = max(spacing, h.LineWidthMM())
	}
	if args[3].IsNumber() {
		degrees = args[3].Number()
	}
	file, err := h.Read(name)
	if err != nil {
		return value.Nothing, err
	}
	document, err := svg.Read(file, h.Charge)
	if err != nil {
		return value.Nothing, err
	}
	page := h.Page()
	drawn, err := document.Draw(svg.Options{
		ToleranceMM: h.ToleranceMM(),
		Largest:     geom.Point{X: page.Width(), Y: page.Height()},
		Fills:       fills,
		SpacingMM:   spacing,
		Angle:       degrees,
		Context:     h.Context(),
		Charge:      h.Charge,
	})
	if err != nil {
		return value.Nothing, err
	}
	for _, note := range drawn.Notes {
		h.Warn(note)
	}
	paths := make([]*value.Path, len(drawn.Strokes))
	for i, points := range drawn.Strokes {
		if err := h.Charge(len(points), len(points)*pointBytes+pathBytes+itemBytes); err != nil {
			return value.Nothing, err
		}
		paths[i] = &value.Path{Points: points}
	}
	return pathList(paths), nil
}
