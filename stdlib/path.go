package stdlib

import (
	"math"
	"slices"

	"wend/lang/diag"
	"wend/lang/types"
	"wend/runtime/elementary"
	"wend/runtime/geom"
	"wend/runtime/value"
)

// pathWords are the functions that make paths from paths, and measure along them.
func pathWords() []value.Native {
	return append([]value.Native{
		{
			Builtin: &types.Builtin{
				Name: "scale",
				Forms: []types.Form{
					sameKind(line(), number("factor")),
					sameKind(line(), number("x"), number("y")),
				},
				Doc: "The path, or list of paths, stretched from its (0, 0) by a factor, or by one factor along x and one along y. Unequal factors change how far the heading turns as they change the directions.",
				Example: `figure tile() {
  loop 4 {
    ahead 20
    turn 90
  }
}

begin 10, 10
loop k in 1..4 {
  draw scale(tile(), k)
}
`,
			},
			Func: scale,
		},
		{
			Builtin: &types.Builtin{
				Name:  "rotate",
				Forms: []types.Form{sameKind(line(), angle("angle"))},
				Doc:   "The path, or list of paths, turned about its (0, 0) by an angle in degrees: to the left if positive.",
				Example: `let leaf = curve t in 0..180 = (t / 4, 8 * sin(t))
begin page.center
loop k in 0..4 {
  draw rotate(leaf, k * 72) at page.center
  reach page.center
}
`,
			},
			Func: func(h value.Host, args []value.Value) (value.Value, error) {
				paths, err := pathsOf(h, "rotate", args[0])
				if err != nil {
					return value.Nothing, err
				}
				return mapped("rotate", args[0], paths, geom.Rotation(args[1].Number()), nil)
			},
		},
		{
			Builtin: &types.Builtin{
				Name:  "mirror",
				Forms: []types.Form{sameKind(line(), angle("axis"))},
				Doc:   "The path, or list of paths, reflected in the line through its (0, 0) at an angle in degrees: axis 0 swaps up and down, 90 swaps left and right. What turned left turns right.",
				Example: `let wing = path {
  spline [(20, 30), (50, 25), (40, 5), (0, 0)]
}
begin page.center
draw wing at page.center
draw mirror(wing, 90) at page.center
`,
			},
			Func: func(h value.Host, args []value.Value) (value.Value, error) {
				paths, err := pathsOf(h, "mirror", args[0])
				if err != nil {
					return value.Nothing, err
				}
				return mapped("mirror", args[0], paths, geom.Mirroring(args[1].Number()), negated)
			},
		},
		{
			Builtin: &types.Builtin{
				Name: "move",
				Forms: []types.Form{
					sameKind(line(), length("dx"), length("dy")),
					sameKind(line(), of(types.Point, "offset")),
				},
				Doc: "The path, or list of paths, dx mm to the right and dy mm up in its frame, or by an offset that is a point. It shows with `draw … at`; `draw` alone begins a path where the stylus is.",
				Example: `let wave = curve t in 0..360 = (t / 4, 6 * sin(t))
begin 10, 20
loop k in 0..3 {
  draw move(wave, 0, 15 * k) at (10, 20)
}
`,
			},
			Func: func(h value.Host, args []value.Value) (value.Value, error) {
				paths, err := pathsOf(h, "move", args[0])
				if err != nil {
					return value.Nothing, err
				}
				return mapped("move", args[0], paths, geom.Translation(offsetOf(args[1:])), nil)
			},
		},
		{
			Builtin: &types.Builtin{
				Name:  "fit",
				Forms: []types.Form{sameKind(line(), optional(length("width")), optional(length("height")))},
				Doc:   "The path, or list of paths, made as large as a width and a height in mm allow, with the lower left of its bounds at (0, 0). It keeps its proportions; one of the two may be left out.",
				Example: `let heart = curves.cardioid(10).rotate(-90)
draw fit(heart, height: 80) at (20, 10)
note fit(heart, width: 40, height: 90).bounds.width   # 40
`,
			},
			Func: fit,
		},
		{
			Builtin: &types.Builtin{
				Name:  "centered",
				Forms: []types.Form{sameKind(line())},
				Doc:   "The path, or list of paths, moved so that the middle of its bounds is at (0, 0).",
				Example: `figure stairs() {
  loop 5 {
    shift 12, 0
    shift 0, 12
  }
}

begin 40, 20
draw centered(stairs()) at page.center
`,
			},
			Func: func(h value.Host, args []value.Value) (value.Value, error) {
				paths, err := pathsOf(h, "centered", args[0])
				if err != nil {
					return value.Nothing, err
				}
				if len(paths) == 0 {
					return value.Nothing, emptyList("centered")
				}
				center := boundsOf(paths).Center()
				return mapped("centered", args[0], paths, geom.Translation(center.Times(-1)), nil)
			},
		},
		reverseWord(),
		joinWord(),
		{
			Builtin: &types.Builtin{
				Name:  "spot",
				Forms: []types.Form{takes(types.Point, of(types.Path, "line"), length("mm"))},
				Doc:   "The point of a path that lies so many mm along it from its start. Less than 0 or more than the path's length is an error.",
				Example: `let hill = curve t in 0..180 = (t / 2, 40 * sin(t))
begin 20, 20
draw hill at (20, 20)
note spot(hill, 0)   # (0, 0)
`,
			},
			Func: spot,
		},
		{
			Builtin: &types.Builtin{
				Name:  "facing",
				Forms: []types.Form{gives(of(types.Path, "line"), length("mm"))},
				Doc:   "The heading of a path, in degrees, at the place that lies so many mm along it from its start: at a corner, of the piece that begins there.",
				Example: `figure corner() {
  ahead 30
  turn 60
  ahead 30
}

corner
note facing(corner(), 40)   # 60
`,
			},
			Func: facing,
		},
		{
			Builtin: &types.Builtin{
				Name:  "cut",
				Forms: []types.Form{lists(types.Path, of(types.Path, "line"), length("mm"))},
				Doc:   "The two parts of a path, as a list, cut at the place that lies so many mm along it. Both stay in the path's frame, and `join` of the two is the path.",
				Example: `let parts = cut(curve t in 0..360 = (t / 4, 20 * sin(t)), 60)
begin 20, 50
draw parts[1]
shift 0, -10
shift 0, 10
draw parts[2]
`,
			},
			Func: cut,
		},
		alongWord(),
		weaveWord(),
		tourWord(),
	}, pieceWords()...)
}

func scale(h value.Host, args []value.Value) (value.Value, error) {
	paths, err := pathsOf(h, "scale", args[0])
	if err != nil {
		return value.Nothing, err
	}
	x := args[1].Number()
	y := args[len(args)-1].Number()
	return mapped("scale", args[0], paths, geom.Scaling(x, y), func(turn float64) float64 { return stretchedTurn(turn, x, y) })
}

// stretchedTurn is how far a line turns that turned by turn degrees before it
// was stretched: its last direction, stretched, against its first.
func stretchedTurn(turn, x, y float64) float64 {
	if math.Signbit(x) != math.Signbit(y) {
		turn = -turn
	}
	x, y = math.Abs(x), math.Abs(y)
	if x == y || x == 0 || y == 0 {
		return turn + 0
	}
	// Stretching keeps the four directions of the axes, so it moves an angle
	// within its quarter turn only: whole quarters are kept.
	quarters := float64(math.Floor(turn/90) * 90)
	sin, cos := elementary.SinCosDegrees(turn - quarters)
	if math.Mod(quarters, 180) != 0 {
		x, y = y, x
	}
	within, _ := elementary.Atan2Degrees(float64(y*sin), float64(x*cos))
	return quarters + within
}

func negated(turn float64) float64 { return 0 - turn }

// offsetOf reads an offset given as a point or as two numbers.
func offsetOf(args []value.Value) geom.Point {
	if args[0].Kind() == types.Point {
		return args[0].Point()
	}
	return geom.Point{X: args[0].Number(), Y: args[1].Number()}
}

func fit(h value.Host, args []value.Value) (value.Value, error) {
	sizes := [2]float64{math.Inf(1), math.Inf(1)}
	for i, arg := range args[1:] {
		if arg.Kind() == types.Nothing {
			continue
		}
		sizes[i] = arg.Number()
		if sizes[i] <= 0 {
			return value.Nothing, &diag.Fault{Code: "fit-size", Args: diag.Args{"value": show(sizes[i]), "side": [2]string{"width", "height"}[i]}}
		}
	}
	if math.IsInf(sizes[0], 1) && math.IsInf(sizes[1], 1) {
		return value.Nothing, &diag.Fault{Code: "fit-without-size"}
	}
	paths, err := pathsOf(h, "fit", args[0])
	if err != nil {
		return value.Nothing, err
	}
	if len(paths) == 0 {
		return value.Nothing, emptyList("fit")
	}
	box := boundsOf(paths)
	flat := func(side string) error {
		return &diag.Fault{Code: "fit-flat", Args: diag.Args{"side": side}}
	}
	switch {
	case box.Width() == 0 && box.Height() > 0 && math.IsInf(sizes[1], 1):
		return value.Nothing, flat("width")
	case box.Height() == 0 && box.Width() > 0 && math.IsInf(sizes[0], 1):
		return value.Nothing, flat("height")
	}
	by, _ := geom.FitInto(box, sizes[0], sizes[1])
	return mapped("fit", args[0], paths, by, nil)
}

// within checks that a place mm along a path is on it.
func within(name string, p geom.Measured, mm float64) error {
	if mm < -geom.SamePoint || mm > p.Length()+geom.SamePoint {
		return &diag.Fault{Code: "beyond-path", Args: diag.Args{"name": name, "value": show(mm), "length": show(p.Length())}}
	}
	return nil
}

func spot(_ value.Host, args []value.Value) (value.Value, error) {
	p, mm := args[0].Path().Measured(), args[1].Number()
	if err := within("spot", p, mm); err != nil {
		return value.Nothing, err
	}
	return value.Point(p.Spot(mm).Point), nil
}

func facing(_ value.Host, args []value.Value) (value.Value, error) {
	p, mm := args[0].Path().Measured(), args[1].Number()
	if err := within("facing", p, mm); err != nil {
		return value.Nothing, err
	}
	heading, ok := p.Facing(mm)
	if !ok {
		return value.Nothing, noDirection("facing", "the path has no length")
	}
	return value.Number(heading), nil
}

func noDirection(name, reason string) error {
	return &diag.Fault{Code: "no-direction", Args: diag.Args{"name": name, "reason": reason}}
}

func cut(h value.Host, args []value.Value) (value.Value, error) {
	p := args[0].Path()
	if err := h.Charge(len(p.Points), len(p.Points)*pointBytes+2*(pathBytes+itemBytes)); err != nil {
		return value.Nothing, err
	}
	measured, mm := p.Measured(), args[1].Number()
	if err := within("cut", measured, mm); err != nil {
		return value.Nothing, err
	}
	before, after := measured.Cut(mm)
	// The turn goes with the second part: joined to the first, which turns by
	// nothing, it lies as it lay, and both together turn as the path did.
	return value.List([]value.Value{
		value.OfPath(&value.Path{Points: before}),
		value.OfPath(&value.Path{Points: after, Turn: p.Turn}),
	}), nil
}

func reverseWord() value.Native {
	return value.Native{
		Builtin: &types.Builtin{
			Name: "reverse",
			Forms: []types.Form{
				takes(types.Path, of(types.Path, "line")),
				rearranges(of(types.List, "items")),
				takes(types.Text, of(types.Text, "text")),
			},
			Doc: "A path run the other way (what turned left turns right), or the items of a list, or the characters of a text, in opposite order. For a list of paths each run the other way as well, write `reverse(map(lines, reverse))`.",
			Example: `let hook = path {
  ahead 40
  arc 10, 180
}
draw reverse(hook) at (40, 40)
note reverse([1, 2, 3])   # [3, 2, 1]
note reverse("pans")   # snap
`,
		},
		Func: func(h value.Host, args []value.Value) (value.Value, error) {
			switch v := args[0]; v.Kind() {
			case types.Path:
				p := v.Path()
				if err := h.Charge(len(p.Points), len(p.Points)*pointBytes+pathBytes); err != nil {
					return value.Nothing, err
				}
				roles := slices.Clone(p.Roles)
				slices.Reverse(roles)
				return value.OfPath(&value.Path{Points: geom.Reversed(p.Points), Turn: negated(p.Turn), Roles: roles}), nil
			case types.List:
				items := v.List()
				if err := h.Charge(len(items), len(items)*itemBytes); err != nil {
					return value.Nothing, err
				}
				result := slices.Clone(items)
				slices.Reverse(result)
				return ofItems(result), nil
			default:
				return reverseText(h, v)
			}
		},
	}
}

func joinWord() value.Native {
	return value.Native{
		Builtin: &types.Builtin{
			Name: "join",
			Forms: []types.Form{
				takes(types.Path, of(types.Path, "line"), rest(of(types.Path, "others"))),
				takes(types.Path, of(types.List, "lines")),
				takes(types.Text, of(types.List, "texts"), of(types.Text, "separator")),
			},
			Doc: "One path of several, each going on where the one before it ends and turned by what those before it turned, just as if they were drawn one after another; or one text of a list of texts, with a separator between them.",
			Example: `let wave = path {
  arc 8, 180
  arc 8, -180
}
begin 20, 50
face -90
draw join(wave, wave, wave)
note join(["fern", "moss"], " & ")   # fern & moss
`,
		},
		Func: func(h value.Host, args []value.Value) (value.Value, error) {
			if args[0].Kind() == types.Path {
				return joinPaths(h, args)
			}
			items := args[0].List()
			if len(args) == 2 {
				return joinTexts(h, items, args[1].Text())
			}
			if len(items) == 0 {
				return value.Nothing, emptyList("join")
			}
			if items[0].Kind() == types.Text {
				return value.Nothing, &diag.Fault{Code: "join-without-separator"}
			}
			if err := allOf("join", types.Path, items); err != nil {
				return value.Nothing, err
			}
			return joinPaths(h, items)
		},
	}
}

func joinPaths(h value.Host, items []value.Value) (value.Value, error) {
	total := 0
	for _, item := range items {
		total += len(item.Path().Points)
	}
	if err := h.Charge(total+len(items), total*pointBytes+pathBytes); err != nil {
		return value.Nothing, err
	}
	first := items[0].Path()
	joined := &value.Path{Points: append(make([]geom.Point, 0, total), first.Points...), Turn: first.Turn}
	for _, item := range items[1:] {
		p := item.Path()
		frame := geom.NewFrame(geom.Point{}, joined.Turn)
		frame.Origin = joined.Points[len(joined.Points)-1].Sub(frame.Vector(p.Points[0]))
		joined.Points = frame.Append(joined.Points, p.Points[1:])
		joined.Turn += p.Turn
	}
	return value.OfPath(joined), nil
}
