package halftone

import (
	"math"

	"wend/runtime/elementary"
)

// grid holds a value for each cell of a raster of square cells, row by row from
// the bottom up.
type grid struct {
	columns, rows int
	at            []float64
}

func newGrid(columns, rows int) *grid {
	return &grid{columns, rows, make([]float64, columns*rows)}
}

// cell is the value of a cell; of one outside, that of the nearest inside.
func (g *grid) cell(x, y int) float64 {
	x, y = min(max(x, 0), g.columns-1), min(max(y, 0), g.rows-1)
	return g.at[y*g.columns+x]
}

// sample is the value at a place, in cells from the lower left corner, between
// the middles of the cells around it.
func (g *grid) sample(x, y float64) float64 {
	x, y = x-0.5, y-0.5
	fx, fy := math.Floor(x), math.Floor(y)
	i, j := int(fx), int(fy)
	x, y = x-fx, y-fy
	low := g.cell(i, j) + float64((g.cell(i+1, j)-g.cell(i, j))*x)
	high := g.cell(i, j+1) + float64((g.cell(i+1, j+1)-g.cell(i, j+1))*x)
	return low + float64((high-low)*y)
}

func (g *grid) mean() float64 {
	sum := 0.0
	for _, v := range g.at {
		sum += v
	}
	return sum / float64(len(g.at))
}

// gaussian is half a bell curve, cut off at three deviations, whose whole has
// the sum 1; the deviation is in cells.
func gaussian(deviation float64) []float64 {
	half := make([]float64, int(math.Ceil(3*deviation))+1)
	sum := 0.0
	for i := range half {
		x := float64(i) / deviation
		half[i], _ = elementary.Exp(-float64(x*x) / 2)
		sum += half[i]
		if i > 0 {
			sum += half[i]
		}
	}
	for i := range half {
		half[i] /= sum
	}
	return half
}

// edge says what lies beyond the edges of a grid.
type edge bool

const (
	blank    edge = false // nothing: paper
	repeated edge = true  // the same as at the edge
)

// blurred is the grid under a bell curve.
func (g *grid) blurred(deviation float64, beyond edge) *grid {
	half := gaussian(deviation)
	across, out := newGrid(g.columns, g.rows), newGrid(g.columns, g.rows)
	line := make([]float64, max(g.columns, g.rows)+2*len(half))
	smear := func(read func(i int) float64, write func(i int, v float64), n int) {
		pad := len(half) - 1
		for i := -pad; i < n+pad; i++ {
			switch {
			case i >= 0 && i < n:
				line[i+pad] = read(i)
			case beyond == blank:
				line[i+pad] = 0
			default:
				line[i+pad] = read(min(max(i, 0), n-1))
			}
		}
		for i := range n {
			sum := float64(half[0] * line[i+pad])
			for k := 1; k < len(half); k++ {
				sum += float64(half[k] * (line[i+pad-k] + line[i+pad+k]))
			}
			write(i, sum)
		}
	}
	for y := range g.rows {
		smear(func(i int) float64 { return g.at[y*g.columns+i] }, func(i int, v float64) { across.at[y*g.columns+i] = v }, g.columns)
	}
	for x := range g.columns {
		smear(func(i int) float64 { return across.at[i*g.columns+x] }, func(i int, v float64) { out.at[i*g.columns+x] = v }, g.rows)
	}
	return out
}
