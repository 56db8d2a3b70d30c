package stdlib

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"wend/lang/diag"
	"wend/lang/types"
	"wend/runtime/elementary"
	"wend/runtime/geom"
	"wend/runtime/value"
	"wend/stdlib/lettering"
)

// How a text is set, in the order of the parameters.
const (
	wordsArg = iota
	heightArg
	fontArg
	spacingArg
	leadingArg
	alignArg
	widthArg
	slantArg
	lettersArg
	onArg
	uprightArg
	rowsArg
)

func letteringParams() []types.Param {
	return []types.Param{
		of(types.Text, "words"), optional(length("height")), optional(of(types.Text, "font")),
		optional(length("spacing")), optional(length("leading")), optional(of(types.Text, "align")),
		optional(length("width")), optional(angle("slant")), optional(of(types.Function, "letters")),
	}
}

// letteringWords are the functions that write.
func letteringWords() []value.Native {
	return []value.Native{
		{
			Builtin: &types.Builtin{
				Name:  "text",
				Forms: []types.Form{takes(types.Path, append(letteringParams(), optional(of(types.Path, "on")), optional(of(types.Bool, "upright")), optional(of(types.Text, "rows")))...)},
				Doc: "A text as one line, with the left end of the first row's baseline at (0, 0). height is that of a capital in mm (8 if left out), font \"linden\" (plain) or \"brook\" (joined handwriting), align \"left\", \"center\", \"right\" or \"justify\". " +
					"`\\n` begins a row, and width breaks rows. spacing adds mm between letters, leading is the distance of baselines, slant leans the letters by degrees. " +
					"letters is a function that gives the path of a character, in mm on a baseline at y = 0. on sets the letters onto a path, turned with it or upright: at its start, or, as align says, in its middle or at its end. " +
					"rows says how the line goes from row to row: \"near\", from a letter to one below it with the way there over line that is drawn anyway, \"turns\", round beside the text, or \"ladders\", straight down there; \"ruled\" does that too and keeps all that joins letters on the baseline, for rows on ruled lines. " +
					"The line begins and ends on the baseline of its first and of its last row. So the way from one text to another need not cross either: go on level with `reach`, down beside them, and level to where the other begins, or, reversed, where it ends.",
				Example: `let above = text("TILDA & EMIL", height: 9)
let below = text("one line writes it", height: 6, font: "brook")
begin (20, 60) + above.start
draw above at (20, 60)
reach 120, 60
reach 120, 40
reach (20, 40) + below.end
draw reverse(below) at (20, 40)
`,
			},
			Func: writeText,
		},
		{
			Builtin: &types.Builtin{
				Name:  "text_box",
				Forms: []types.Form{takes(types.Box, letteringParams()...)},
				Doc:   "The box that a text fills, given as to `text`: in width from end to end of its rows, in height from the top of a capital in the first row to the tails of the last.",
				Example: `let box = text_box("MOSS", height: 10)
begin 70 - box.width / 2, 50
draw text("MOSS", height: 10) at (70 - box.width / 2, 50)
note box.height   # 13
`,
			},
			Func: func(h value.Host, args []value.Value) (value.Value, error) {
				block, err := setText(h, "text_box", args)
				if err != nil {
					return value.Nothing, err
				}
				return value.Box(block.Box()), nil
			},
		},
	}
}

// usualHeight of a capital, in mm.
const usualHeight = 8

// letterOperations is what setting one letter counts as.
const letterOperations = 64

// sizeRange is what a length of a text may be, in mm.
func sizeRange(name string, arg value.Value, otherwise, low, high float64) (float64, error) {
	if arg.Kind() == types.Nothing {
		return otherwise, nil
	}
	if mm := arg.Number(); mm >= low && mm <= high {
		return mm, nil
	}
	return 0, &diag.Fault{Code: "lettering-size", Args: diag.Args{
		"name": name, "value": show(arg.Number()), "low": show(low), "high": show(high),
	}}
}

const (
	leastSize   = 0.1    // mm
	largestSize = 10_000 // mm
	mostSlant   = 60     // degrees
)

// setText lays a text out.
func setText(h value.Host, word string, args []value.Value) (*lettering.Block, error) {
	words := args[wordsArg]
	if err := h.Charge(letterOperations*(words.Length()+1), 0); err != nil {
		return nil, err
	}
	var style lettering.Style
	var err error
	size := func(name string, arg int, otherwise, low float64) (mm float64) {
		if err == nil {
			mm, err = sizeRange(name, args[arg], otherwise, low, largestSize)
		}
		return mm
	}
	style.Height = size("height", heightArg, usualHeight, leastSize)
	style.Spacing = size("spacing", spacingArg, 0, -largestSize)
	style.Leading = size("leading", leadingArg, 0, leastSize)
	style.Width = size("width", widthArg, 0, leastSize)
	if err != nil {
		return nil, err
	}
	if slant := args[slantArg]; slant.Kind() != types.Nothing {
		if degrees := slant.Number(); !(math.Abs(degrees) <= mostSlant) {
			return nil, &diag.Fault{Code: "slant-range", Args: diag.Args{"value": show(degrees), "most": mostSlant}}
		}
		style.Slant, _ = elementary.TanDegrees(slant.Number())
	}
	if align := args[alignArg]; align.Kind() != types.Nothing {
		if style.Align, err = alignment(align.Text()); err != nil {
			return nil, err
		}
		if style.Align == lettering.Justify && style.Width == 0 {
			return nil, &diag.Fault{Code: "justify-width"}
		}
	}
	face, name, err := faceOf(h, args, style.Height)
	if err != nil {
		return nil, err
	}
	block, err := lettering.Set(face, words.Text(), style)
	return block, setFault(err, name, style)
}

// setFault says why a text could not be set.
func setFault(err error, font string, style lettering.Style) error {
	var missing *lettering.Missing
	var wide *lettering.TooWide
	switch {
	case errors.As(err, &missing):
		return missingLetters(missing, font)
	case errors.As(err, &wide):
		return &diag.Fault{Code: "word-too-wide", Args: diag.Args{
			"word": wide.Word, "wide": show(math.Ceil(wide.WidthMM*10) / 10), "width": show(style.Width),
			"height": show(math.Floor(style.Height*style.Width/wide.WidthMM*10) / 10),
		}}
	}
	return err
}

// missingLetters names all that a face lacks, and another face if it has them.
func missingLetters(missing *lettering.Missing, font string) *diag.Fault {
	var named []string
	for _, c := range missing.Characters {
		named = append(named, fmt.Sprintf("“%s” (%s), character %d", c.Cluster, c.CodePoints(), c.Place))
	}
	fault := &diag.Fault{Code: "glyph-missing", Args: diag.Args{"font": font, "characters": strings.Join(named, "; ")}}
	for _, name := range faceNames {
		lacks := func(c lettering.Character) bool {
			g, _ := faces[name]().Glyph(c.Cluster)
			return g == nil
		}
		if name != font && !slices.ContainsFunc(missing.Characters, lacks) {
			fault.Hint = "the font `" + name + "` has it"
			if len(missing.Characters) > 1 {
				fault.Hint = "the font `" + name + "` has them"
			}
		}
	}
	return fault
}

// faceOf is the face that a call asks for, and its name.
func faceOf(h value.Host, args []value.Value, height float64) (*lettering.Face, string, error) {
	name := faceNames[0]
	if font := args[fontArg]; font.Kind() != types.Nothing {
		name = font.Text()
	}
	face, err := faceNamed(name)
	if err != nil {
		return nil, "", err
	}
	letters := args[lettersArg]
	if letters.Kind() == types.Nothing {
		return face, name, nil
	}
	return lettering.Own(func(cluster string) ([]geom.Point, error) {
		if strings.TrimSpace(cluster) == "" {
			return nil, nil
		}
		drawn, err := h.Call(letters, value.Text(cluster))
		if err != nil {
			return nil, err
		}
		if drawn.Kind() != types.Path {
			return nil, &diag.Fault{Code: "letters-kind", Args: diag.Args{"found": drawn.Kind().String(), "character": cluster}}
		}
		points := drawn.Path().Points
		if err := h.Charge(letterOperations*len(points), 0); err != nil {
			return nil, err
		}
		if box := geom.Bounds(points); !letterRoom.Contains(box.Min) || !letterRoom.Contains(box.Max) {
			return nil, &diag.Fault{Code: "path-too-large", Args: diag.Args{"name": "letters"}}
		}
		return geom.Scaling(lettering.Cap/height, lettering.Cap/height).Append(nil, points), nil
	}), name, nil
}

// letterRoom is how large a letter of one's own may be.
var letterRoom = geom.Box{}.Grow(largestSize)

func writeText(h value.Host, args []value.Value) (value.Value, error) {
	block, err := setText(h, "text", args)
	if err != nil {
		return value.Nothing, err
	}
	rows := lettering.Near
	if args[onArg].Kind() != types.Nothing {
		rows = lettering.Ladders // letters are moved by themselves there
	}
	if ways := args[rowsArg]; ways.Kind() != types.Nothing {
		if rows, err = rowWay(ways.Text()); err != nil {
			return value.Nothing, err
		}
	}
	line, err := block.Line(h.Context(), rows, h.ToleranceMM())
	if err != nil {
		return value.Nothing, err
	}
	if args[onArg].Kind() != types.Nothing {
		b, ok := newBend(args[onArg].Path(), h.ToleranceMM())
		if !ok {
			return value.Nothing, noDirection("text", "the path that the letters are set on has no length")
		}
		line.Move(alongPath(block, args[alignArg], args[onArg].Path().Measured().Length()))
		upright := args[uprightArg].Kind() != types.Nothing && args[uprightArg].Bool()
		if err := b.carry(h, line, upright); err != nil {
			return value.Nothing, err
		}
	}
	points := line.Points()
	if err := h.Charge(len(points), len(points)*pointBytes+pathBytes); err != nil {
		return value.Nothing, err
	}
	return value.OfPath(&value.Path{Points: points, Roles: line.Roles()}), nil
}

// alongPath is how far along a path of some length, in mm, a text begins.
func alongPath(block *lettering.Block, align value.Value, length float64) float64 {
	if align.Kind() == types.Nothing {
		return 0
	}
	box := block.Box()
	switch lettering.Align(slices.Index(alignments[:], align.Text())) {
	case lettering.Center:
		return (length-box.Width())/2 - box.Min.X
	case lettering.Right:
		return length - box.Max.X
	}
	return 0
}

// carry moves a line of letters onto a path. Letters keep their shape: each is
// set with the middle of its foot on the path. What joins them follows the path
// where the letters do and is straight between upright ones.
func (b *bend) carry(h value.Host, l *lettering.Line, upright bool) error {
	at := func(x, y float64) geom.Point { return b.on(b.piece(x), geom.Point{X: x, Y: y}) }
	for i, p := range l.Pieces {
		if err := withinReach("text", p.Points); err != nil {
			return err
		}
		if err := h.Charge(len(p.Points), 0); err != nil {
			return err
		}
		switch {
		case p.Join && upright:
			l.Pieces[i].Points = nil
		case p.Join:
			points, err := b.path(h, p.Points)
			if err != nil {
				return err
			}
			l.Pieces[i].Points = points
		default:
			foot := at(p.Middle, 0)
			ahead := geom.Point{X: 1}
			if !upright {
				left := at(p.Middle, 1).Sub(foot)
				left = left.Times(1 / left.Length())
				ahead = geom.Point{X: left.Y, Y: -left.X}
			}
			by := geom.Translation(geom.Point{X: -p.Middle}).Then(geom.Affine{
				XX: ahead.X, XY: -ahead.Y, YX: ahead.Y, YY: ahead.X, Shift: foot,
			})
			l.Pieces[i].Points = by.Append(nil, p.Points)
		}
	}
	return nil
}
