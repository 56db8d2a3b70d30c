package halftone

import "math"

// Places on the picture are whole numbers: 256 to a line's width, so which side
// of a line a point lies on is exact. A pixel of the ink is a quarter of a
// line's width, and a cell of what the eye sees a whole one.
const (
	perPixel  = 64
	perWidth  = 256
	perCell   = 4 // pixels
	halfWidth = perWidth / 2
)

// ink counts, for each pixel, how many pieces of line cover it.
type ink struct {
	columns, rows int
	counts        []uint16
}

func newInk(columns, rows int) *ink {
	k := &ink{columns: columns * perCell, rows: rows * perCell}
	k.counts = make([]uint16, k.columns*k.rows)
	return k
}

// lay adds a line.
func (k *ink) lay(line []point) {
	var runs []run
	for i := range len(line) - 1 {
		runs = k.cover(runs[:0], line[i].x, line[i].y, line[i+1].x, line[i+1].y)
		k.add(runs, 1)
	}
}

// shares are what share of each cell is covered.
func (k *ink) shares() *grid {
	g := newGrid(k.columns/perCell, k.rows/perCell)
	for i, n := range k.counts {
		if n > 0 {
			g.at[i/k.columns/perCell*g.columns+i%k.columns/perCell] += 1.0 / (perCell * perCell)
		}
	}
	return g
}

// run is a stretch of a row of pixels, the last one left out.
type run struct{ row, from, to int32 }

// halfChord is half the chord of a round end at each distance from its middle.
var halfChord = func() (table [halfWidth + 1]int32) {
	for i := range table {
		table[i] = int32(math.Sqrt(float64(halfWidth*halfWidth - i*i)))
	}
	return table
}()

// cover adds the pixels whose middle lies within half a width of a piece of
// line.
func (k *ink) cover(runs []run, ax, ay, bx, by int32) []run {
	if ay > by {
		ax, ay, bx, by = bx, by, ax, ay
	}
	first := max((ay-halfWidth+perPixel/2-1)/perPixel, 0)
	last := min((by+halfWidth-perPixel/2)/perPixel, int32(k.rows)-1)
	dx, dy := float64(bx-ax), float64(by-ay)
	long := math.Sqrt(float64(dx*dx) + float64(dy*dy))
	nx, ny, slope := 0.0, 0.0, 0.0
	if long > 0 {
		nx, ny = -dy/long*halfWidth, dx/long*halfWidth
	}
	if dy > 0 {
		slope = dx / dy
	}
	for row := first; row <= last; row++ {
		y := row*perPixel + perPixel/2
		left, right := int32(math.MaxInt32), int32(math.MinInt32)
		if d := y - ay; d >= -halfWidth && d <= halfWidth {
			c := halfChord[max(d, -d)]
			left, right = ax-c, ax+c
		}
		if d := y - by; d >= -halfWidth && d <= halfWidth {
			c := halfChord[max(d, -d)]
			left, right = min(left, bx-c), max(right, bx+c)
		}
		if dy > 0 {
			if t := float64(y-ay) - ny; t >= 0 && t <= dy {
				x := ax + int32(nx+float64(t*slope))
				left, right = min(left, x), max(right, x)
			}
			if t := float64(y-ay) + ny; t >= 0 && t <= dy {
				x := ax + int32(float64(t*slope)-nx)
				left, right = min(left, x), max(right, x)
			}
		}
		from := max((left+perPixel/2-1)/perPixel, 0)
		to := min((right+perPixel/2)/perPixel, int32(k.columns))
		if from < to {
			runs = append(runs, run{row, from, to})
		}
	}
	return runs
}

// add changes the counts of pixels by one.
func (k *ink) add(runs []run, by int) {
	for _, r := range runs {
		line := k.counts[int(r.row)*k.columns+int(r.from) : int(r.row)*k.columns+int(r.to)]
		for i := range line {
			line[i] += uint16(by)
		}
	}
}
