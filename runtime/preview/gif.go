package preview

import (
	"bytes"
	"context"
	"image"
	"image/color"
	"image/gif"
	"io"
	"math"

	"wend/runtime/geom"
)

// Growth says how a drawing grows in a GIF. The zero value is a picture about
// 800 pixels long that grows for 5 seconds, once.
type Growth struct {
	PixelsPerMM float64 // 0 chooses
	Frames      int     // 0 is 80; at most 200
	Seconds     float64 // from the first to the last frame; 0 is 5, the least 1
	HoldSeconds float64 // for which the whole drawing stays; 0 is 3, the least 1
	// Loop starts again after the last frame. Motion that goes on for more than
	// 5 seconds needs a way to halt it (WCAG 2.2, criterion 2.2.2), so the
	// usual picture comes to rest.
	Loop bool
}

const (
	growthLength = 800.0 // px along the longer side
	growthPixels = 2_000_000
	mostFrames   = 200
)

// GIF writes the picture as it grows, each frame as much longer as the one
// before. A diamond, on the page and on the rulers, goes with the end of the
// line. Frames hold only what changed. Nothing ever goes from dark to light
// but the marks, and the whole when it starts again, which is less than once
// in 2 seconds: far from the three flashes a second that WCAG 2.2, criterion
// 2.3.1, allows.
//
// Errors are those of w, of a page or a size that no picture can have, or
// ctx.Err().
func GIF(ctx context.Context, w io.Writer, pic Picture, growth Growth) error {
	l, err := pic.arrange(growth.PixelsPerMM, growthLength, Options{growing: true})
	if err != nil {
		return err
	}
	if l.w*l.h > growthPixels {
		return tooLarge(float64(l.w), float64(l.h), growthPixels)
	}
	frames := growth.Frames
	if frames <= 0 {
		frames = 80
	}
	points, stops := paced(pic.Points, min(frames, mostFrames))
	a := newArt(l, pic.LineWidthMM*l.scale)
	ln := newLine(&l.sheet, points, pic.LineWidthMM, nil)
	a.surround(pic)

	clear := uint8(len(a.paints.palette))
	palette := append(append(color.Palette{}, a.paints.palette...), color.RGBA{})
	still := image.NewPaletted(a.whole(), palette)
	movie := &gif.GIF{LoopCount: -1, Config: image.Config{ColorModel: palette, Width: l.w, Height: l.h}}
	if growth.Loop {
		movie.LoopCount = 0
	}
	var marks []image.Rectangle
	if _, last, any := ends(points); any {
		marks = a.markEnd(last)
	}
	from := 0
	for k, stop := range stops {
		if err := ctx.Err(); err != nil {
			return err
		}
		changed := ln.touched(from, stop)
		ln.pieces(&a.line, l.w, l.h, from, stop)
		from = stop
		dirty := append([]image.Rectangle{changed}, marks...)
		for _, r := range marks {
			a.end.wipe(r)
		}
		marks = a.markEnd(points[stop])
		dirty = append(dirty, marks...)
		var frame *image.Paletted
		if k == 0 {
			a.compose(still, still.Rect)
			frame = image.NewPaletted(still.Rect, palette)
			copy(frame.Pix, still.Pix)
		} else {
			frame = difference(a, still, dirty, clear)
		}
		movie.Image = append(movie.Image, frame)
		movie.Disposal = append(movie.Disposal, gif.DisposalNone)
	}
	if len(stops) == 0 {
		a.compose(still, still.Rect)
		movie.Image = append(movie.Image, still)
		movie.Disposal = append(movie.Disposal, gif.DisposalNone)
	}
	movie.Delay = delays(len(movie.Image), growth)
	var made bytes.Buffer
	if err := gif.EncodeAll(&made, movie); err != nil {
		return err
	}
	return remarked(w, made.Bytes())
}

// gifRemark is the comment by which a GIF of this package is known again.
const gifRemark = "drawn in one line by wend"

// remarked writes a GIF with that comment behind its table of colours, before
// any other block (GIF89a, CompuServe 1990, section 24).
func remarked(w io.Writer, made []byte) error {
	const header, fields = 13, 10 // signature and screen descriptor; its packed fields
	at := header
	if packed := made[fields]; packed&0x80 != 0 {
		at += 3 << (packed&7 + 1)
	}
	comment := append([]byte{0x21, 0xfe, byte(len(gifRemark))}, gifRemark+"\x00"...)
	for _, part := range [][]byte{made[:at], comment, made[at:]} {
		if _, err := w.Write(part); err != nil {
			return err
		}
	}
	return nil
}

// delays are the hundredths of a second for which each frame stays.
func delays(frames int, growth Growth) []int {
	span := func(seconds, usual float64) int {
		if !(seconds > 0) {
			seconds = usual
		}
		return int(math.Round(100 * max(1, min(seconds, 600))))
	}
	whole := span(growth.Seconds, 5)
	d := make([]int, frames)
	for i := range frames - 1 {
		d[i] = max(2, whole*(i+1)/(frames-1)-whole*i/(frames-1))
	}
	d[frames-1] = span(growth.HoldSeconds, 3)
	return d
}

// paced is the line with vertices added so that it can be cut into frames of
// equal length, and the vertex with which each frame ends, the first frame's
// being the start of the line. Both are empty for no line at all.
func paced(points []geom.Point, frames int) (line []geom.Point, stops []int) {
	length := newOutline(Picture{Points: points}).length
	per := length / float64(max(1, frames-1))
	travelled, next := 0.0, per
	for _, p := range points {
		p, ok := sound(p)
		if !ok {
			continue
		}
		if len(line) == 0 {
			line, stops = append(line, p), append(stops, 0)
			continue
		}
		last := line[len(line)-1]
		step := last.Distance(p)
		for step > 0 && len(stops) < frames-1 && travelled+step >= next {
			t := (next - travelled) / step
			line = append(line, geom.Point{
				X: last.X + float64((p.X-last.X)*t),
				Y: last.Y + float64((p.Y-last.Y)*t),
			})
			stops = append(stops, len(line)-1)
			next += per
		}
		travelled += step
		line = append(line, p)
	}
	if len(line) > 1 {
		if stops[len(stops)-1] == len(line)-1 {
			return line, stops
		}
		stops = append(stops, len(line)-1)
	}
	return line, stops
}

// wipe takes all ink off a box.
func (p *plane) wipe(r image.Rectangle) {
	for y := r.Min.Y; y < r.Max.Y; y++ {
		row := p.pix[y*p.w+r.Min.X : y*p.w+r.Max.X]
		for i := range row {
			row[i] = 0
		}
	}
}

// difference brings the still picture up to date in the dirty boxes and
// returns a frame of what changed, clear elsewhere.
func difference(a *art, still *image.Paletted, dirty []image.Rectangle, clear uint8) *image.Paletted {
	var all image.Rectangle
	for _, r := range dirty {
		all = all.Union(r)
	}
	if all.Empty() {
		all = image.Rect(0, 0, 1, 1)
	}
	frame := image.NewPaletted(all, still.Palette)
	for i := range frame.Pix {
		frame.Pix[i] = clear
	}
	before := image.NewPaletted(all, still.Palette)
	for y := all.Min.Y; y < all.Max.Y; y++ {
		copy(before.Pix[before.PixOffset(all.Min.X, y):][:all.Dx()], still.Pix[still.PixOffset(all.Min.X, y):][:all.Dx()])
	}
	for _, r := range dirty {
		a.compose(still, r)
	}
	seen := image.Rectangle{}
	for y := all.Min.Y; y < all.Max.Y; y++ {
		old := before.Pix[before.PixOffset(all.Min.X, y):][:all.Dx()]
		now := still.Pix[still.PixOffset(all.Min.X, y):][:all.Dx()]
		to := frame.Pix[frame.PixOffset(all.Min.X, y):][:all.Dx()]
		left, right := all.Dx(), -1
		for x := range now {
			if now[x] != old[x] {
				to[x] = now[x]
				left, right = min(left, x), x
			}
		}
		if right >= 0 {
			seen = seen.Union(image.Rect(all.Min.X+left, y, all.Min.X+right+1, y+1))
		}
	}
	if seen.Empty() {
		seen = image.Rect(all.Min.X, all.Min.Y, all.Min.X+1, all.Min.Y+1)
	}
	return frame.SubImage(seen).(*image.Paletted)
}
