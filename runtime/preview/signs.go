package preview

import (
	"image"
	"math"
	"strconv"

	"wend/runtime/geom"
)

// surround draws marks, rulers, heading and legend.
func (a *art) surround(pic Picture, opts Options) error {
	f, err := newFurniture(a.w, a.h, a.em)
	if err != nil {
		return err
	}
	f.rules(a.layout)
	f.heading(a.layout, pic.Title, pic.Text)
	a.legend(f, pic, opts)
	a.rule = f.plane()
	return nil
}

// nameRoom is the longest name of a line in the legend, in em.
const nameRoom = 12

// legendLength is how long the legend can get, in em.
func (opts Options) legendLength() float64 {
	const ends, sample = 25, 5
	length := ends + sample + 5.0 // the last for "off the page"
	if opts.Overlay != nil {
		length += 2 * (sample + nameRoom)
	}
	if opts.MarkAdded {
		length += 2*sample + 9
	}
	return length
}

// legend says in words below the drawing where the line begins and ends, and
// shows a sample of every other sign in the picture.
func (a *art) legend(f *furniture, pic Picture, opts Options) {
	em := func(n float64) float64 { return float64(n * a.em) }
	x := float64(a.area.Min.X)
	middle := math.Round(a.foot-em(0.36)) + 0.5
	words := func(text string) {
		x = f.write(f.small, text, x, a.foot, 0, wordInk) + em(2)
	}
	if first, last, any := ends(pic.Points); any {
		a.begin, a.end = newPlane(a.w, a.h), newPlane(a.w, a.h)
		fine := a.fineNib()
		a.markBegin(first)
		fine.ring(a.begin, spot{x + em(0.4), middle}, em(0.36))
		x += em(1.3)
		words("begins at " + coordinates(first))
		a.markEnd(last)
		fine.diamond(a.end, spot{x + em(0.45), middle}, em(0.46))
		x += em(1.35)
		words("ends at " + coordinates(last))
	}
	width := max(2, min(float64(pic.LineWidthMM*a.scale), em(0.5)))
	sample := func(p **plane, width float64) {
		if *p == nil {
			*p = newPlane(a.w, a.h)
		}
		pen := newNib(width, a.whole())
		pen.capsule(*p, spot{x + em(0.25), middle}, spot{x + em(2.35), middle})
	}
	named := func(text string) {
		x += em(3.1)
		words(text)
	}
	if opts.Overlay != nil {
		sample(&a.line[drawn], width)
		named(fitted(f.small, opts.Overlay.Under, em(nameRoom)))
		sample(&a.second, max(1.2, threadShare*width))
		named(fitted(f.small, opts.Overlay.Name, em(nameRoom)))
	}
	if opts.MarkAdded {
		sample(&a.line[link], width)
		named("link")
		sample(&a.line[drawn], width)
		sample(&a.line[retrace], max(1, retraceShare*width))
		named("gone over again")
	}
	if a.line[outside] != nil {
		sample(&a.line[outside], width)
		named("off the page")
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
