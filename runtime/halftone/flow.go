package halftone

import "math"

// flow is which way the forms of a picture run at each cell: twice the angle of
// their direction as a vector, as long as the direction is sure (0..1).
type flow struct{ cos, sin *grid }

// flowOf reads the structure tensor (Förstner and Gülch 1987; from memory): the
// products of the gradients of the picture, each blurred. The larger of its
// directions leads across the forms; its coherence says how sure that is.
func flowOf(tone *grid, inner, outer float64) flow {
	smooth := tone.blurred(inner, repeated)
	xx, xy, yy := newGrid(tone.columns, tone.rows), newGrid(tone.columns, tone.rows), newGrid(tone.columns, tone.rows)
	for y := range tone.rows {
		for x := range tone.columns {
			dx := smooth.cell(x+1, y) - smooth.cell(x-1, y)
			dy := smooth.cell(x, y+1) - smooth.cell(x, y-1)
			i := y*tone.columns + x
			xx.at[i], xy.at[i], yy.at[i] = dx*dx, dx*dy, dy*dy
		}
	}
	xx, xy, yy = xx.blurred(outer, repeated), xy.blurred(outer, repeated), yy.blurred(outer, repeated)
	f := flow{newGrid(tone.columns, tone.rows), newGrid(tone.columns, tone.rows)}
	for i := range xx.at {
		// Across the forms; along them is the opposite of twice the angle.
		c, s := xx.at[i]-yy.at[i], 2*xy.at[i]
		size := xx.at[i] + yy.at[i] + flatGradient
		f.cos.at[i], f.sin.at[i] = -c/size, -s/size
	}
	return f
}

// flatGradient is the square of a change of tone, from one cell to the second
// next, that counts as none.
const flatGradient = 4e-5

// along is how well a direction agrees with the flow at a place: from -1 across
// it to 1 along it, both times how sure the flow is. The vector has length 1.
func (f flow) along(x, y, dx, dy float64) float64 {
	i := min(max(int(y), 0), f.cos.rows-1)*f.cos.columns + min(max(int(x), 0), f.cos.columns-1)
	return float64(f.cos.at[i]*(float64(dx*dx)-float64(dy*dy))) + float64(f.sin.at[i]*(2*float64(dx*dy)))
}

// sure is how sure the flow is at a place, 0..1.
func (f flow) sure(x, y float64) float64 {
	i := min(max(int(y), 0), f.cos.rows-1)*f.cos.columns + min(max(int(x), 0), f.cos.columns-1)
	return math.Sqrt(float64(f.cos.at[i]*f.cos.at[i]) + float64(f.sin.at[i]*f.sin.at[i]))
}
