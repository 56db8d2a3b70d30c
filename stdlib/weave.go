package stdlib

import (
	"wend/lang/diag"
	"wend/lang/types"
	"wend/runtime/geom"
	"wend/runtime/value"
	"wend/runtime/weave"
)

func weaveWord() value.Native {
	return value.Native{
		Builtin: &types.Builtin{
			Name: "weave",
			Forms: []types.Form{takes(types.Path, of(types.List, "strokes"),
				optional(of(types.Point, "start")), optional(of(types.Point, "end")))},
			Doc: "One path that covers all paths of a list, where they lie in their common frame: with the least new line to join separate parts, then with the least line gone over again. " +
				"Ends within half a line width of other line count as touching it. Where the path begins and ends may be said; it is chosen otherwise.",
			Example: `let wheel = [curve t in 0..360 = polar(30, t), curve t in 0..360 = polar(6, t)]
let spokes = (0..330 by 30).map(fn(a) = path { reach polar(40, a) }.move(polar(-5, a + 180)))
draw weave(wheel + spokes) at page.center
`,
		},
		Costly: true,
		Func: func(h value.Host, args []value.Value) (value.Value, error) {
			paths, err := pathsOf(h, "weave", args[0])
			if err != nil {
				return value.Nothing, err
			}
			if len(paths) == 0 {
				return value.Nothing, emptyList("weave")
			}
			strokes := make([][]geom.Point, len(paths))
			points := 0
			for i, p := range paths {
				strokes[i] = p.Points
				points += len(p.Points)
			}
			// Crossings may make many points of few: they are charged as they are
			// found, and again for what came out.
			if err := h.Charge(weaveWork*points, points*weaveBytes); err != nil {
				return value.Nothing, err
			}
			options := weave.Options{ToleranceMM: h.LineWidthMM() / 2, Start: pointOrNil(args[1]), End: pointOrNil(args[2]), Charge: h.Charge}
			if tooFarToWeave(strokes, options) {
				return value.Nothing, &diag.Fault{Code: "path-too-large", Args: diag.Args{"name": "weave"}}
			}
			woven, err := weave.Weave(h.Context(), strokes, options)
			if err != nil {
				return value.Nothing, err
			}
			if err := h.Charge(weaveWork*len(woven.Points), len(woven.Points)*pointBytes); err != nil {
				return value.Nothing, err
			}
			return value.OfPath(&value.Path{Points: woven.Points, Roles: woven.Roles}), nil
		},
	}
}

const (
	weaveWork  = 20  // operations that a point costs
	weaveBytes = 300 // working memory of a point
)

// tooFarToWeave reports whether a stroke or an end lies beyond what weaving
// works with.
func tooFarToWeave(strokes [][]geom.Point, options weave.Options) bool {
	room := geom.Box{}.Grow(weave.LimitMM)
	for _, end := range []*geom.Point{options.Start, options.End} {
		if end != nil && !room.Contains(*end) {
			return true
		}
	}
	for _, points := range strokes {
		box := geom.Bounds(points)
		if !room.Contains(box.Min) || !room.Contains(box.Max) {
			return true
		}
	}
	return false
}

func pointOrNil(v value.Value) *geom.Point {
	if v.Kind() != types.Point {
		return nil
	}
	p := v.Point()
	return &p
}
