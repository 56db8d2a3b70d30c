package stdlib

import (
	"wend/lang/diag"
	"wend/lang/types"
	"wend/runtime/geom"
	"wend/runtime/value"
)

func contoursWord() value.Native {
	return value.Native{
		Builtin: &types.Builtin{
			Name:  "contours",
			Forms: []types.Form{lists(types.Path, of(types.Function, "f"), of(types.Box, "box"), number("level"), length("step"))},
			Doc: "The level lines of a function `f(x, y)` within a box, as a list of paths in its coordinates: the lines on which f is level. f is asked at the corners of cells no larger than a step in mm, so what is smaller may be missed; the lines themselves keep the drawing tolerance. " +
				"Closed ones end where they began, the others on the edge of the box; f is higher to their left.",
			Example: `fn height(x, y) = noise(x / 30, y / 30)
let lines = contours(height, page, -0.2, 5) + contours(height, page, 0, 5) + contours(height, page, 0.2, 5)
follow weave(lines)
`,
		},
		Func: func(h value.Host, args []value.Value) (value.Value, error) {
			step, err := stepOf("contours", args[3])
			if err != nil {
				return value.Nothing, err
			}
			box := args[1].Box()
			columns, rows := geom.ContourCells(box, step)
			corners := int(min(float64(columns+1)*float64(rows+1), mostSpots))
			if err := h.Charge(corners, corners*8); err != nil {
				return value.Nothing, err
			}
			lines, err := geom.Contours(func(p geom.Point) (float64, error) {
				v, err := h.Call(args[0], value.Number(p.X), value.Number(p.Y))
				if err == nil && !v.IsNumber() {
					err = &diag.Fault{Code: "contour-value", Args: diag.Args{"found": v.Kind().String(), "x": show(p.X), "y": show(p.Y)}}
				}
				if err != nil {
					return 0, err
				}
				return v.Number(), h.Charge(1, 0)
			}, box, args[2].Number(), step, h.ToleranceMM())
			if err != nil {
				return value.Nothing, err
			}
			result := make([]*value.Path, len(lines))
			for i, points := range lines {
				result[i] = &value.Path{Points: points}
				if err := h.Charge(len(points), len(points)*pointBytes+pathBytes+itemBytes); err != nil {
					return value.Nothing, err
				}
			}
			return pathList(result), nil
		},
	}
}
