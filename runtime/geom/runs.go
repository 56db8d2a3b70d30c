package geom

// Runs is a line with the boxes around runs of its segments: short runs, pairs
// of those, pairs of these, up to the whole line. A line stays near itself, so
// most questions about a place are answered by a few boxes.
type Runs struct {
	Points []Point
	levels [][]Box // the first holds the boxes of runs of shortRun segments
}

// shortRun is the number of segments that are looked at one by one.
const shortRun = 8

// RunsOf makes the boxes of a line. It shares the points.
func RunsOf(points []Point) Runs {
	r := Runs{Points: points}
	var boxes []Box
	for i := 0; i+1 < len(points); i += shortRun {
		boxes = append(boxes, Bounds(points[i:min(i+shortRun+1, len(points))]))
	}
	for len(boxes) > 0 {
		r.levels = append(r.levels, boxes)
		if len(boxes) == 1 {
			break
		}
		next := make([]Box, 0, (len(boxes)+1)/2)
		for i := 0; i < len(boxes); i += 2 {
			box := boxes[i]
			if i+1 < len(boxes) {
				box = box.Union(boxes[i+1])
			}
			next = append(next, box)
		}
		boxes = next
	}
	return r
}

// Visit goes through the runs in the order of the line: wanted is asked about
// the box around each run and the points, first to last, between which it goes;
// the runs that it does not want are passed over, and each is called with every
// segment that is left, which goes from its point to the next one.
func (r Runs) Visit(wanted func(box Box, first, last int) bool, each func(segment int)) {
	if len(r.levels) > 0 {
		r.visit(len(r.levels)-1, 0, wanted, each)
	}
}

func (r Runs) visit(level, at int, wanted func(Box, int, int) bool, each func(int)) {
	if at >= len(r.levels[level]) {
		return
	}
	first := at << level * shortRun
	last := min((at+1)<<level*shortRun, len(r.Points)-1)
	if !wanted(r.levels[level][at], first, last) {
		return
	}
	if level > 0 {
		r.visit(level-1, 2*at, wanted, each)
		r.visit(level-1, 2*at+1, wanted, each)
		return
	}
	for i := first; i < last; i++ {
		each(i)
	}
}
