package preview

import (
	"math"
	"strings"

	"wend/runtime/geom"
)

// Letters of a terminal are taken to be twice as high as wide, so that the
// eight dots of a Braille pattern and the two halves of a block are squares.

// raster is the page in square dots.
type raster struct {
	w, h  int
	scale float64 // dots per mm
	high  float64 // of the page, mm
	ink   []bool
}

// rasterize draws the line on the largest grid of the page's shape that has at
// most w × h dots, in steps of whole letters of across × down dots.
func (pic Picture) rasterize(columns, rows, across, down int) (*raster, bool) {
	columns, rows = min(columns, 1000), min(rows, 1000)
	if pic.check() != nil || columns < 1 || rows < 1 {
		return nil, false
	}
	r := &raster{high: pic.Page.HeightMM}
	r.scale = min(float64(columns*across)/pic.Page.WidthMM, float64(rows*down)/pic.Page.HeightMM)
	whole := func(mm float64, unit, most int) int {
		letters := int(math.Ceil(mm*r.scale/float64(unit) - 1e-9))
		return unit * max(1, min(letters, most))
	}
	r.w, r.h = whole(pic.Page.WidthMM, across, columns), whole(pic.Page.HeightMM, down, rows)
	r.ink = make([]bool, r.w*r.h)

	var last spot
	begun := false
	for _, p := range pic.Points {
		p, ok := sound(p)
		if !ok {
			continue
		}
		s := r.spot(p)
		if !begun {
			last, begun = s, true
		}
		r.stroke(last, s)
		last = s
	}
	return r, true
}

func (r *raster) spot(p geom.Point) spot {
	return spot{float64(p.X * r.scale), float64((r.high - p.Y) * r.scale)}
}

// stroke inks a dot in every column (or, on steep line, row) that it crosses.
func (r *raster) stroke(a, b spot) {
	// The page's far edges belong to its last dots; line off the page is left out.
	t0, t1, ok := crossing(a, b, -0.5, -0.5, float64(r.w)+0.5, float64(r.h)+0.5)
	if !ok {
		return
	}
	a, b = between(a, b, t0), between(a, b, t1)
	r.dot(a)
	r.dot(b)
	steps := int(math.Ceil(max(math.Abs(b.x-a.x), math.Abs(b.y-a.y))))
	for i := range steps {
		r.dot(between(a, b, (float64(i)+0.5)/float64(steps)))
	}
}

func (r *raster) dot(s spot) {
	x := max(0, min(int(math.Floor(s.x)), r.w-1))
	y := max(0, min(int(math.Floor(s.y)), r.h-1))
	r.ink[y*r.w+x] = true
}

// Braille is the page in Braille patterns (Unicode block U+2800, dots numbered
// as there), eight dots a letter: at most rows strings of at most columns
// letters, in the shape of the page. It is nil where there is no room.
func Braille(pic Picture, columns, rows int) []string {
	r, ok := pic.rasterize(columns, rows, 2, 4)
	if !ok {
		return nil
	}
	dots := [4][2]rune{{0x01, 0x08}, {0x02, 0x10}, {0x04, 0x20}, {0x40, 0x80}}
	return r.letters(2, 4, func(at func(x, y int) bool) rune {
		pattern := rune(0)
		for y := range dots {
			for x, dot := range dots[y] {
				if at(x, y) {
					pattern |= dot
				}
			}
		}
		if pattern == 0 {
			return ' ' // some faces show the empty pattern as eight rings
		}
		return 0x2800 + pattern
	})
}

// HalfBlocks is the page in half blocks, two dots a letter, for terminals
// whose letters have no Braille. Sizes are as for Braille.
func HalfBlocks(pic Picture, columns, rows int) []string {
	r, ok := pic.rasterize(columns, rows, 1, 2)
	if !ok {
		return nil
	}
	return r.letters(1, 2, func(at func(x, y int) bool) rune {
		switch upper, lower := at(0, 0), at(0, 1); {
		case upper && lower:
			return '█'
		case upper:
			return '▀'
		case lower:
			return '▄'
		}
		return ' '
	})
}

// letters puts one letter for every across × down dots.
func (r *raster) letters(across, down int, letter func(at func(x, y int) bool) rune) []string {
	var lines []string
	for y := 0; y < r.h; y += down {
		var line strings.Builder
		for x := 0; x < r.w; x += across {
			line.WriteRune(letter(func(dx, dy int) bool { return r.ink[(y+dy)*r.w+x+dx] }))
		}
		lines = append(lines, line.String())
	}
	return lines
}

// Letter is the column and row, from 0, of the letter that shows a point of
// the page in a picture of Braille or HalfBlocks with the same room; false
// where the point is off the page or there is no room.
func Letter(page Page, columns, rows int, p geom.Point) (column, row int, ok bool) {
	pic := Picture{Page: page, LineWidthMM: 1}
	r, ok := pic.rasterize(columns, rows, 1, 2)
	if !ok || !page.box().Grow(geom.SamePoint).Contains(p) {
		return 0, 0, false
	}
	s := r.spot(p)
	return max(0, min(int(s.x), r.w-1)), max(0, min(int(s.y), r.h-1)) / 2, true
}
