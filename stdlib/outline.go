package stdlib

import (
	"wend/lang/types"
	"wend/runtime/halftone"
	"wend/runtime/tone"
	"wend/runtime/value"
)

func outlineWord() value.Native {
	return value.Native{
		Builtin: &types.Builtin{
			Name:  "outline",
			Forms: []types.Form{lists(types.Path, of(types.Image, "picture"), optional(length("width")), optional(number("detail")))},
			Doc: "The edges of a picture as a list of few clean strokes, the one that is most to be seen first, with the picture's lower left corner at (0, 0). An edge runs where the tone changes most on the way across, found to a fraction of a pixel (Canny 1986, Devernay 1995); strokes whose ends look at one another over a small gap are one, and small turns are smoothed. " +
				"The picture is `width` mm wide, or as large as the page allows. `detail` is how much is shown: 1 is usual, 0.25 the boldest edges alone, 4 whatever the line can show.",
			Example: `let edges = outline(image("moon.png"), width: 60)
follow weave(edges)
`,
		},
		Costly: true,
		Func:   outlineOf,
	}
}

const (
	// outlineWork and outlineBytes are what a square of a line's width costs.
	outlineWork  = 100
	outlineBytes = 200
)

func outlineOf(h value.Host, args []value.Value) (value.Value, error) {
	picture := args[0].Image().(*tone.Image)
	o := halftone.OutlineOptions{LineWidthMM: h.LineWidthMM(), ToleranceMM: h.ToleranceMM(), Detail: 1}
	var aspect float64
	o.WidthMM, aspect = pictureWidth(h, picture, args[1])
	if given(args[2]) {
		if err := amount("detail", args[2], 0.25, 4, "it goes from 0.25, the boldest edges, over 1, the usual, to 4"); err != nil {
			return value.Nothing, err
		}
		o.Detail = args[2].Number()
	}
	if err := chargeCells(h, halftone.Cells(picture, o.WidthMM, o.LineWidthMM), outlineWork, outlineBytes); err != nil {
		return value.Nothing, err
	}
	lines, err := halftone.Outline(h.Context(), picture, o)
	if err != nil {
		return value.Nothing, pictureFault(err, o.WidthMM, o.LineWidthMM, aspect)
	}
	paths := make([]*value.Path, len(lines))
	for i, points := range lines {
		paths[i] = &value.Path{Points: points}
		if err := h.Charge(len(points), len(points)*pointBytes+pathBytes+itemBytes); err != nil {
			return value.Nothing, err
		}
	}
	return pathList(paths), nil
}
