package svg

import (
	"context"
	"fmt"
	"strings"

	"wend/lang/diag"
	"wend/runtime/geom"
	"wend/runtime/region"
)

// Fills says what becomes of areas that are filled.
type Fills int

const (
	Outline Fills = iota // their outline is drawn
	Cover                // so it is, and they hide what lies behind them
	Hatch                // they are hatched within it, unless they are white, and hide what lies behind them
	None                 // they are left out
)

// Options say how a drawing is drawn.
type Options struct {
	// ToleranceMM is how far a stroke may be from a curve of the drawing, once
	// the drawing is as large as it may become.
	ToleranceMM float64
	// Largest is the size in mm that the drawing may be enlarged to. It is not
	// enlarged here: its curves are drawn finely enough for it.
	Largest geom.Point
	Fills   Fills
	// Hatched areas have rows so many mm apart, at an angle in degrees to +x.
	SpacingMM, Angle float64
	Context          context.Context
	Charge           Charge
}

// Drawing is what there is to draw.
type Drawing struct {
	Strokes [][]geom.Point // mm, in the order of the file; each of two points or more
	Notes   []*diag.Fault  // what is not drawn as it was meant, as warnings
}

// The limits of what is drawn.
const (
	mostDrawn  = 1_000_000 // elements, those that `use` repeats counted each time
	mostPoints = 2_000_000 // points of all strokes
	farthestMM = 1e6       // from (0, 0)
	cutMM      = 1e10      // of what may be cut off by a viewport: so far, a double still tells edgeMM
	pointBytes = 16
)

// Draw finds the strokes. The error is a *diag.Fault, or that of Charge.
func (d *Document) Draw(o Options) (*Drawing, error) {
	view, known := d.view()
	tolerance := 0.1
	if known {
		tolerance = max(view.size.X, view.size.Y) / coarse
	}
	// At first only the size matters.
	sized := o
	if sized.Fills != None {
		sized.Fills = Outline
	}
	first, err := d.pass(view, tolerance, sized)
	if err != nil {
		return nil, err
	}
	if len(first.strokes) == 0 && first.outside != nil {
		// Editors let people draw beside the page. A viewer would show nothing.
		d.notes.add("outside", first.outside, "the whole drawing")
		view.open = true
		if first, err = d.pass(view, tolerance, sized); err != nil {
			return nil, err
		}
	}
	box := geom.EmptyBox()
	for _, s := range first.strokes {
		box = box.Union(geom.Bounds(s.points))
	}
	if box.Empty() {
		return nil, d.empty(first.notes)
	}
	grown := 1.0
	if larger, ok := geom.FitInto(box, o.Largest.X, o.Largest.Y); ok && finite(larger.XX) {
		grown = max(1, larger.XX)
	}
	second, err := d.pass(view, o.ToleranceMM/grown, o)
	if err != nil {
		return nil, err
	}
	drawing := &Drawing{}
	for _, s := range second.strokes {
		drawing.Strokes = append(drawing.Strokes, s.points)
	}
	drawing.Notes = second.notes.faults()
	if !known {
		// Without a size of its own, the drawing is as large as what is in it.
		move := geom.Bounds(drawing.Strokes[0])
		for _, s := range drawing.Strokes {
			move = move.Union(geom.Bounds(s))
		}
		for _, s := range drawing.Strokes {
			for i, p := range s {
				s[i] = p.Sub(move.Min)
			}
		}
	}
	return drawing, nil
}

// coarse is which part of its viewport the first look at a drawing may be off
// by.
const coarse = 200

// empty says why nothing of a drawing can be drawn.
func (d *Document) empty(n notes) error {
	fault := &diag.Fault{Code: "drawing-empty", Args: diag.Args{"name": d.file.Name}, File: d.file.Name}
	var left, unread []string
	for _, note := range n.list {
		if things[note.thing].code == "drawing-left-out" {
			left = append(left, note.what)
		} else {
			unread = append(unread, fmt.Sprintf("line %d: %s", note.span.From().Line, note.what))
		}
	}
	var said []string
	if len(left) > 0 {
		said = append(said, "left out: "+strings.Join(left, ", "))
	}
	if len(unread) > 0 {
		said = append(said, "could not be read: "+strings.Join(unread, ", "))
	}
	fault.Hint = strings.Join(said, "; ")
	return fault
}

// view is the outermost viewport.
type view struct {
	size   geom.Point // mm; (0, 0) if the drawing does not say it
	open   bool       // what lies outside is drawn, too
	matrix geom.Affine
	inner  measures
}

// view reads what the root says of its size: SVG 2, section 8.2, and where
// there is no page to fill, its view box in px.
func (d *Document) view() (view, bool) {
	var said declared
	d.declare(d.root, &said)
	m := measures{font: 16, root: 16}
	m.font = m.fontSize(said[ofFontSize], 16)
	m.root = m.font
	box, boxed := viewBox(d.root.attribute("viewBox"))
	boxed = boxed && box.Width() > 0 && box.Height() > 0
	if text := d.root.attribute("viewBox"); text != "" && !boxed {
		d.notes.addAt("attribute", d.valueSpan(d.root, "viewBox", 0, len(text)), "`viewBox`")
	}
	size := func(p property, of float64) (float64, bool) {
		if text := said[p]; text != "" && text != "auto" && !strings.HasSuffix(text, "%") {
			if x, ok := m.length(text, across); ok && x > 0 {
				return x, true
			}
		}
		return of, false
	}
	w, okW := size(ofWidth, box.Width())
	h, okH := size(ofHeight, box.Height())
	switch {
	case okW && !okH && boxed:
		h = float64(w * box.Height() / box.Width())
	case okH && !okW && boxed:
		w = float64(h * box.Width() / box.Height())
	case !boxed && !(okW && okH):
		onto := geom.Affine{XX: 1 / unitsPerMM, YY: -1 / unitsPerMM}
		m.width, m.height = 100, 100
		return view{matrix: onto, inner: m}, false
	}
	viewport := geom.Box{Max: geom.Point{X: w, Y: h}}
	inner := identity
	m.width, m.height = w, h
	if boxed {
		ratio, _ := aspectOf(d.root.attribute("preserveAspectRatio"))
		inner = ratio.into(box, viewport)
		m.width, m.height = box.Width(), box.Height()
	}
	mm := geom.Affine{XX: 1 / unitsPerMM, YY: -1 / unitsPerMM, Shift: geom.Point{Y: h / unitsPerMM}}
	return view{size: geom.Point{X: w / unitsPerMM, Y: h / unitsPerMM}, matrix: inner.Then(mm), inner: m}, true
}

// artist goes through the tree and draws.
type artist struct {
	*Document
	options   Options
	tolerance float64 // mm
	notes     notes
	room      int // points that may still be made
	drawn     int // elements
	made      int // vertices of areas since the last of them
	using     map[*element]bool
	sheet     window
	strokes   []stroke
	covered   []cover
	outside   *element // the first that does not lie within the viewports, or nil
	// In place of drawing, shapes are measured (measured) or become areas (areas).
	measured *geom.Box
	areas    *[]region.Region
}

// stroke is a line of the drawing, in mm.
type stroke struct {
	points []geom.Point
	// ground: it is the edge of a fill that has no edge within the viewport.
	ground bool
}

// state is what holds for an element, from those around it.
type state struct {
	style    style
	measures measures
	matrix   geom.Affine // user units to mm
	windows  []window
	clips    []*clip
	opacity  float64 // of all groups around it
	veiled   bool    // by a filter or a mask
}

func (d *Document) pass(v view, tolerance float64, o Options) (*artist, error) {
	a := &artist{Document: d, options: o, tolerance: tolerance, room: mostPoints, using: map[*element]bool{}}
	a.notes = notes{file: d.file, list: append([]note(nil), d.notes.list...)}
	s := state{style: initialStyle(), measures: v.inner, matrix: v.matrix, opacity: 1}
	if v.size.X > 0 && !v.open {
		a.sheet = windowOf(geom.Box{Max: v.size}, identity)
		s.windows = []window{a.sheet}
	}
	if err := a.element(d.root, s); err != nil {
		return nil, err
	}
	if err := a.hide(); err != nil {
		return nil, err
	}
	a.withoutGround()
	return a, nil
}

// withoutGround leaves out fills of the whole sheet, if there is more to see.
func (a *artist) withoutGround() {
	var kept []stroke
	for _, s := range a.strokes {
		if !s.ground {
			kept = append(kept, s)
		}
	}
	if len(kept) > 0 {
		a.strokes = kept
	}
}
