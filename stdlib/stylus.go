package stdlib

import (
	"wend/lang/types"
	"wend/runtime/value"
)

// stylusWords are the words that the evaluator carries out itself.
func stylusWords() []value.Native {
	words := []types.Builtin{
		{
			Name: "ahead", Op: types.Ahead, May: types.Draws,
			Forms: []types.Form{takes(types.Nothing, length("distance"))},
			Doc:   "Goes straight on along the heading, distance mm; a negative distance goes backward. The heading stays.",
			Example: `begin 40, 30
loop 4 {
  ahead 50
  turn 90
}
`,
		},
		{
			Name: "turn", Op: types.Turn, May: types.Draws,
			Forms: []types.Form{takes(types.Nothing, angle("angle"))},
			Doc:   "Turns the heading by an angle in degrees: to the left if positive, to the right if negative. Leaves no line.",
			Example: `begin 30, 30
loop 5 {
  ahead 60
  turn 144
}
`,
		},
		{
			Name: "face", Op: types.Face, May: types.Draws,
			Forms: []types.Form{takes(types.Nothing, angle("angle"))},
			Doc:   "Sets the heading to an angle in degrees: 0 is to the right, along x, and 90 is up. Leaves no line.",
			Example: `begin 20, 20
face 90
ahead 40
face 0
ahead 60
`,
		},
		{
			Name: "reach", Op: types.Reach, May: types.Draws,
			Forms: []types.Form{
				takes(types.Nothing, length("x"), length("y")),
				takes(types.Nothing, of(types.Point, "p")),
			},
			Doc: "Draws a straight line to a point of the current frame, in mm: on the page, or in the figure's own frame within a figure. The heading stays.",
			Example: `begin 20, 20
reach 70, 80
reach (120, 20)
reach 20, 20
`,
		},
		{
			Name: "shift", Op: types.Shift, May: types.Draws,
			Forms: []types.Form{takes(types.Nothing, length("dx"), length("dy"))},
			Doc:   "Draws a straight line to the place dx mm to the right and dy mm up from here. The heading stays.",
			Example: `begin 10, 10
loop 8 {
  shift 10, 0
  shift 0, 8
}
`,
		},
		{
			Name: "arc", Op: types.Arc, May: types.Draws,
			Forms: []types.Form{takes(types.Nothing, length("radius"), angle("angle"))},
			Doc:   "Goes along a circle of a radius in mm (0 or more), starting along the heading, until the heading has turned by an angle in degrees. It turns to the left if the angle is positive, and to the right if it is negative.",
			Example: `begin 10, 50
face -90
loop 2 {
  arc 15, 180
  arc 15, -180
}
`,
		},
		{
			Name: "bezier", Op: types.Bezier, May: types.Draws,
			Forms: []types.Form{takes(types.Nothing, of(types.Point, "c1"), of(types.Point, "c2"), of(types.Point, "end"))},
			Doc:   "Draws a cubic Bézier curve from here to end, drawn toward c1 at its start and c2 at its end; all are points of the current frame, in mm. The heading stays.",
			Example: `begin 20, 20
bezier (20, 90), (120, 90), (120, 20)
`,
		},
		{
			Name: "spline", Op: types.Spline, May: types.Draws,
			Forms: []types.Form{takes(types.Nothing, of(types.List, "points"))},
			Doc:   "Draws a smooth line from here through all points of a list (a centripetal Catmull-Rom spline). The heading stays.",
			Example: `begin 10, 50
spline [(40, 80), (70, 30), (100, 80), (130, 50)]
`,
		},
		{
			Name: "sneak", Op: types.Sneak, May: types.Draws,
			Forms: []types.Form{
				takes(types.Nothing, length("x"), length("y")),
				takes(types.Nothing, of(types.Point, "p")),
			},
			Doc: "Goes to a point of the current frame, in mm, unseen where that is possible: over line that is there already, adding as little new line as it can. The heading stays.",
			Example: `begin 20, 20
loop 4 {
  ahead 60
  turn 90
}
sneak 80, 50
reach 120, 50
`,
		},
		{
			Name: "follow", Op: types.Follow, May: types.Draws,
			Forms: []types.Form{takes(types.Nothing, of(types.Path, "line"))},
			Doc:   "Draws a path where its own coordinates put it, like `draw line at (0, 0)`; the heading stays. If nothing was drawn and the program has no `begin`, the line begins at the path's first point; else the stylus goes there unseen as far as that is possible.",
			Example: `let ring = path { loop 6 { ahead 20; turn 60 } }
let rings = [ring.move(40, 30), ring.move(90, 30)]
follow weave(rings)
`,
		},
		{
			Name: "begin", Op: types.Begin, May: types.Draws | types.TopLevel | types.Outermost,
			Forms: []types.Form{
				takes(types.Nothing, length("x"), length("y")),
				takes(types.Nothing, of(types.Point, "p")),
			},
			Doc: "Says where on the page the line starts, in mm. It stands once a sheet, before any line of it: at the top, or directly behind `erase`. The machine walks there first and the sheet is wiped, so nothing of the way is left.",
			Example: `begin page.center
ahead 40
`,
		},
		{
			Name: "note", Op: types.Note,
			Forms: []types.Form{takes(types.Nothing, of(types.Any, "value"))},
			Doc:   "Prints a value, with the number of its line, to the person who runs the program; nothing is drawn. Numbers are shown with at most 4 decimals.",
			Example: `let side = 12
note "the area is {side * side} mm²"   # the area is 144 mm²
`,
		},
		{
			Name: "pause", Op: types.Pause, May: types.TopLevel,
			Forms: []types.Form{takes(types.Nothing, of(types.Text, "message"))},
			Doc:   "Makes the machine wait here until the operator goes on, and shows the message meanwhile.",
			Example: `ahead 50
pause "look: is the line dark enough?"
ahead 50
`,
		},
		{
			Name: "erase", Op: types.Erase, May: types.TopLevel | types.NoBranch,
			Forms: []types.Form{takes(types.Nothing)},
			Doc:   "Starts a new sheet: the eraser, or the operator, wipes the picture, while the stylus stays where it is. No files are written of a sheet without line.",
			Example: `ahead 60
erase
ahead 60
turn 90
ahead 40
`,
		},
		{
			Name: "seed", Op: types.Seed, May: types.TopLevel,
			Forms: []types.Form{takes(types.Nothing, number("n"))},
			Doc:   "Starts the random sequence anew from a whole number, 0 or more. The same seed always gives the same drawing; it is 1 if never said.",
			Example: `seed 7
begin 10, 50
loop 12 {
  shift 10, random(-20, 20)
  reach here.x, 50
}
`,
		},
		{
			Name: "here", Op: types.Here, Value: true, May: types.Stylus,
			Forms: []types.Form{takes(types.Point)},
			Doc:   "Where the stylus is: a point of the current frame, in mm.",
			Example: `ahead 30
note here   # (30, 0)
`,
		},
		{
			Name: "heading", Op: types.Heading, Value: true, May: types.Stylus,
			Forms: []types.Form{{Result: types.Number, Unit: types.Angle}},
			Doc:   "Where the stylus faces, in degrees: 0 or more and less than 360, 0 to the right and 90 up.",
			Example: `turn -90
note heading   # 270
`,
		},
		{
			Name: "page", Op: types.Page, Value: true,
			Forms: []types.Form{takes(types.Box)},
			Doc:   "The usable area, in mm, with (0, 0) at its lower left. `page.width` and `page.height` can be read in any place, the rest outside figures and `path { }` only, where it would have no meaning.",
			Example: `begin 0, 0
reach page.width, page.height
`,
		},
	}
	natives := make([]value.Native, len(words))
	for i := range words {
		natives[i] = value.Native{Builtin: &words[i]}
	}
	return natives
}
