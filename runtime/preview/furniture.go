package preview

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"strconv"

	"github.com/golang/freetype/truetype"
	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/math/fixed"

	"wend/runtime/geom"
)

// faces are the letters of a picture, in two sizes.
type faces struct{ small, large font.Face }

func newFaces(em float64) (faces, error) {
	letters, err := truetype.Parse(goregular.TTF)
	if err != nil {
		return faces{}, err
	}
	face := func(size float64) font.Face {
		// At 72 dots per inch a point is a pixel.
		return truetype.NewFace(letters, &truetype.Options{Size: math.Round(size), DPI: 72, Hinting: font.HintingNone})
	}
	return faces{small: face(em), large: face(em * titleSize)}, nil
}

// furniture draws what stands around a line: the page's edges, the rulers,
// words. It is coverage like all else.
type furniture struct {
	faces
	*plane
	image image.Alpha // the same pixels
}

func newFurniture(w, h int, letters faces) *furniture {
	p := newPlane(w, h)
	return &furniture{faces: letters, plane: p, image: image.Alpha{Pix: p.pix, Stride: w, Rect: image.Rect(0, 0, w, h)}}
}

// bar fills a box of whole pixels.
func (f *furniture) bar(x0, y0, x1, y1 int, opacity uint8) {
	draw.Draw(&f.image, image.Rect(x0, y0, x1, y1), image.NewUniform(color.Alpha{A: opacity}), image.Point{}, draw.Over)
}

// outline draws the edge of a box, inside it.
func (f *furniture) outline(r image.Rectangle, width int, opacity uint8) {
	f.bar(r.Min.X, r.Min.Y, r.Max.X, r.Min.Y+width, opacity)
	f.bar(r.Min.X, r.Max.Y-width, r.Max.X, r.Max.Y, opacity)
	f.bar(r.Min.X, r.Min.Y+width, r.Min.X+width, r.Max.Y-width, opacity)
	f.bar(r.Max.X-width, r.Min.Y+width, r.Max.X, r.Max.Y-width, opacity)
}

// write sets text with its baseline at y; align 0 starts it at x, 1 ends it
// there, 0.5 centres it. It returns where the text ends.
func (f *furniture) write(face font.Face, text string, x, y, align float64, opacity uint8) float64 {
	width := font.MeasureString(face, text)
	at := fixed.Int26_6(math.Round(x*64)) - fixed.Int26_6(math.Round(float64(width)*align))
	d := font.Drawer{
		Dst:  &f.image,
		Src:  image.NewUniform(color.Alpha{A: opacity}),
		Face: face,
		Dot:  fixed.Point26_6{X: at, Y: fixed.I(int(math.Round(y)))},
	}
	d.DrawString(text)
	return float64(d.Dot.X) / 64
}

// fitted is the text cut to a width in px, with dots where something was cut.
func fitted(face font.Face, text string, width float64) string {
	measure := func(s string) float64 { return float64(font.MeasureString(face, s)) / 64 }
	if measure(text) <= width {
		return text
	}
	letters := []rune(text)
	for len(letters) > 0 && measure(string(letters)+"…") > width {
		letters = letters[:len(letters)-1]
	}
	return string(letters) + "…"
}

// The darkness of what surrounds a drawing, 255ths of graphite.
const (
	faintInk = 46  // page and area edges
	tickInk  = 150 // ticks
	unitInk  = 178 // the unit, which is read once
	wordInk  = 205 // numbers and words
	boldInk  = 240 // the title
)

// rules draws the page's edges and a millimetre scale on the left and below.
func (f *furniture) rules(l *layout) {
	fine := max(1, int(math.Round(0.055*l.em)))
	f.outline(l.area, fine, faintInk+40)
	f.outline(l.page, fine, faintInk)

	r := divide(l.scale, l.em)
	length := func(mm int) int {
		switch {
		case mm%r.coarse == 0:
			return int(math.Round(tickLength * l.em))
		case mm%r.middle == 0:
			return int(math.Round(0.68 * tickLength * l.em))
		}
		return int(math.Round(0.38 * tickLength * l.em))
	}
	rule := math.Round(rulerGap * l.em)
	down, across := l.window.Max.Y+int(rule), l.window.Min.X-int(rule)
	low := float64(down) + float64((tickLength+labelDrop-0.25)*l.em)
	numbers := float64(across) - float64((tickLength+0.42)*l.em) // right edge of those on the left
	f.bar(l.page.Min.X, down, l.page.Max.X+fine, down+fine, tickInk)
	f.bar(across-fine, l.page.Min.Y, across, l.page.Max.Y+fine, tickInk)
	for mm := 0; float64(mm) <= l.size.X+geom.SamePoint; mm += r.fine {
		x := l.spot(geom.Point{X: float64(mm)}).x
		left := int(math.Floor(x - float64(fine)/2 + 0.5))
		f.bar(left, down+fine, left+fine, down+length(mm), tickInk)
		if mm%r.coarse == 0 {
			f.write(f.small, strconv.Itoa(mm), x, low, 0.5, wordInk)
		}
	}
	for mm := 0; float64(mm) <= l.size.Y+geom.SamePoint; mm += r.fine {
		y := l.spot(geom.Point{Y: float64(mm)}).y
		top := int(math.Floor(y - float64(fine)/2 + 0.5))
		f.bar(across-length(mm), top, across-fine, top+fine, tickInk)
		if mm%r.coarse == 0 {
			f.write(f.small, strconv.Itoa(mm), numbers, y+float64(0.36*l.em), 1, wordInk)
		}
	}
	f.write(f.small, "mm", numbers, low, 1, unitInk)
}

// heading sets the title and the line of text above the drawing.
func (f *furniture) heading(l *layout, title, text string) {
	left, right := float64(l.area.Min.X), float64(l.area.Max.X)
	text = fitted(f.small, text, (right-left)*0.62)
	room := right - left - float64(font.MeasureString(f.small, text))/64 - float64(2*l.em)
	f.write(f.large, fitted(f.large, title, room), left, l.head, 0, boldInk)
	f.write(f.small, text, right, l.head, 1, wordInk)
}
