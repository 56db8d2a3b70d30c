package preview

import (
	"image"
	"math"
	"slices"

	"wend/runtime/geom"
)

// layout is where everything on a picture stands, in pixels.
type layout struct {
	sheet
	w, h int
	em   float64         // the size of text, and the unit of all distances around it
	area image.Rectangle // the area's edge
	page image.Rectangle // the page's edge
	foot float64         // the baseline of the legend's first row
	head float64         // the baseline of the title

	faces   faces
	entries []entry // of the legend
}

const (
	usualLength  = 1600.0 // px along the longer side of a picture
	shareBeyond  = 0.3    // of the area's longer side: how much is shown of line that leaves it
	mostBeyond   = 20     // areas: how much is shown to get line into the picture that lies beyond all of that
	emShare      = 0.0142 // of the longer side of what is shown
	smallestText = 10.0   // px
)

// Around the drawing, in em.
const (
	rulerGap   = 0.85 // from the drawing to its rulers; pointers stand in it
	tickLength = 0.95
	labelRoom  = 2.5 // for numbers, beside the left ruler
	labelDrop  = 1.35
	outerEdge  = 1.5
	titleSize  = 1.5
	titleRoom  = 3.0
	legendRoom = 2.4
)

// view is what part of the plane is shown: the area, and some way around it
// where the line leaves it.
func (pic Picture) view(more []geom.Point) geom.Box {
	area := pic.Page.area()
	beyond := area.Grow(float64(shareBeyond * max(area.Width(), area.Height())))
	view := area
	for _, points := range [][]geom.Point{pic.Points, more} {
		line := extent(points)
		if line.Empty() {
			continue
		}
		// Line within the area needs no room of its own; line outside gets a
		// little air as well.
		air := pic.LineWidthMM/2 + float64(0.01*max(area.Width(), area.Height()))
		if all := area.Union(line); !line.Meets(beyond) && max(all.Width(), all.Height()) <= float64(mostBeyond*max(area.Width(), area.Height())) {
			// Else there would be nothing of the line in its picture.
			view = view.Union(line.Grow(air))
			continue
		}
		if line.Min.X < area.Min.X {
			view.Min.X = min(view.Min.X, max(line.Min.X-air, beyond.Min.X))
		}
		if line.Min.Y < area.Min.Y {
			view.Min.Y = min(view.Min.Y, max(line.Min.Y-air, beyond.Min.Y))
		}
		if line.Max.X > area.Max.X {
			view.Max.X = max(view.Max.X, min(line.Max.X+air, beyond.Max.X))
		}
		if line.Max.Y > area.Max.Y {
			view.Max.Y = max(view.Max.Y, min(line.Max.Y+air, beyond.Max.Y))
		}
	}
	return view
}

// arrange lays a picture out. length is the wanted length of the longer side
// in px where scale, in px per mm, is 0.
func (pic Picture) arrange(scale, length float64, opts Options) (*layout, error) {
	if err := pic.check(); err != nil {
		return nil, err
	}
	var more []geom.Point
	if opts.Overlay != nil {
		more = slices.Concat(opts.Overlay.Points, opts.Overlay.Unsure)
	}
	view := pic.view(more)
	long := max(view.Width(), view.Height())
	if opts.Bare {
		if !(scale > 0) {
			scale = length / long
		}
		return pic.bare(view, scale)
	}
	if !(scale > 0) {
		scale = length / (long * (1 + emShare*(rulerGap+tickLength+labelRoom+2*outerEdge+1)))
		if scale >= 4 {
			scale = math.Round(scale) // every millimetre is as wide as the next
		}
	}
	l := &layout{em: max(smallestText, emShare*long*scale)}
	if w, h := float64(view.Width()*scale)+float64(12*l.em), float64(view.Height()*scale)+float64(16*l.em); w*h > MaxPixels || w > longestSide || h > longestSide {
		return nil, tooLarge(w, h, MaxPixels)
	}
	left := math.Ceil((outerEdge + labelRoom + tickLength + rulerGap) * l.em)
	right := math.Ceil((outerEdge + 1) * l.em)
	above := math.Ceil((outerEdge + 1) * l.em)
	if pic.Title != "" || pic.Text != "" {
		above = math.Ceil((outerEdge + titleRoom) * l.em)
	}
	l.head = above - float64(1.35*l.em)
	below := (rulerGap + tickLength + labelDrop) * l.em
	width, height := math.Ceil(view.Width()*scale), math.Ceil(view.Height()*scale)
	faces, err := newFaces(l.em)
	if err != nil {
		return nil, err
	}
	entries, rows, widest := pic.legend(opts, faces.small, l.em, width)
	l.faces, l.entries = faces, entries
	// A very narrow page stands on a sheet that has room for the legend.
	l.w = int(max(left+width, left+math.Ceil(widest)) + right)
	l.foot = math.Floor(above + height + float64(below) + float64(legendRoom*l.em))
	l.h = int(math.Ceil(l.foot + float64((outerEdge+0.2+float64(rowHeight*float64(rows-1)))*l.em)))

	l.sheet = sheet{
		scale:  scale,
		origin: spot{left - float64(view.Min.X*scale), above + float64(view.Max.Y*scale)},
		size:   geom.Point{X: pic.Page.WidthMM, Y: pic.Page.HeightMM},
		window: image.Rect(int(left), int(above), int(left+width), int(above+height)),
	}
	l.page = l.pixels(pic.Page.Box())
	l.area = l.pixels(pic.Page.area())
	return l, nil
}

// bare is the layout of a view that fills the whole picture, all of it paper.
func (pic Picture) bare(view geom.Box, scale float64) (*layout, error) {
	w, h := math.Round(view.Width()*scale), math.Round(view.Height()*scale)
	if w*h > MaxPixels || w > longestSide || h > longestSide {
		return nil, tooLarge(w, h, MaxPixels)
	}
	whole := image.Rect(0, 0, max(1, int(w)), max(1, int(h)))
	return &layout{
		w: whole.Dx(), h: whole.Dy(), em: max(smallestText, emShare*max(w, h)), area: whole, page: whole,
		sheet: sheet{
			scale:  scale,
			origin: spot{-float64(view.Min.X * scale), float64(view.Max.Y * scale)},
			size:   geom.Point{X: pic.Page.WidthMM, Y: pic.Page.HeightMM},
			window: whole,
		},
	}, nil
}

// longestSide is the most pixels along a side that files hold well.
const longestSide = 65000

// pixels is the box rounded to whole pixels.
func (s *sheet) pixels(box geom.Box) image.Rectangle {
	low, high := s.spot(box.Min), s.spot(box.Max)
	round := func(v float64) int { return int(math.Floor(v + 0.5)) }
	return image.Rect(round(low.x), round(high.y), round(high.x), round(low.y))
}

// ruler is how a scale is divided, in mm: a tick at every fine step, a longer
// one at every middle step, the longest and a number at every coarse step.
type ruler struct{ fine, middle, coarse int }

// divide chooses the finest ruler that can be read at a scale in px per mm.
func divide(scale, em float64) ruler {
	choices := []ruler{{1, 5, 10}, {2, 10, 20}, {5, 10, 50}, {10, 50, 100}, {20, 100, 200}, {50, 100, 500},
		{100, 500, 1000}, {1000, 5000, 10000}, {10_000, 50_000, 100_000}}
	for _, r := range choices {
		if float64(r.fine)*scale >= 3.5 && float64(r.coarse)*scale >= 2.4*em {
			return r
		}
	}
	return choices[len(choices)-1]
}
