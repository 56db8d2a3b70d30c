package stdlib

import (
	"context"
	"slices"

	"wend/lang/diag"
	"wend/lang/types"
	"wend/runtime/region"
	"wend/runtime/shading"
	"wend/runtime/value"
)

func hatchWord() value.Native {
	return value.Native{
		Builtin: &types.Builtin{
			Name: "hatch",
			Forms: []types.Form{takes(types.Path, area("region"), length("spacing"), optional(angle("angle")),
				optional(of(types.Bool, "cross")), optional(of(types.Bool, "border")))},
			Doc: "One path that covers a region with straight rows, so many mm apart and at an angle in degrees (0 if left out): to and fro, from row to row along the border, and from part to part by the shortest links. `cross: true` lays a second set across. " +
				"The border is left out, and the rows stay within it by half the width of the line, unless `border: true` draws it too; so what is narrower than the line stays empty. A spacing under the width of the line counts as that width.",
			Example: `let leaf = curve t in 0..360 = (60 * cos(t), 22 * sin(t) * (1 - 0.6 * cos(t)))
follow hatch(leaf, 2, 35, border: true).move(page.center)
`,
		},
		Costly: true,
		Func: func(h value.Host, args []value.Value) (value.Value, error) {
			spacing, err := stepOf("hatch", args[1])
			if err != nil {
				return value.Nothing, err
			}
			within, err := workable(h, "hatch", args[0])
			if err != nil {
				return value.Nothing, err
			}
			degrees := 0.0
			if args[2].IsNumber() {
				degrees = args[2].Number()
			}
			line, err := shading.Hatch(h.Context(), within, degrees, said(args[3]), shadingOptions(h, spacing, args[4]), regionWork(h))
			return filled(h, "hatch", line, err)
		},
	}
}

func shadeWord() value.Native {
	return value.Native{
		Builtin: &types.Builtin{
			Name: "shade",
			Forms: []types.Form{takes(types.Path, area("region"), optional(of(types.Text, "style")), optional(number("tone")),
				optional(of(types.Bool, "border")))},
			Doc: "One path that covers a region evenly, as dark as a tone says: 0 is black, just under 1 nearly white, 0.5 if left out. The darker, the closer its lines, down to the width of the line. " +
				"The style `\"coil\"`, which is meant if none is given, follows the border inwards, turn within turn; where the region is narrow, one line runs along its middle; `\"furrows\"` are level rows; `\"tour\"` is the short way through points strewn evenly, which stay a line's width apart, so it is never darker than 0.07. The border is left out unless `border: true` draws it.",
			Example: `let drop = curve t in 0..360 = (22 * sin(t) * sin(t / 2), 40 * cos(t))
let styles = ["coil", "furrows", "tour"]
follow weave((1..3).map(fn(i) = shade(drop, style: styles[i], tone: 0.8).move(46 * i - 22, 50)))
`,
		},
		Costly: true,
		Func: func(h value.Host, args []value.Value) (value.Value, error) {
			i := 0
			if args[1].Kind() == types.Text {
				name := args[1].Text()
				if i = slices.IndexFunc(styles, func(s style) bool { return s.name == name }); i < 0 {
					return value.Nothing, &diag.Fault{Code: "shade-style", Args: diag.Args{"style": name}}
				}
			}
			tone := 0.5
			if args[2].IsNumber() {
				tone = args[2].Number()
			}
			if tone < 0 || tone >= 1 {
				return value.Nothing, &diag.Fault{Code: "shade-tone", Args: diag.Args{"value": show(tone)}}
			}
			within, err := workable(h, "shade", args[0])
			if err != nil {
				return value.Nothing, err
			}
			// What the line covers of a band as wide as the spacing is dark.
			options := shadingOptions(h, h.LineWidthMM()/(1-tone), args[3])
			line, err := styles[i].line(h.Context(), within, options, regionWork(h))
			return filled(h, "shade", line, err)
		},
	}
}

// style is a way in which a line covers a region.
type style struct {
	name string
	line func(context.Context, region.Region, shading.Options, region.Work) (shading.Line, error)
}

// styles are those of shade, the usual one first.
var styles = []style{{"coil", shading.Coil}, {"furrows", furrows}, {"tour", shading.Tour}}

func furrows(ctx context.Context, area region.Region, o shading.Options, work region.Work) (shading.Line, error) {
	return shading.Hatch(ctx, area, 0, false, o, work)
}

// said reports whether an optional yes-or-no value is there and yes.
func said(v value.Value) bool { return v.Kind() == types.Bool && v.Bool() }

func shadingOptions(h value.Host, spacing float64, border value.Value) shading.Options {
	return shading.Options{SpacingMM: max(spacing, h.LineWidthMM()), LineWidthMM: h.LineWidthMM(), ToleranceMM: h.ToleranceMM(), Border: said(border)}
}

// filled is a fill as a path.
func filled(h value.Host, name string, line shading.Line, err error) (value.Value, error) {
	switch {
	case err != nil:
		return value.Nothing, err
	case len(line.Points) == 0:
		return value.Nothing, &diag.Fault{Code: "region-flat", Args: diag.Args{"name": name}}
	}
	if err := h.Charge(weaveWork*len(line.Points), len(line.Points)*pointBytes); err != nil {
		return value.Nothing, err
	}
	return value.OfPath(&value.Path{Points: line.Points, Roles: line.Roles}), nil
}
