package preview

import (
	"bytes"
	"context"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/png"
	"io"
	"math"

	"wend/runtime/plan"
)

// PNG writes the picture as a sheet of drawing paper: the page and its margin,
// a millimetre scale on two edges, the line at its real width, marks where it
// begins and ends, and whatever is off the page striped in another colour. It
// prints at true size.
//
// Errors are those of w, of a page or a size that no picture can have, or
// ctx.Err().
func PNG(ctx context.Context, w io.Writer, pic Picture, opts Options) error {
	l, err := pic.arrange(opts.PixelsPerMM, opts.length(), opts)
	if err != nil {
		return err
	}
	a, err := pic.paint(ctx, l, opts)
	if err != nil {
		return err
	}
	return encodePNG(w, a.image(), l.scale, pic.Source, pic.Machine)
}

// length is the wanted length of the longer side, in px.
func (o *Options) length() float64 {
	if o.Length > 0 {
		return float64(o.Length)
	}
	return usualLength
}

// paint makes all planes of the picture.
func (pic Picture) paint(ctx context.Context, l *layout, opts Options) (*art, error) {
	a := newArt(l, pic.LineWidthMM*l.scale)
	var roleOf func(int) plan.Role
	if opts.MarkAdded {
		roleOf = func(i int) plan.Role { return pic.place(i).Role }
	}
	ln := newLine(&l.sheet, pic.Points, pic.LineWidthMM, roleOf)
	if opts.Inked != nil {
		opts.Inked.give(ln, pic.LineWidthMM, l.w, l.h)
	}
	planes, err := ln.ink(ctx, l.w, l.h)
	if err != nil {
		return nil, err
	}
	a.line, a.spent = *planes, ln.spent
	if opts.Overlay != nil {
		if err := a.overlay(ctx, opts.Overlay, pic.LineWidthMM); err != nil {
			return nil, err
		}
	}
	if !opts.Bare {
		a.surround(pic)
		if len(opts.Dimensions) > 0 {
			a.measure(opts.Dimensions)
		}
	}
	return a, nil
}

// overlay draws a second line as a thin thread, and what is unsure as a wide
// band, each on the page and off it alike.
func (a *art) overlay(ctx context.Context, o *Overlay, width float64) error {
	planes, err := newLine(&a.sheet, o.Points, threadShare*width, nil).ink(ctx, a.w, a.h)
	if err != nil {
		return err
	}
	a.second = merged(planes[drawn], planes[outside], planes[outsideSteep])
	if a.second == nil {
		a.second = newPlane(a.w, a.h)
	}
	if len(o.Unsure) == 0 {
		return nil
	}
	striped := newLine(&a.sheet, o.Unsure, unsureShare*width, nil)
	striped.left, striped.right = math.Inf(1), math.Inf(-1) // hatched as line off the page is, wherever it lies
	if planes, err = striped.ink(ctx, a.w, a.h); err != nil {
		return err
	}
	a.unsure = [2]*plane{planes[outside], planes[outsideSteep]}
	return nil
}

// merged lays planes over each other, of which any may be absent.
func merged(planes ...*plane) *plane {
	var all *plane
	for _, p := range planes {
		switch {
		case all == nil:
			all = p
		case p != nil:
			all.merge(p)
		}
	}
	return all
}

// unsureShare is how wide the band of what is unsure is, as a share of the line.
const unsureShare = 2.2

// threadShare is how wide a second line is drawn, as a share of the first.
const threadShare = 0.3

// image composes the whole picture. Its pixels take the place of the plane of the
// rulers, if there is one.
func (a *art) image() *image.Paletted {
	im := &image.Paletted{Stride: a.w, Rect: a.whole(), Palette: a.paints.palette}
	if a.rule != nil {
		im.Pix = a.rule.pix
	} else {
		im.Pix = make([]uint8, a.w*a.h)
	}
	a.compose(im, im.Rect)
	a.rule = nil
	return im
}

// encodePNG writes the image with its scale, in px per mm, as the physical
// size of a pixel, with the name of what it shows as its title, and with the
// machine that it was planned for in its description (PNG, third edition, W3C
// 2025, sections 11.3.4.3, pHYs, 11.3.3.1, keywords, and 11.3.3.4, iTXt).
func encodePNG(w io.Writer, im image.Image, scale float64, title, machine string) error {
	var buf bytes.Buffer
	encoder := png.Encoder{CompressionLevel: png.BestSpeed}
	if err := encoder.Encode(&buf, im); err != nil {
		return err
	}
	const header = 8 + 25 // the signature and the first chunk
	perMetre := uint32(math.Round(scale * 1000))
	physical := binary.BigEndian.AppendUint32(nil, perMetre)
	physical = binary.BigEndian.AppendUint32(physical, perMetre)
	physical = append(physical, 1) // the unit is the metre
	parts := [][]byte{buf.Bytes()[:header], pngChunk("pHYs", physical)}
	if title != "" {
		parts = append(parts, pngChunk("iTXt", []byte(titleChunk+title)))
	}
	if machine != "" {
		parts = append(parts, pngChunk("iTXt", []byte(descriptionChunk+"one line for the machine "+machine)))
	}
	for _, part := range append(parts, buf.Bytes()[header:]) {
		if _, err := w.Write(part); err != nil {
			return err
		}
	}
	return nil
}

// titleChunk is what stands in the chunk before the title itself: keyword, no
// compression, no language, no translated keyword.
const titleChunk = "Title\x00\x00\x00\x00\x00"

// descriptionChunk is the same before a description.
const descriptionChunk = "Description\x00\x00\x00\x00\x00"

// pngChunk is a length, a type, the data and a check sum (section 5.3).
func pngChunk(kind string, data []byte) []byte {
	out := binary.BigEndian.AppendUint32(nil, uint32(len(data)))
	out = append(append(out, kind...), data...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[4:]))
}
