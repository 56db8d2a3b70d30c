package preview

import (
	"math"
	"strings"
	"unicode/utf8"

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

// asciiDots is the page in full stops, apostrophes and colons, two dots a
// letter, for terminals that have nothing but ASCII. Sizes are as for Braille.
func asciiDots(pic Picture, columns, rows int) []string {
	r, ok := pic.rasterize(columns, rows, 1, 2)
	if !ok {
		return nil
	}
	return r.letters(1, 2, func(at func(x, y int) bool) rune {
		switch upper, lower := at(0, 0), at(0, 1); {
		case upper && lower:
			return ':'
		case upper:
			return '\''
		case lower:
			return '.'
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

// letterAt is the column and row, from 0, of the letter that shows a point of
// the page in a picture with the same room; false where the point is off the
// page or there is no room.
func letterAt(page Page, columns, rows int, p geom.Point) (column, row int, ok bool) {
	pic := Picture{Page: page, LineWidthMM: 1}
	r, ok := pic.rasterize(columns, rows, 1, 2)
	if !ok || !page.box().Grow(geom.SamePoint).Contains(p) {
		return 0, 0, false
	}
	s := r.spot(p)
	return max(0, min(int(s.x), r.w-1)), max(0, min(int(s.y), r.h-1)) / 2, true
}

// Arrow is the arrow of a heading in degrees, the nearest of eight directions.
// In ASCII the slanting ones are strokes, which have no head.
func Arrow(heading float64, ascii bool) rune {
	arrows := []rune("→↗↑↖←↙↓↘")
	if ascii {
		arrows = []rune(`>/^\</v\`)
	}
	return arrows[int(math.Floor(heading/45+0.5))%len(arrows)]
}

// Terminal shows a page in letters of a terminal, in a frame that is the edge
// of the page.
type Terminal struct {
	// Columns and Rows are the room, frame included.
	Columns, Rows int
	// ASCII is for terminals that have no other letters.
	ASCII bool
	// Trimmed leaves out empty rows above and below the line, and the edges of
	// the page with them.
	Trimmed bool
}

// Sheet is a picture of a page with an arrow where the stylus stands, facing a
// heading in degrees. There are no lines where there is no room.
func (t Terminal) Sheet(pic Picture, stylus geom.Point, heading float64) []string {
	columns, rows := t.Columns-2, t.Rows-2
	if columns < 8 || rows < 3 {
		return nil
	}
	lines := Braille(pic, columns, rows)
	if t.ASCII {
		lines = asciiDots(pic, columns, rows)
	}
	if column, row, ok := letterAt(pic.Page, columns, rows, stylus); ok && row < len(lines) {
		letters := []rune(lines[row])
		letters[column] = Arrow(heading, t.ASCII)
		lines[row] = string(letters)
	}
	top, bottom := true, true
	if t.Trimmed {
		lines, top, bottom = trimmed(lines)
	}
	return t.framed(lines, top, bottom)
}

// trimmed leaves out empty rows at both ends, and reports whether there were none.
func trimmed(lines []string) (kept []string, top, bottom bool) {
	empty := func(line string) bool { return strings.TrimSpace(line) == "" }
	kept = lines
	for len(kept) > 1 && empty(kept[0]) {
		kept = kept[1:]
	}
	top = len(kept) == len(lines)
	for n := len(kept); n > 1 && empty(kept[n-1]); n-- {
		kept, bottom = kept[:n-1], true
	}
	return kept, top, !bottom
}

func (t Terminal) framed(lines []string, top, bottom bool) []string {
	if len(lines) == 0 {
		return nil
	}
	edge, side, corners := "─", "│", [2][2]string{{"┌", "┐"}, {"└", "┘"}}
	if t.ASCII {
		edge, side, corners = "-", "|", [2][2]string{{"+", "+"}, {"+", "+"}}
	}
	across := strings.Repeat(edge, utf8.RuneCountInString(lines[0]))
	var framed []string
	if top {
		framed = append(framed, corners[0][0]+across+corners[0][1])
	}
	for _, line := range lines {
		framed = append(framed, side+line+side)
	}
	if bottom {
		framed = append(framed, corners[1][0]+across+corners[1][1])
	}
	return framed
}
