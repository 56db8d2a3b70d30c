package preview

import (
	"math"
	"strings"
	"unicode/utf8"

	"wend/runtime/geom"
)

// Letters of a terminal are taken to be twice as high as wide, so that the
// eight dots of a Braille pattern and the two halves of a block are squares.

// raster is a view of the page in square dots.
type raster struct {
	w, h  int
	scale float64 // dots per mm
	view  geom.Box
	ink   []bool
}

// newRaster is the largest grid of the shape of a view, in page mm, that has at
// most columns × rows letters of across × down dots.
func newRaster(view geom.Box, columns, rows, across, down int) (*raster, bool) {
	columns, rows = min(columns, 1000), min(rows, 1000)
	if columns < 1 || rows < 1 {
		return nil, false
	}
	r := &raster{view: view}
	r.scale = min(float64(columns*across)/view.Width(), float64(rows*down)/view.Height())
	whole := func(mm float64, unit, most int) int {
		letters := int(math.Ceil(mm*r.scale/float64(unit) - 1e-9))
		return unit * max(1, min(letters, most))
	}
	r.w, r.h = whole(view.Width(), across, columns), whole(view.Height(), down, rows)
	r.ink = make([]bool, r.w*r.h)
	return r, true
}

// rasterize draws the line on such a grid.
func (pic Picture) rasterize(view geom.Box, columns, rows, across, down int) (*raster, bool) {
	if pic.check() != nil {
		return nil, false
	}
	r, ok := newRaster(view, columns, rows, across, down)
	if !ok {
		return nil, false
	}
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
	return spot{float64((p.X - r.view.Min.X) * r.scale), float64((r.view.Max.Y - p.Y) * r.scale)}
}

// stroke inks a dot in every column (or, on steep line, row) that it crosses.
func (r *raster) stroke(a, b spot) {
	// The view's far edges belong to its last dots; line beyond them is left out.
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

// braille is a view of the page in Braille patterns (Unicode block U+2800, dots numbered
// as there), eight dots a letter: at most rows strings of at most columns
// letters, in the shape of the view. It is nil where there is no room.
func braille(pic Picture, view geom.Box, columns, rows int) []string {
	r, ok := pic.rasterize(view, columns, rows, 2, 4)
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

// asciiDots is a view of the page in full stops, apostrophes and colons, two dots a
// letter, for terminals that have nothing but ASCII. Sizes are as for braille.
func asciiDots(pic Picture, view geom.Box, columns, rows int) []string {
	r, ok := pic.rasterize(view, columns, rows, 1, 2)
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

// letterAt is the column and row, from 0, of the letter that shows a point in a
// picture of the same view and room; false where the point is out of view or
// there is no room.
func letterAt(view geom.Box, columns, rows int, p geom.Point) (column, row int, ok bool) {
	r, ok := newRaster(view, columns, rows, 1, 2)
	if !ok || !view.Grow(geom.SamePoint).Contains(p) {
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
	// Trimmed shows only the part of the page between its lowest and its highest
	// line, as large as the room allows. Where the page goes on its edge is broken.
	Trimmed bool
}

// Sheet is a picture of a page with an arrow where the stylus stands, facing a
// heading in degrees. There are no lines where there is no room.
func (t Terminal) Sheet(pic Picture, stylus geom.Point, heading float64) []string {
	columns, rows := t.Columns-2, t.Rows-2
	if columns < 8 || rows < 3 {
		return nil
	}
	view := pic.Page.Box()
	if t.Trimmed {
		view = pic.lineHigh(stylus)
	}
	lines := braille(pic, view, columns, rows)
	if t.ASCII {
		lines = asciiDots(pic, view, columns, rows)
	}
	if column, row, ok := letterAt(view, columns, rows, stylus); ok && row < len(lines) {
		letters := []rune(lines[row])
		letters[column] = Arrow(heading, t.ASCII)
		lines[row] = string(letters)
	}
	return t.framed(lines, view.Max.Y < pic.Page.HeightMM, view.Min.Y > 0)
}

// lineHigh is the part of the page, as wide as it is, on which there is line or the
// stylus; all of it where neither is.
func (pic Picture) lineHigh(stylus geom.Point) geom.Box {
	page := pic.Page.Box()
	low, high := math.Inf(1), math.Inf(-1)
	hold := func(p geom.Point) {
		if p, ok := sound(p); ok {
			low, high = min(low, p.Y), max(high, p.Y)
		}
	}
	hold(stylus)
	for _, p := range pic.Points {
		hold(p)
	}
	low, high = max(low, 0), min(high, page.Max.Y)
	if !(low <= high) {
		return page
	}
	// Level line has no height of its own.
	least := page.Height() / leastHigh
	if high-low < least {
		low = max(0, min((low+high-least)/2, page.Max.Y-least))
		high = low + least
	}
	return geom.Box{Min: geom.Point{Y: low}, Max: geom.Point{X: page.Max.X, Y: high}}
}

// leastHigh is what part of the page's height is shown at least.
const leastHigh = 25

// framed puts the edges of the page around lines; broken ones above or below where
// it goes on there.
func (t Terminal) framed(lines []string, above, below bool) []string {
	if len(lines) == 0 {
		return nil
	}
	edges, side, corners := [2]string{"─", "╌"}, "│", [4]string{"┌", "┐", "└", "┘"}
	if t.ASCII {
		edges, side, corners = [2]string{"-", "."}, "|", [4]string{"+", "+", "+", "+"}
	}
	across := func(broken bool) string {
		edge := edges[0]
		if broken {
			edge = edges[1]
		}
		return strings.Repeat(edge, utf8.RuneCountInString(lines[0]))
	}
	framed := []string{corners[0] + across(above) + corners[1]}
	for _, line := range lines {
		framed = append(framed, side+line+side)
	}
	return append(framed, corners[2]+across(below)+corners[3])
}
