package halftone

// point is a place on the picture, 256 to a line's width.
type point struct{ x, y int32 }

// Pieces of line are never longer nor shorter than this.
const (
	longest  = 3 * perWidth
	shortest = perWidth * 2 / 5
)

// mesh is the side of a cell of the grid in which a chain keeps its pieces.
const mesh = longest / 2

// chain is a line as vertices that know their neighbours. Each piece goes by
// the vertex that it begins at and stands in the cell of a grid in which its
// middle lies: whatever may meet a piece has its middle no farther from it than
// half of the longest.
type chain struct {
	points     []point
	next, prev []int32 // -1 at the ends
	cells      []int32 // first piece of each cell, or -1
	columns    int32
	after      []int32 // of a piece, the next one of its cell
	before     []int32 // the one before, or -1-cell for the first
	first      int32   // vertex at which the line begins
}

func newChain(line []point, columns, rows int, room int) *chain {
	n := len(line) + room
	c := &chain{points: make([]point, n), next: make([]int32, n), prev: make([]int32, n), after: make([]int32, n), before: make([]int32, n)}
	c.columns = int32(columns*perWidth/mesh + 1)
	c.cells = make([]int32, int(c.columns)*(rows*perWidth/mesh+1))
	for i := range c.cells {
		c.cells[i] = -1
	}
	copy(c.points, line)
	for i := range line {
		c.next[i], c.prev[i] = int32(i)+1, int32(i)-1
	}
	c.next[len(line)-1] = -1
	for i := range line[:len(line)-1] {
		c.enter(int32(i))
	}
	return c
}

func (c *chain) cellOf(p, q point) int32 {
	return (p.y+q.y)/2/mesh*c.columns + (p.x+q.x)/2/mesh
}

// enter puts the piece from a vertex into its cell.
func (c *chain) enter(v int32) {
	cell := c.cellOf(c.points[v], c.points[c.next[v]])
	head := c.cells[cell]
	c.after[v], c.before[v] = head, -1-cell
	if head >= 0 {
		c.before[head] = v
	}
	c.cells[cell] = v
}

// leave takes it out again.
func (c *chain) leave(v int32) {
	before, after := c.before[v], c.after[v]
	if before < 0 {
		c.cells[-1-before] = after
	} else {
		c.after[before] = after
	}
	if after >= 0 {
		c.before[after] = before
	}
}

// free reports whether a new piece p-q would meet none but those that begin at
// a vertex of gone, and at its ends those that begin there.
func (c *chain) free(p, q point, gone []int32, from, to int32) bool {
	const far = longest/2 + 1 // middles are rounded
	lowX, highX, lowY, highY := min(p.x, q.x), max(p.x, q.x), min(p.y, q.y), max(p.y, q.y)
	rows := int32(len(c.cells)) / c.columns
	for y := max(lowY-far, 0) / mesh; y <= min((highY+far)/mesh, rows-1); y++ {
		for x := max(lowX-far, 0) / mesh; x <= min((highX+far)/mesh, c.columns-1); x++ {
		pieces:
			for v := c.cells[y*c.columns+x]; v >= 0; v = c.after[v] {
				w := c.next[v]
				r, s := c.points[v], c.points[w]
				if max(r.x, s.x) < lowX || min(r.x, s.x) > highX || max(r.y, s.y) < lowY || min(r.y, s.y) > highY {
					continue
				}
				for _, g := range gone {
					if v == g {
						continue pieces
					}
				}
				if w == from || v == to {
					// A neighbour at one end: it may touch there, but not lie along the piece.
					if folded(p, q, r, s) {
						return false
					}
					continue
				}
				if meets(p, q, r, s) {
					return false
				}
			}
		}
	}
	return true
}

// side is on which side of the line from p to q the place r lies.
func side(p, q, r point) int64 {
	return int64(q.x-p.x)*int64(r.y-p.y) - int64(q.y-p.y)*int64(r.x-p.x)
}

// meets reports whether p-q and r-s have a point in common.
func meets(p, q, r, s point) bool {
	a, b := side(p, q, r), side(p, q, s)
	if a > 0 && b > 0 || a < 0 && b < 0 {
		return false
	}
	c, d := side(r, s, p), side(r, s, q)
	return !(c > 0 && d > 0 || c < 0 && d < 0)
}

// folded reports whether two pieces that share an end lie on one another.
func folded(p, q, r, s point) bool {
	if p == s {
		p, q, r, s = q, p, s, r
	} // now q == r
	return side(p, q, s) == 0 && int64(q.x-p.x)*int64(s.x-r.x)+int64(q.y-p.y)*int64(s.y-r.y) <= 0
}

// line is the chain from its first vertex to its last.
func (c *chain) line() []point {
	var line []point
	for v := c.first; v >= 0; v = c.next[v] {
		line = append(line, c.points[v])
	}
	return line
}
