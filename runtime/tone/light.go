package tone

import (
	"context"
	"image"
	"image/color"
	"math"
	"sync"

	"wend/runtime/elementary"
)

// linear is the light of a value of sRGB, both 0..1.
func linear(v float64) float64 {
	if v <= 0.04045 {
		return v / 12.92
	}
	y, _ := elementary.Pow((v+0.055)/1.055, 2.4)
	return y
}

// curve is the light of each value of eight bits.
var curve = func() (table [256]float64) {
	for i := range table {
		table[i] = linear(float64(i) / 255)
	}
	return table
}()

const redWeight, greenWeight, blueWeight = 0.2126, 0.7152, 0.0722

func luminance(r, g, b uint8) float64 {
	return float64(redWeight*curve[r]) + float64(greenWeight*curve[g]) + float64(blueWeight*curve[b])
}

// onPaper is a light that covers so much of white paper.
func onPaper(light, covers float64) float64 { return 1 - float64(covers*(1-light)) }

// lightOf is a decoded picture in light, upright, on a white canvas of the size
// that its file states; squares of pixels become one where there are too many.
func lightOf(ctx context.Context, decoded image.Image, size image.Point, o orientation, toRGB func(y, cb, cr uint8) (r, g, b uint8)) (*Image, error) {
	square := int(math.Ceil(math.Sqrt(float64(size.X) * float64(size.Y) / mostKept)))
	columns, rows := (size.X+square-1)/square, (size.Y+square-1)/square
	im := &Image{width: size.X, height: size.Y, columns: columns, rows: rows, right: 1, top: 1}
	if o.swaps() {
		im.width, im.height, im.columns, im.rows = size.Y, size.X, rows, columns
	}
	// The last square of a row or column is seen whole, though it may stand for
	// less: what is seen ends where the picture does.
	im.light = make([]float32, columns*rows)
	row := rowsOf(decoded, toRGB)
	line := make([]float64, size.X)
	sums := make([]float64, columns)
	bounds := decoded.Bounds()
	for y := range size.Y {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		for i := range line {
			line[i] = 1
		}
		if at := y; at >= bounds.Min.Y && at < bounds.Max.Y {
			from, to := max(bounds.Min.X, 0), min(bounds.Max.X, size.X)
			if from < to {
				row(at, from, line[from:to])
			}
		}
		for x, v := range line {
			sums[x/square] += v
		}
		if (y+1)%square == 0 || y == size.Y-1 {
			down := y/square*square - y - 1
			for x := range sums {
				n := -down * (min((x+1)*square, size.X) - x*square)
				px, py := o.upright(x, y/square, columns, rows)
				im.light[(im.rows-1-py)*im.columns+px] = float32(sums[x] / float64(n))
			}
			clear(sums)
		}
	}
	im.trim(size, square, o)
	return im, nil
}

// trim says which part of the raster is seen if its last squares hang over the
// edges of the picture.
func (im *Image) trim(size image.Point, square int, o orientation) {
	across := float64(size.X) / float64((size.X+square-1)/square*square)
	down := float64(size.Y) / float64((size.Y+square-1)/square*square)
	// In the file the picture begins at the upper left; its place says where the
	// ends that hang over lie in the picture.
	firstX, firstY := o.upright(0, 0, 2, 2)
	lastX, lastY := o.upright(1, 1, 2, 2)
	if o.swaps() {
		across, down = down, across
	}
	if lastX > firstX {
		im.right = across
	} else {
		im.left = 1 - across
	}
	if lastY > firstY { // from the top down
		im.bottom = 1 - down
	} else {
		im.top = down
	}
}

// studio turns luma from 16 to 235 and chroma around 128 (ITU-R BT.601) into RGB,
// as lossy WebP has them; JPEG has luma from 0 to 255. In 1/65536.
func studio(y, cb, cr uint8) (r, g, b uint8) {
	l, u, v := (int32(y)-16)*76309, int32(cb)-128, int32(cr)-128
	part := func(x int32) uint8 { return uint8(min(max((x+1<<15)>>16, 0), 255)) }
	return part(l + 104597*v), part(l - 25675*u - 53279*v), part(l + 132201*u)
}

// rowsOf gives the light of a row from a column on.
func rowsOf(decoded image.Image, toRGB func(y, cb, cr uint8) (r, g, b uint8)) func(y, from int, line []float64) {
	switch im := decoded.(type) {
	case *image.YCbCr:
		return func(y, from int, line []float64) {
			for i := range line {
				yi, ci := im.YOffset(from+i, y), im.COffset(from+i, y)
				r, g, b := toRGB(im.Y[yi], im.Cb[ci], im.Cr[ci])
				line[i] = luminance(r, g, b)
			}
		}
	case *image.NYCbCrA:
		return func(y, from int, line []float64) {
			for i := range line {
				yi, ci := im.YOffset(from+i, y), im.COffset(from+i, y)
				r, g, b := toRGB(im.Y[yi], im.Cb[ci], im.Cr[ci])
				line[i] = onPaper(luminance(r, g, b), float64(im.A[im.AOffset(from+i, y)])/255)
			}
		}
	case *image.Gray:
		return func(y, from int, line []float64) {
			at := im.PixOffset(from, y)
			for i := range line {
				line[i] = curve[im.Pix[at+i]]
			}
		}
	case *image.NRGBA:
		return func(y, from int, line []float64) {
			pix := im.Pix[im.PixOffset(from, y):]
			for i := range line {
				p := pix[4*i : 4*i+4 : 4*i+4]
				line[i] = onPaper(luminance(p[0], p[1], p[2]), float64(p[3])/255)
			}
		}
	case *image.RGBA: // as decoded from PNG: without anything that lets light through
		return func(y, from int, line []float64) {
			pix := im.Pix[im.PixOffset(from, y):]
			for i := range line {
				p := pix[4*i : 4*i+3 : 4*i+3]
				line[i] = luminance(p[0], p[1], p[2])
			}
		}
	case *image.Paletted:
		lights := make([]float64, 256)
		for i := range lights {
			lights[i] = 1
			if i < len(im.Palette) {
				lights[i] = lightOfColor(im.Palette[i])
			}
		}
		return func(y, from int, line []float64) {
			at := im.PixOffset(from, y)
			for i := range line {
				line[i] = lights[im.Pix[at+i]]
			}
		}
	}
	return func(y, from int, line []float64) {
		for i := range line {
			line[i] = lightOfColor(decoded.At(from+i, y))
		}
	}
}

// lightOfColor is the light of any colour, in sixteen bits.
func lightOfColor(c color.Color) float64 {
	n := color.NRGBA64Model.Convert(c).(color.NRGBA64)
	light := float64(redWeight*fine()[n.R]) + float64(greenWeight*fine()[n.G]) + float64(blueWeight*fine()[n.B])
	return onPaper(light, float64(n.A)/0xffff)
}

// fine is the light of each value of sixteen bits.
var fine = sync.OnceValue(func() []float64 {
	table := make([]float64, 1<<16)
	for i := range table {
		table[i] = linear(float64(i) / 0xffff)
	}
	return table
})
