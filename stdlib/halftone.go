package stdlib

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"wend/lang/diag"
	"wend/lang/types"
	"wend/runtime/geom"
	"wend/runtime/halftone"
	"wend/runtime/tone"
	"wend/runtime/value"
)

func photoWords() []value.Native {
	picture := of(types.Image, "picture")
	return []value.Native{
		{
			Builtin: &types.Builtin{
				Name:  "image",
				Forms: []types.Form{takes(types.Image, of(types.Text, "file"))},
				Doc: "The picture in a file: PNG, JPEG, GIF (its first frame) or WebP of one frame, turned upright if the file says how. `picture.width` and `picture.height` are its size in pixels. " +
					"Colours become light, and what lets light through lies on white paper.",
				Example: `let moon = image("moon.png")
note moon.width   # 96
note fixed(moon.tone(0.45, 0.55), 1)   # 0.7
`,
			},
			Func: openImage,
		},
		{
			Builtin: &types.Builtin{
				Name:  "tone",
				Forms: []types.Form{gives(picture, number("x"), number("y"))},
				Doc:   "How light a picture is at a place, from 0 for black to 1 for white, in linear light. Places go from (0, 0) at the lower left to (1, 1) at the upper right; beyond the edges it is as light as at the edge.",
				Example: `let moon = image("moon.png")
begin 20, 15
loop row in 0..32 {
  loop step in 0..150 {
    let across = if mod(row, 2) == 0 { step / 150 } else { 1 - step / 150 }
    let dark = 1 - moon.tone(across, row / 32)
    reach 20 + 100 * across, 15 + 2.1 * row + dark * cos(180 * step)
  }
}
`,
			},
			Func: func(h value.Host, args []value.Value) (value.Value, error) {
				picture := args[0].Image().(*tone.Image)
				return value.Number(picture.At(args[1].Number(), args[2].Number())), nil
			},
		},
		{
			Builtin: &types.Builtin{
				Name:  "crop",
				Forms: []types.Form{takes(types.Image, picture, of(types.Point, "from"), of(types.Point, "to"))},
				Doc:   "A part of a picture: from its lower left corner to its upper right one, as places from (0, 0) to (1, 1) in the whole.",
				Example: `let moon = image("moon.png")
let part = crop(moon, (0.25, 0.25), (0.75, 0.75))
note part.width   # 48
`,
			},
			Func: crop,
		},
		{
			Builtin: &types.Builtin{
				Name: "halftone",
				Forms: []types.Form{takes(types.Path, picture,
					optional(length("width")), optional(of(types.Text, "style")), optional(number("minutes")), optional(number("metres")), optional(number("contrast")), optional(of(types.Bool, "refine")))},
				Doc: "One line with the tones of a picture, its lower left corner at (0, 0), whose ink stays within the picture. `style` is how it runs: " + stylesInWords() + ". `refine: true` lets the line of any style evolve. The picture is `width` mm wide, or as large as the page allows. " +
					"`minutes` is how long this machine may draw, or `metres` how long the line may be; without either, it has all the ink of the picture. Less time leaves black black and white white, and makes all between lighter. " +
					"`contrast` is how much tones are stretched and details brought out: 1 is usual, 0 leaves the picture as it is.",
				Example: `follow halftone(image("moon.png"), width: 40)
`,
			},
			Costly: true,
			Func:   drawHalftone,
		},
		outlineWord(),
	}
}

// PictureStyles are the names of the ways in which the line of a picture may
// run, the usual one first.
func PictureStyles() []string {
	var names []string
	for _, s := range halftone.Styles() {
		names = append(names, s.Name)
	}
	return names
}

// stylesInWords is every style with how its line runs.
func stylesInWords() string {
	var all []string
	for _, s := range halftone.Styles() {
		all = append(all, fmt.Sprintf("`\"%s\"`, %s", s.Name, s.How))
	}
	all[0] = strings.Replace(all[0], ", ", ", the usual, ", 1)
	return strings.Join(all, "; ")
}

// StyleFault is what is wrong with the name of a style; nil if nothing is.
func StyleFault(name string) *diag.Fault {
	names := PictureStyles()
	if slices.Contains(names, name) {
		return nil
	}
	fault := &diag.Fault{Code: "picture-style", Args: diag.Args{"value": name, "known": "`" + strings.Join(names, "`, `") + "`"}}
	if near := diag.Nearest(name, names, 1); len(near) > 0 {
		fault.Hint = fmt.Sprintf("did you mean `%s`?", near[0])
	}
	return fault
}

func openImage(h value.Host, args []value.Value) (value.Value, error) {
	file, err := h.Read(args[0].Text())
	if err != nil {
		return value.Nothing, err
	}
	picture, err := tone.Decode(h.Context(), []byte(file.Text))
	var trouble *tone.Trouble
	if errors.As(err, &trouble) {
		return value.Nothing, imageFault(args[0].Text(), file.Name, trouble)
	}
	if err != nil {
		return value.Nothing, err
	}
	width, height := picture.Size()
	return value.OfImage(picture), h.Charge(width*height, picture.Bytes())
}

// PictureSize is the width and height in pixels of the picture in a file, by what
// stands at its beginning.
func PictureSize(file string) (width, height int, err error) { return tone.Size([]byte(file)) }

// imageFault says of a file by its name what is wrong with it as a picture.
func imageFault(name, file string, t *tone.Trouble) error {
	fault := &diag.Fault{Args: diag.Args{"name": name}, File: file}
	switch t.Kind {
	case tone.TooLarge:
		fault.Code = "image-size"
		fault.Args["width"], fault.Args["height"] = diag.Grouped(t.Width), diag.Grouped(t.Height)
	case tone.CutOff:
		fault.Code = "image-cut-off"
	case tone.Damaged:
		fault.Code = "image-damaged"
		fault.Args["format"] = t.Format
	default:
		fault.Code = "image-kind"
		what := "of no kind that is known here"
		switch t.Kind {
		case tone.Unsupported:
			what = "a " + t.Format + " file"
		case tone.Animated:
			what = "an animated WebP"
		}
		fault.Args["what"] = what
	}
	return fault
}

func crop(h value.Host, args []value.Value) (value.Value, error) {
	from, to := args[1].Point(), args[2].Point()
	if !(from.X >= 0 && from.Y >= 0 && to.X <= 1 && to.Y <= 1 && from.X < to.X && from.Y < to.Y) {
		return value.Nothing, &diag.Fault{Code: "crop-corners", Args: diag.Args{
			"x": show(from.X), "y": show(from.Y), "x2": show(to.X), "y2": show(to.Y),
		}}
	}
	return value.OfImage(args[0].Image().(*tone.Image).Crop(from.X, from.Y, to.X, to.Y)), nil
}

const (
	// halftoneWork is how many operations a square of a line's width costs.
	halftoneWork = 4000
	// halftoneBytes is the working memory for one.
	halftoneBytes = 400
	// mostGoal is the largest number of minutes or metres.
	mostGoal = 10_000
	// mostContrast brings out so much that a picture is all edges.
	mostContrast = 3
)

// about is a number to a tenth, or to two digits if it is less than one.
func about(x float64) string {
	if x < 1 {
		return fmt.Sprintf("%.2g", x)
	}
	return show(math.Round(x*10) / 10)
}

// given is a number that was given for a parameter.
func given(v value.Value) bool { return v.Kind() == types.Number }

// amount is the fault of a number that is not from least to most; what is wanted
// is said instead.
func amount(name string, v value.Value, least, most float64, wanted string) error {
	if x := v.Number(); x < least || x > most {
		return &diag.Fault{Code: "picture-amount", Args: diag.Args{"name": name, "value": show(x), "wanted": wanted}}
	}
	return nil
}

// pictureWidth is how wide a picture is to be drawn: as said, or as large as the
// page allows. Its height is aspect times that.
func pictureWidth(h value.Host, picture *tone.Image, said value.Value) (mm, aspect float64) {
	wide, high := picture.Size()
	aspect = float64(high) / float64(wide)
	if given(said) {
		return said.Number(), aspect
	}
	return min(h.Page().Width(), h.Page().Height()/aspect), aspect
}

// chargeCells charges work and memory for each square of a line's width.
func chargeCells(h value.Host, cells float64, work, bytes int) error {
	if cells > 0 && cells <= halftone.MostCells {
		return h.Charge(int(cells)*work, int(cells)*bytes)
	}
	return nil // it is refused for its size
}

func drawHalftone(h value.Host, args []value.Value) (value.Value, error) {
	picture := args[0].Image().(*tone.Image)
	o := halftone.Options{LineWidthMM: h.LineWidthMM(), Contrast: 1, Seed: h.Seed(), Progress: h.Progress}
	var aspect float64
	o.WidthMM, aspect = pictureWidth(h, picture, args[1])
	if args[2].Kind() == types.Text {
		o.Style = args[2].Text()
		if fault := StyleFault(o.Style); fault != nil {
			return value.Nothing, fault
		}
	}
	name, said := "", func(x float64) string { return "" }
	switch minutes, metres := args[3], args[4]; {
	case given(minutes) && given(metres):
		return value.Nothing, &diag.Fault{Code: "picture-two-goals"}
	case given(minutes):
		if err := amount("minutes", minutes, 1.0/60, mostGoal, "it takes at least a second, and at most 10,000 minutes"); err != nil {
			return value.Nothing, err
		}
		o.Goal = float64(60 * minutes.Number())
		o.Measure = func(_ context.Context, line []geom.Point) (float64, error) { return h.Seconds(line) }
		name, said = "minutes", func(x float64) string { return about(x/60) + " minutes" }
	case given(metres):
		if err := amount("metres", metres, 0.01, mostGoal, "it takes at least a hundredth of a metre, and at most 10,000 metres"); err != nil {
			return value.Nothing, err
		}
		o.Goal = float64(1000 * metres.Number())
		o.Measure = func(_ context.Context, line []geom.Point) (float64, error) { return geom.Length(line), nil }
		name, said = "metres", func(x float64) string { return about(x/1000) + " metres" }
	}
	if given(args[5]) {
		if err := amount("contrast", args[5], 0, mostContrast, "it goes from 0 to 3, and 1 is usual"); err != nil {
			return value.Nothing, err
		}
		o.Contrast = args[5].Number()
	}
	o.Refine = args[6].Kind() == types.Bool && args[6].Bool()
	if err := chargeCells(h, halftone.Cells(picture, o.WidthMM, o.LineWidthMM), halftoneWork, halftoneBytes); err != nil {
		return value.Nothing, err
	}
	result, err := halftone.Line(h.Context(), picture, o)
	if err != nil {
		return value.Nothing, pictureFault(err, o.WidthMM, o.LineWidthMM, aspect)
	}
	words := diag.Args{"found": said(result.Measured), "wanted": said(o.Goal), "name": name}
	switch {
	case result.Saturated:
		h.Warn(&diag.Fault{Code: "picture-saturated", Args: words})
	case result.Missed:
		h.Warn(&diag.Fault{Code: "picture-missed", Args: words})
	}
	return value.OfPath(&value.Path{Points: result.Points}), h.Charge(0, 16*len(result.Points))
}

// pictureFault is the fault of a picture that cannot be drawn so wide; any other
// error as it is.
func pictureFault(err error, widthMM, lineWidthMM, aspect float64) error {
	switch {
	case errors.Is(err, halftone.ErrTooSmall):
		least := math.Ceil(float64(halftone.FewestWidths*lineWidthMM) / min(aspect, 1))
		return &diag.Fault{Code: "picture-small", Args: diag.Args{
			"width": show(widthMM), "height": show(float64(widthMM * aspect)), "line": show(lineWidthMM), "least": show(least),
		}}
	case errors.Is(err, halftone.ErrTooLarge):
		return &diag.Fault{Code: "picture-large", Args: diag.Args{"width": show(widthMM), "line": show(lineWidthMM)}}
	case errors.Is(err, halftone.ErrBlank):
		return &diag.Fault{Code: "picture-blank"}
	}
	return err
}
