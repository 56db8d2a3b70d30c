// Package preview shows a line to people: as a sheet of drawing paper with a
// ruler (PNG), true to scale for other programs (SVG), as it grows (GIF), as a
// table of its vertices (CSV), many seeds on one sheet, and in the letters of
// a terminal.
//
// Pictures are made of coverage: how much of each pixel the line's ink lies
// on, in 255ths. Where ink meets ink the larger coverage stays, as on a
// scratched sheet: line gone over twice is no darker, and the order of drawing
// leaves no trace in the picture. Pixels are the same on every processor and
// for any number of workers.
package preview

import (
	"errors"
	"fmt"
	"math"

	"wend/runtime/geom"
	"wend/runtime/plan"
)

// Page is the paper: the size of what can be drawn on, with (0, 0) at its
// lower left, and the margin from its edges to those of the area, in mm.
type Page struct {
	WidthMM, HeightMM, MarginMM float64
}

// Box is the page, in page mm.
func (p Page) Box() geom.Box {
	return geom.Box{Max: geom.Point{X: p.WidthMM, Y: p.HeightMM}}
}

func (p Page) area() geom.Box { return p.Box().Grow(p.MarginMM) }

// Picture is a line and the paper it is shown on.
type Picture struct {
	Page Page
	// Points are the vertices of the line in page mm, y up. Those that are no
	// numbers are left out.
	Points []geom.Point
	// Place and Places say what each piece of line is for and where it was
	// written, as in plan.Sheet and plan.Plan. They may be absent where
	// neither is asked for.
	Place  []uint32
	Places []plan.Place
	// LineWidthMM is the width of the scratched line.
	LineWidthMM float64
	// Source is the name of the program or file whose line this is. Files say it
	// of themselves; it is not seen.
	Source string
	// Machine is the name of the profile that the line was planned for: on it hang
	// the size of the page, the width of the line and how much of it there is time
	// for. A PNG says it of itself; it is not seen.
	Machine string
	// Title is set large above the drawing, Text small at the other end of the
	// same row; either may be empty.
	Title, Text string
	// Unmarked leaves out the marks of beginning and end in a PNG: they would
	// cover what is to be measured.
	Unmarked bool
}

// Overlay is a second line over the first.
type Overlay struct {
	Points []geom.Point // page mm
	// Name and Under say in the legend what the second and the first line are,
	// for example "as drawn" and "as planned".
	Name, Under string
	// Unsure, if any, is a piece of line of which it is not known whether it is
	// there, page mm: a striped band. UnsureName says that in the legend.
	Unsure     []geom.Point
	UnsureName string
}

// Options say how a picture is drawn. The zero value is the everyday picture.
type Options struct {
	// PixelsPerMM is the scale; 0 chooses one for a picture about Length pixels
	// long.
	PixelsPerMM float64
	// Length is the picture's longer side in pixels where PixelsPerMM is 0; 0
	// is 1600.
	Length int
	// Bare leaves out all but the line on its paper: no rulers, marks or words.
	// Such a picture is Length pixels long to the pixel.
	Bare bool
	// MarkAdded shows links and retraced line, which Picture.Place must tell.
	MarkAdded bool
	// Overlay, if any, is drawn as a thin thread over the line, which becomes
	// a pale band.
	Overlay *Overlay
	// Inked, if any, is ink of the line that was laid before; it is stopped.
	Inked *Inking
	// Dimensions are measures that are drawn over the line; Bare leaves them out.
	Dimensions []Dimension

	growing bool // the mark of the end goes with the line as it grows
}

// MaxPixels is the largest picture that is drawn.
const MaxPixels = 120_000_000

func (pic Picture) check() error {
	p := pic.Page
	switch {
	case !positive(p.WidthMM), !positive(p.HeightMM), p.MarginMM < 0, math.IsNaN(p.MarginMM), p.MarginMM > largestMM:
		return errors.New("the page has no width or height to draw on, or its margin is not a length")
	case !positive(pic.LineWidthMM):
		return errors.New("the line width is not a positive number of mm")
	}
	return nil
}

// largestMM bounds every coordinate that is looked at: what lies farther away
// is taken to lie there, which no picture can show and no sum overflows at.
const largestMM = 1e6

func positive(mm float64) bool { return mm > 0 && mm <= largestMM }

func tooLarge(w, h float64, most int) error {
	return fmt.Errorf("a picture of %.0f × %.0f pixels is larger than the %d million that can be made: choose fewer pixels per mm",
		w, h, most/1_000_000)
}

// sound moves p to where pictures can be computed, and reports whether it is a
// place at all.
func sound(p geom.Point) (geom.Point, bool) {
	if p.X != p.X || p.Y != p.Y {
		return p, false
	}
	if p.X < -largestMM || p.X > largestMM || p.Y < -largestMM || p.Y > largestMM {
		p.X = max(-largestMM, min(p.X, largestMM))
		p.Y = max(-largestMM, min(p.Y, largestMM))
	}
	return p, true
}

// ends are the first and last vertices that are places, and whether there are any.
func ends(points []geom.Point) (first, last geom.Point, any bool) {
	for _, p := range points {
		if q, ok := sound(p); ok {
			first, any = q, true
			break
		}
	}
	for i := len(points) - 1; i >= 0; i-- {
		if q, ok := sound(points[i]); ok {
			return first, q, any
		}
	}
	return first, last, any
}

// extent is the box around the vertices that are places.
func extent(points []geom.Point) geom.Box {
	box := geom.EmptyBox()
	for _, p := range points {
		if q, ok := sound(p); ok {
			box = box.Include(q)
		}
	}
	return box
}

// has reports whether any piece of the line has a role.
func (pic Picture) has(role plan.Role) bool {
	for i := range len(pic.Points) - 1 {
		if pic.place(i).Role == role {
			return true
		}
	}
	return false
}

// place is what piece i of the line is for, and the statement it came from.
func (pic Picture) place(i int) plan.Place {
	if i >= 0 && i < len(pic.Place) && int(pic.Place[i]) < len(pic.Places) {
		return pic.Places[pic.Place[i]]
	}
	return plan.Place{}
}
