package geom

import "math"

// Contours are the lines on which a function of the plane has the value level,
// within a box. The function is asked at the corners of cells no larger than
// step mm, and whatever is smaller than a cell may be missed; where a line
// enters and leaves a cell, and along its way between, it is found to within
// tolerance mm. Higher values lie to the left of a line. Closed lines end
// where they began, all others on the edge of the box. They come in the order
// of the cells, rows from the bottom up, those that end on the edge first.
//
// Marching squares (Lorensen and Cline, 1987, for the plane); where two
// opposite corners lie higher than the others, the middle of the cell decides.
//
// Errors are those of f.
func Contours(f func(Point) (float64, error), box Box, level, step, tolerance float64) ([][]Point, error) {
	c := &contour{f: f, level: level, tolerance: tolerance, box: box}
	c.columns, c.rows = ContourCells(box, step)
	if c.columns == 0 || c.rows == 0 {
		return nil, nil
	}
	if err := c.sample(); err != nil {
		return nil, err
	}
	if err := c.march(); err != nil {
		return nil, err
	}
	return c.join()
}

// ContourCells is how many cells Contours makes of a box; at most 1<<30 each
// way, which is more than anybody can wait for.
func ContourCells(box Box, step float64) (columns, rows int) {
	count := func(size float64) int { return int(max(0, min(1<<30, math.Ceil(size/step-1e-9)))) }
	return count(box.Width()), count(box.Height())
}

type contour struct {
	f             func(Point) (float64, error)
	level         float64
	tolerance     float64
	box           Box
	columns, rows int
	over          []float64 // how far the function lies over the level, at each corner
	next          map[int]int
	order         []int // edges of cells from which a piece of line goes, as found
	entered       map[int]bool
	places        map[int]Point // where a line passes an edge
}

func (c *contour) corner(i, j int) Point {
	return Point{
		c.box.Min.X + float64(c.box.Width()*(float64(i)/float64(c.columns))),
		c.box.Min.Y + float64(c.box.Height()*(float64(j)/float64(c.rows))),
	}
}

func (c *contour) at(p Point) (float64, error) {
	v, err := c.f(p)
	return v - c.level, err
}

func (c *contour) sample() error {
	c.over = make([]float64, 0, (c.columns+1)*(c.rows+1))
	for j := range c.rows + 1 {
		for i := range c.columns + 1 {
			v, err := c.at(c.corner(i, j))
			if err != nil {
				return err
			}
			c.over = append(c.over, v)
		}
	}
	return nil
}

// march goes through the cells and notes how lines pass through them, from edge
// to edge. Edges are numbered: 2n goes from corner n to the right, 2n+1 up.
func (c *contour) march() error {
	c.next, c.entered, c.places = map[int]int{}, map[int]bool{}, map[int]Point{}
	stride := c.columns + 1
	for j := range c.rows {
		for i := range c.columns {
			n := j*stride + i
			// Corners and edges in turn, counterclockwise.
			corners := [4]int{n, n + 1, n + stride + 1, n + stride}
			edges := [4]int{2 * n, 2*(n+1) + 1, 2 * (n + stride), 2*n + 1}
			var high [4]bool
			count := 0
			for k, at := range corners {
				if high[k] = c.over[at] >= 0; high[k] {
					count++
				}
			}
			if count == 0 || count == 4 {
				continue
			}
			middle := false // whether it joins the high corners
			if count == 2 && high[0] == high[2] {
				v, err := c.at(c.corner(i, j).Mix(c.corner(i+1, j+1), 0.5))
				if err != nil {
					return err
				}
				middle = v >= 0
			}
			for k := range 4 {
				// A line comes in where, going round, low follows high.
				if !high[k] || high[(k+1)%4] {
					continue
				}
				// It goes out where high follows low again: around the low
				// corners if the high ones are joined, else around the high ones.
				out := k
				for turn := 1; turn < 4; turn++ {
					e := (k + turn) % 4
					if !middle {
						e = (k + 4 - turn) % 4
					}
					if !high[e] && high[(e+1)%4] {
						out = e
						break
					}
				}
				c.next[edges[k]] = edges[out]
				c.entered[edges[out]] = true
				c.order = append(c.order, edges[k])
			}
		}
	}
	return nil
}

// join makes lines of the pieces: first those that begin at the edge of the
// box, then those that are closed.
func (c *contour) join() ([][]Point, error) {
	var lines [][]Point
	for _, closed := range [2]bool{false, true} {
		for _, first := range c.order {
			if _, there := c.next[first]; !there || c.entered[first] != closed {
				continue
			}
			line, err := c.follow(first)
			if err != nil {
				return nil, err
			}
			if Length(line) > SamePoint {
				lines = append(lines, line)
			}
		}
	}
	return lines, nil
}

// follow takes the pieces of a line out, from an edge on.
func (c *contour) follow(edge int) ([]Point, error) {
	p, err := c.place(edge)
	if err != nil {
		return nil, err
	}
	line := []Point{p}
	for {
		to, there := c.next[edge]
		if !there {
			return line, nil
		}
		delete(c.next, edge)
		q, err := c.place(to)
		if err != nil {
			return nil, err
		}
		if line, err = c.between(line, p, q, finestSplit); err != nil {
			return nil, err
		}
		if q != p {
			line = append(line, q)
		}
		edge, p = to, q
	}
}

// finestSplit is how often a piece of line within one cell is halved at most.
const finestSplit = 6

// between appends the points that a line needs between two of its points to
// stay within the tolerance of the level line.
func (c *contour) between(line []Point, p, q Point, depth int) ([]Point, error) {
	chord := q.Sub(p)
	length := chord.Length()
	if depth == 0 || length <= 2*c.tolerance {
		return line, nil
	}
	middle := p.Mix(q, 0.5)
	over, err := c.at(middle)
	if err != nil {
		return nil, err
	}
	// The level line bulges to one side: mostly by less than a quarter of the
	// chord, and by more than its length only if it goes through other cells.
	bulge, found := middle, over == 0
	for reach := 0.25; !found && reach <= 1; reach *= 2 {
		aside := Point{float64(-chord.Y * reach), float64(chord.X * reach)}
		var there [2]float64
		sides := [2]Point{middle.Add(aside), middle.Sub(aside)}
		for k, side := range sides {
			if there[k], err = c.at(side); err != nil {
				return nil, err
			}
		}
		left, right := (over > 0) != (there[0] > 0), (over > 0) != (there[1] > 0)
		switch {
		case left && right:
			return line, nil // a line on either side: not to be told apart
		case right:
			sides[0], there[0] = sides[1], there[1]
		case !left:
			continue
		}
		if bulge, err = c.root(middle, sides[0], over, there[0]); err != nil {
			return nil, err
		}
		found = true
	}
	if !found || bulge.Distance(middle) <= c.tolerance || !c.box.Contains(bulge) {
		return line, nil
	}
	if line, err = c.between(line, p, bulge, depth-1); err != nil {
		return nil, err
	}
	return c.between(append(line, bulge), bulge, q, depth-1)
}

// place is where a line passes an edge.
func (c *contour) place(edge int) (Point, error) {
	if p, known := c.places[edge]; known {
		return p, nil
	}
	stride := c.columns + 1
	from, to := edge/2, edge/2+1
	if edge%2 == 1 {
		to = from + stride
	}
	p, err := c.root(c.corner(from%stride, from/stride), c.corner(to%stride, to/stride), c.over[from], c.over[to])
	c.places[edge] = p
	return p, err
}

// rootShare is how much finer than the tolerance a line is found on an edge.
const rootShare = 1.0 / 16

// root is where the function passes the level between two points over and
// under it: by the rule of false position, of which the end that stays is
// weighed half (the Illinois algorithm; Dowell and Jarratt, 1971), and by
// halves where that is slow.
func (c *contour) root(p, q Point, overP, overQ float64) (Point, error) {
	switch {
	case overP == 0:
		return p, nil
	case overQ == 0:
		return q, nil
	}
	fine := float64(c.tolerance*rootShare) / max(p.Distance(q), c.tolerance)
	low, high := 0.0, 1.0
	at, moved := 0.5, 0.0 // which end was moved last: that of p or of q
	for k := 0; high-low > fine && k < mostSteps; k++ {
		at = low - float64(overP*(high-low))/(overQ-overP)
		if k%4 == 3 || !(low < at && at < high) {
			at = low + float64((high-low)/2)
		}
		v, err := c.at(p.Mix(q, at))
		switch {
		case err != nil:
			return p, err
		case v == 0:
			return p.Mix(q, at), nil
		case (v > 0) == (overQ > 0):
			high, overQ = at, v
			if moved > 0 {
				overP /= 2
			}
			moved = 1
		default:
			low, overP = at, v
			if moved < 0 {
				overQ /= 2
			}
			moved = -1
		}
	}
	return p.Mix(q, at), nil
}

// mostSteps is more than root takes: every fourth halves what is left.
const mostSteps = 200
