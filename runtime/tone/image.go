// Package tone reads pictures as light: how bright each place is, 0 black to 1
// white, in linear light, so that the mean of two places is what an eye sees
// that is too far off to part them.
//
// Colours are taken for sRGB (IEC 61966-2-1), whatever profile a file names, and
// their light is weighed as there (0.2126, 0.7152, 0.0722). What lets light
// through lies on white paper.
//
// Large pictures are kept smaller, each square of pixels as its mean. The same
// file gives the same light on every processor.
package tone

import (
	"encoding/binary"
	"fmt"
	"io"
	"math"
)

// Image is a picture in light.
type Image struct {
	width, height int // of the file, upright, or of the part that was cut out
	columns, rows int // of what is kept
	light         []float32
	// The part of what is kept that is seen, in 0..1 from the lower left.
	left, bottom, right, top float64
}

// Size is the width and height in pixels of the file, upright.
func (im *Image) Size() (width, height int) { return im.width, im.height }

// Bytes is how much memory it holds.
func (im *Image) Bytes() int { return 4 * len(im.light) }

// WriteContent writes all that it is, for a digest.
func (im *Image) WriteContent(w io.Writer) {
	fmt.Fprintf(w, "%d %d %d %d %x\n", im.width, im.height, im.columns, im.rows, [4]float64{im.left, im.bottom, im.right, im.top}) //nolint:errcheck // a digest takes all
	row := make([]byte, 0, 4*max(im.columns, 1))
	for i, light := range im.light {
		if row = binary.LittleEndian.AppendUint32(row, math.Float32bits(light)); len(row) == cap(row) || i == len(im.light)-1 {
			w.Write(row) //nolint:errcheck
			row = row[:0]
		}
	}
}

// At is the light at a place, 0..1 both ways from the lower left corner, between
// the middles of the pixels around it; beyond the edges it is that of the edge.
func (im *Image) At(x, y float64) float64 {
	x = im.left + float64((im.right-im.left)*min(max(x, 0), 1))
	y = im.bottom + float64((im.top-im.bottom)*min(max(y, 0), 1))
	x, y = float64(x*float64(im.columns))-0.5, float64(y*float64(im.rows))-0.5
	fx, fy := math.Floor(x), math.Floor(y)
	i, j := int(fx), int(fy)
	x, y = x-fx, y-fy
	low := im.pixel(i, j) + float64((im.pixel(i+1, j)-im.pixel(i, j))*x)
	high := im.pixel(i, j+1) + float64((im.pixel(i+1, j+1)-im.pixel(i, j+1))*x)
	return low + float64((high-low)*y)
}

func (im *Image) pixel(x, y int) float64 {
	x, y = min(max(x, 0), im.columns-1), min(max(y, 0), im.rows-1)
	return float64(im.light[y*im.columns+x])
}

// Crop is the part between two places, each 0..1 from the lower left corner, of
// which the second lies above and right of the first.
func (im *Image) Crop(left, bottom, right, top float64) *Image {
	part := *im
	across, up := im.right-im.left, im.top-im.bottom
	part.left, part.right = im.left+float64(across*left), im.left+float64(across*right)
	part.bottom, part.top = im.bottom+float64(up*bottom), im.bottom+float64(up*top)
	part.width = max(int(math.Round(float64(im.width)*(right-left))), 1)
	part.height = max(int(math.Round(float64(im.height)*(top-bottom))), 1)
	return &part
}

// Cells is the light in a raster of cells, row by row from the bottom up: the
// mean over each cell where pixels are smaller than that.
func (im *Image) Cells(columns, rows int) []float64 {
	across := shares(im.left, im.right, im.columns, columns)
	up := shares(im.bottom, im.top, im.rows, rows)
	cells := make([]float64, columns*rows)
	line := make([]float64, im.columns)
	for y, part := range up {
		clear(line)
		for k, share := range part.of {
			row := im.light[(part.first+k)*im.columns:]
			for i := range line {
				line[i] += float64(share * float64(row[i]))
			}
		}
		for x, part := range across {
			sum := 0.0
			for k, share := range part.of {
				sum += float64(share * line[part.first+k])
			}
			cells[y*columns+x] = sum
		}
	}
	return cells
}

// part is which pixels a cell is made of, and what share each has in it.
type part struct {
	first int
	of    []float64
}

// shares divides the pixels between two places into cells. Where a cell is no
// larger than a pixel, it takes from the pixels around its middle.
func shares(from, to float64, pixels, cells int) []part {
	parts := make([]part, cells)
	wide := (to - from) * float64(pixels) / float64(cells)
	half := float64(max(wide, 1) / 2)
	for i := range parts {
		middle := float64(from*float64(pixels)) + float64(wide*(float64(i)+0.5))
		low, high := middle-half, middle+half
		first := max(int(math.Floor(low)), 0)
		last := min(int(math.Ceil(high)), pixels)
		first = min(first, pixels-1)
		last = max(last, first+1)
		of := make([]float64, last-first)
		sum := 0.0
		for k := range of {
			at := float64(first + k)
			of[k] = max(min(high, at+1)-max(low, at), 0)
			sum += of[k]
		}
		if sum == 0 {
			of[0], sum = 1, 1
		}
		for k := range of {
			of[k] /= sum
		}
		parts[i] = part{first, of}
	}
	return parts
}
