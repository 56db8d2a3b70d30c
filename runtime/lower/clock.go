package lower

import "wend/runtime/geom"

// clock notes when the stylus is at the vertices of a line. A nil one notes
// nothing.
type clock struct {
	kept  []int32   // vertices that are left
	last  []int32   // by kept vertex: how many moves end there or before
	ended []float32 // seconds, by move
}

func newClock(kept []int32) *clock { return &clock{kept: kept, last: make([]int32, len(kept))} }

// moves notes one more move along a piece of what is left of the line.
func (c *clock) moves(piece int) {
	if c != nil {
		c.last[piece+1]++
	}
}

// ends notes when the next move ends.
func (c *clock) ends(seconds float64) {
	if c != nil {
		c.ended = append(c.ended, float32(seconds))
	}
}

// vertices gives the seconds at each vertex of the line.
func (c *clock) vertices(points []geom.Point) []float32 {
	at := make([]float32, len(points))
	moves, begun := int32(0), float32(0)
	for i := 1; i < len(c.kept); i++ {
		moves += c.last[i]
		ended := begun
		if moves > 0 {
			ended = c.ended[moves-1]
		}
		part := points[c.kept[i-1] : c.kept[i]+1]
		whole, along := geom.Length(part), 0.0
		for j := 1; j < len(part); j++ {
			along += part[j].Distance(part[j-1])
			at[int(c.kept[i-1])+j] = begun + float32((ended-begun)*float32(along/whole))
		}
		begun = ended
	}
	return at
}
