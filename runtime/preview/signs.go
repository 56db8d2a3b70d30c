package preview

import (
	"image"
	"math"
	"strconv"

	"golang.org/x/image/font"

	"wend/runtime/geom"
	"wend/runtime/plan"
)

// surround draws marks, rulers, heading and legend.
func (a *art) surround(pic Picture) {
	f := newFurniture(a.w, a.h, a.faces)
	f.rules(a.layout)
	f.heading(a.layout, pic.Title, pic.Text)
	a.explain(f, pic)
	a.rule = f.plane
}

// nameRoom is the longest name of a line in the legend, in em.
const nameRoom = 14

// sign is a kind of entry in the legend.
type sign uint8

const (
	signBegin sign = iota
	signEnd
	signUnder
	signOver
	signUnsure
	signLink
	signRetrace
	signOutside
)

// entry is a sign of the picture and what it means.
type entry struct {
	sign sign
	text string
	x    float64 // where it stands in its row, px from the left
	row  int
}

const (
	markRoom   = 1.35 // from the start of an entry to its words, in em
	sampleRoom = 3.1
	entryGap   = 2.0
	rowHeight  = 1.7
)

// legend lists the signs of a picture and flows them into rows of a width in
// px. It returns how many rows there are and how wide the widest is.
func (pic Picture) legend(opts Options, face font.Face, em, width float64) (entries []entry, rows int, widest float64) {
	add := func(k sign, text string) {
		entries = append(entries, entry{sign: k, text: fitted(face, text, float64(nameRoom*em))})
	}
	if first, last, any := ends(pic.Points); any && !pic.Unmarked {
		add(signBegin, "begins at "+coordinates(first))
		if opts.growing {
			add(signEnd, "where the stylus is")
		} else {
			add(signEnd, "ends at "+coordinates(last))
		}
	}
	if opts.Overlay != nil {
		add(signUnder, opts.Overlay.Under)
		add(signOver, opts.Overlay.Name)
		if len(opts.Overlay.Unsure) > 0 {
			add(signUnsure, opts.Overlay.UnsureName)
		}
	}
	if opts.MarkAdded && pic.has(plan.Link) {
		add(signLink, "link")
	}
	if opts.MarkAdded && pic.has(plan.Retrace) {
		add(signRetrace, "gone over again")
	}
	if box := extent(pic.Points); !box.Empty() && !holds(pic.Page.Box().Grow(geom.SamePoint), box) {
		add(signOutside, "off the page")
	}
	x := 0.0
	for i := range entries {
		e := &entries[i]
		long := e.sign.room(em) + float64(font.MeasureString(face, e.text))/64
		if x > 0 && x+long > width {
			x, rows = 0, rows+1
		}
		e.x, e.row = x, rows
		widest = max(widest, x+long)
		x += long + float64(entryGap*em)
	}
	return entries, rows + 1, widest
}

func holds(outer, inner geom.Box) bool {
	return outer.Contains(inner.Min) && outer.Contains(inner.Max)
}

func (k sign) room(em float64) float64 {
	if k <= signEnd {
		return float64(markRoom * em)
	}
	return float64(sampleRoom * em)
}

// explain draws the legend below the drawing, and the marks where the line
// begins and ends.
func (a *art) explain(f *furniture, pic Picture) {
	em := func(n float64) float64 { return float64(n * a.em) }
	first, last, any := ends(pic.Points)
	if any && !pic.Unmarked {
		a.begin, a.end = a.clean(), a.clean()
		a.markBegin(first)
		a.markEnd(last)
	}
	fine := a.fineNib()
	width := max(2, min(float64(pic.LineWidthMM*a.scale), em(0.5)))
	for _, e := range a.entries {
		x := float64(a.window.Min.X) + e.x
		baseline := math.Round(a.foot + em(rowHeight*float64(e.row)))
		middle := math.Round(baseline-em(0.36)) + 0.5
		f.write(f.small, e.text, x+e.sign.room(a.em), baseline, 0, wordInk)
		sample := func(p **plane, width float64) {
			if *p == nil {
				*p = a.clean()
			}
			pen := newNib(width, a.whole())
			pen.capsule(*p, spot{x + em(0.25), middle}, spot{x + em(2.35), middle})
		}
		switch e.sign {
		case signBegin:
			fine.ring(a.begin, spot{x + em(0.4), middle}, em(0.36))
		case signEnd:
			fine.diamond(a.end, spot{x + em(0.45), middle}, em(0.46))
		case signUnder:
			sample(&a.line[drawn], width)
		case signOver:
			sample(&a.second, max(1.2, float64(threadShare*width)))
		case signUnsure:
			sample(&a.unsure[0], unsureShare*width)
		case signLink:
			sample(&a.line[link], width)
		case signRetrace:
			sample(&a.line[drawn], width)
			sample(&a.line[retrace], max(1, float64(retraceShare*width)))
		case signOutside:
			sample(&a.line[outside], width)
		}
	}
}

func (a *art) whole() image.Rectangle { return image.Rect(0, 0, a.w, a.h) }

func (a *art) fineNib() nib { return newNib(max(1, 0.1*a.em), a.whole()) }
func (a *art) markNib() nib { return newNib(max(1.2, 0.14*a.em), a.whole()) }

// pointers are the places beside the rulers that tell a point's coordinates.
func (a *art) pointers(s spot) (below, beside spot) {
	gap := float64(0.45 * a.em)
	return spot{s.x, float64(a.window.Max.Y) + gap}, spot{float64(a.window.Min.X) - gap, s.y}
}

// markBegin puts a ring around the place where the line begins, and smaller
// ones on the rulers. All lie under the line, never over it.
func (a *art) markBegin(p geom.Point) {
	s := a.spot(p)
	if !a.within(s) {
		return
	}
	mark, fine := a.markNib(), a.fineNib()
	mark.ring(a.begin, s, 0.95*a.em)
	below, beside := a.pointers(s)
	fine.ring(a.begin, below, 0.2*a.em)
	fine.ring(a.begin, beside, 0.2*a.em)
}

// markEnd puts a diamond around the place where the line ends, and smaller
// ones on the rulers. It returns the boxes of pixels that it may have inked.
func (a *art) markEnd(p geom.Point) []image.Rectangle {
	s := a.spot(p)
	if !a.within(s) {
		return nil
	}
	var boxes []image.Rectangle
	mark := func(n nib, at spot, radius float64) {
		n.diamond(a.end, at, radius)
		r := int(math.Ceil(radius+n.reach)) + 1
		x, y := int(at.x), int(at.y)
		boxes = append(boxes, image.Rect(x-r, y-r, x+r+1, y+r+1).Intersect(a.whole()))
	}
	mark(a.markNib(), s, 1.5*a.em)
	below, beside := a.pointers(s)
	mark(a.fineNib(), below, 0.42*a.em)
	mark(a.fineNib(), beside, 0.42*a.em)
	return boxes
}

func (a *art) within(s spot) bool {
	return s.x >= float64(a.window.Min.X) && s.x <= float64(a.window.Max.X) &&
		s.y >= float64(a.window.Min.Y) && s.y <= float64(a.window.Max.Y)
}

// coordinates are a place in words, to a tenth of a millimetre.
func coordinates(p geom.Point) string {
	tenth := func(v float64) string {
		return strconv.FormatFloat(math.Round(v*10)/10+0, 'f', -1, 64)
	}
	return tenth(p.X) + ", " + tenth(p.Y)
}
