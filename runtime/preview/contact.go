package preview

import (
	"context"
	"errors"
	"image"
	"io"
	"math"

	"wend/runtime/geom"
)

// Print is one picture of a contact sheet and the words under it.
type Print struct {
	Picture Picture
	Label   string
	Overlay *Overlay // a second line over the first, if any; its names are not shown
}

// ContactSheet writes a PNG of many pictures in rows, in their order, each
// with its label under it and an optional title above all. The file says of
// itself what the first of them says. Pages are shown
// without rulers and marks; line off a page is striped as always. The sheet's
// shape is near 4:3, its longer side about 2000 pixels.
//
// Errors are those of w, of a page that no picture can have, or ctx.Err().
func ContactSheet(ctx context.Context, w io.Writer, title string, prints []Print) error {
	if len(prints) == 0 {
		return errors.New("a contact sheet needs at least one picture")
	}
	wide, high := 0.0, 0.0 // the largest area, mm
	for _, p := range prints {
		if err := p.Picture.check(); err != nil {
			return err
		}
		wide = max(wide, p.Picture.Page.area().Width())
		high = max(high, p.Picture.Page.area().Height())
	}
	s := spread(len(prints), wide, high, title != "")
	if s.w*s.h > MaxPixels {
		return tooLarge(float64(s.w), float64(s.h), MaxPixels)
	}
	letters, err := newFaces(s.em)
	if err != nil {
		return err
	}
	f := newFurniture(s.w, s.h, letters)
	if title != "" {
		f.write(f.large, fitted(f.large, title, float64(s.w)-float64(4*s.em)), float64(s.at(0).X), float64(s.top)-float64(1.5*s.em), 0, boldInk)
	}
	cells := make([]*layout, len(prints))
	for i, p := range prints {
		corner := s.at(i)
		cells[i] = p.Picture.cell(s)
		label := fitted(f.small, p.Label, float64(s.cellW))
		f.write(f.small, label, float64(corner.X+s.cellW/2), float64(corner.Y+s.cellH)+float64(1.5*s.em), 0.5, wordInk)
	}
	paper := &art{layout: &layout{w: s.w, h: s.h}, paints: newPaints(), rule: f.plane}
	whole := image.NewPaletted(paper.whole(), paper.paints.palette)
	paper.compose(whole, whole.Rect)

	for i, l := range cells {
		pic := prints[i].Picture
		a := newArt(l, pic.LineWidthMM*l.scale)
		planes, err := newLine(&l.sheet, pic.Points, pic.LineWidthMM, nil).ink(ctx, l.w, l.h)
		if err != nil {
			return err
		}
		a.line = *planes
		if o := prints[i].Overlay; o != nil {
			if err := a.overlay(ctx, o, pic.LineWidthMM); err != nil {
				return err
			}
		}
		edge := newFurniture(l.w, l.h, letters)
		edge.outline(l.area, 1, faintInk+40)
		edge.outline(l.page, 1, faintInk)
		a.rule = edge.plane
		one := a.image()
		corner := s.at(i)
		for y := range l.h {
			copy(whole.Pix[whole.PixOffset(corner.X, corner.Y+y):], one.Pix[y*one.Stride:][:l.w])
		}
	}
	return encodePNG(w, whole, cells[0].scale, prints[0].Picture.Source, prints[0].Picture.Machine)
}

// grid is where the cells of a contact sheet stand, in px.
type grid struct {
	columns      int
	cellW, cellH int
	w, h         int
	top          int // of the first row
	em           float64
	gap, rowGap  int
}

const (
	contactLength = 2000.0
	contactRatio  = 4.0 / 3
)

// spread chooses the number of columns that brings the sheet nearest to its
// shape.
func spread(n int, wide, high float64, titled bool) grid {
	best, off := grid{}, math.Inf(1)
	for columns := 1; columns <= n; columns++ {
		g := grid{columns: columns, em: max(smallestText, 20-float64(0.5*float64(columns)))}
		rows := (n + columns - 1) / columns
		g.gap, g.rowGap = int(math.Round(1.8*g.em)), int(math.Round(3.4*g.em))
		g.top = int(math.Round(1.8 * g.em))
		if titled {
			g.top = int(math.Round(5 * g.em))
		}
		// Cells as large as the longer side allows, but never tiny.
		widest := (contactLength - float64(g.gap*(columns+1))) / float64(columns)
		highest := (contactLength - float64(g.top+g.rowGap*rows)) / float64(rows)
		scale := max(min(widest/wide, highest/high), 24/max(wide, high))
		g.cellW, g.cellH = max(4, int(wide*scale)), max(4, int(high*scale))
		g.w = g.gap + columns*(g.cellW+g.gap)
		g.h = g.top + rows*(g.cellH+g.rowGap)
		ratio := float64(g.w) / float64(g.h) / contactRatio
		if d := max(ratio, 1/ratio); d < off {
			best, off = g, d
		}
	}
	return best
}

// at is the upper left corner of cell i.
func (g grid) at(i int) image.Point {
	return image.Pt(g.gap+(i%g.columns)*(g.cellW+g.gap), g.top+(i/g.columns)*(g.cellH+g.rowGap))
}

// cell fits the picture's area into the middle of a cell.
func (pic Picture) cell(g grid) *layout {
	area := pic.Page.area()
	scale := min(float64(g.cellW)/area.Width(), float64(g.cellH)/area.Height())
	x := (float64(g.cellW) - float64(area.Width()*scale)) / 2
	y := (float64(g.cellH) - float64(area.Height()*scale)) / 2
	l := &layout{w: g.cellW, h: g.cellH, em: g.em}
	l.sheet = sheet{
		scale:  scale,
		origin: spot{x - float64(area.Min.X*scale), y + float64(area.Max.Y*scale)},
		size:   geom.Point{X: pic.Page.WidthMM, Y: pic.Page.HeightMM},
		window: image.Rect(0, 0, g.cellW, g.cellH),
	}
	l.page, l.area = l.pixels(pic.Page.Box()), l.pixels(area)
	return l
}
