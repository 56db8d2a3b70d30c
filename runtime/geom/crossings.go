package geom

import (
	"cmp"
	"slices"
)

// Crossings are the places of a line that another one has, too, in the order in
// which the first comes to them: where they cross, where one ends on the other
// or touches it at a corner (within SamePoint), and of each stretch along which
// they run together both ends. visit is told how much work each step is, and
// ends the search by its error.
func Crossings(line Measured, other Runs, visit func(work int) error) ([]Spot, error) {
	found := meetings{line: line}
	if len(line.points) == 1 {
		line = Measure([]Point{line.points[0], line.points[0]})
		found.line = line
	}
	if len(other.Points) == 1 {
		other = RunsOf([]Point{other.Points[0], other.Points[0]})
	}
	for i := 0; i+1 < len(line.points); i++ {
		a, b := line.points[i], line.points[i+1]
		box := Bounds([]Point{a, b}).Grow(SamePoint)
		work := 1
		other.Visit(func(run Box, _, _ int) bool {
			work++
			return box.Meets(run)
		}, func(k int) {
			work++
			found.pair(i, other.Points[k], other.Points[k+1])
		})
		if err := visit(work); err != nil {
			return nil, err
		}
	}
	return found.spots(), nil
}

// meetings collects where a line meets segments of another.
type meetings struct {
	line     Measured
	crossed  []Spot
	touched  []Spot
	together [][2]float64 // stretches that both have, in mm from the start
}

// pair adds what segment i of the line has in common with the segment cd.
func (m *meetings) pair(i int, c, d Point) {
	a, b := m.line.points[i], m.line.points[i+1]
	spot := func(share float64) Spot {
		span := m.line.upTo[i+1] - m.line.upTo[i]
		return Spot{a.Mix(b, share), i, share, m.line.upTo[i] + float64(span*share)}
	}
	if from, to, ok := CommonPiece(a, b, c, d, SamePoint); ok {
		m.together = append(m.together, [2]float64{spot(from).Along, spot(to).Along})
		m.touched = append(m.touched, spot(from), spot(to))
		return
	}
	ends := len(m.touched)
	for _, end := range [2]Point{c, d} {
		if SegmentDistance(a, b, end) <= SamePoint {
			m.touched = append(m.touched, spot(NearestOnSegment(a, b, end)))
		}
	}
	for share, end := range [2]Point{a, b} {
		if SegmentDistance(c, d, end) <= SamePoint {
			m.touched = append(m.touched, spot(float64(share)))
		}
	}
	if len(m.touched) == ends && Meet(a, b, c, d) == Crossing {
		if share, _, ok := Intersect(a, b, c, d); ok {
			m.crossed = append(m.crossed, spot(max(0, min(1, share))))
		}
	}
}

// spots are the places in order, each once, and none from within a stretch
// that both lines have.
func (m *meetings) spots() []Spot {
	slices.SortFunc(m.together, func(a, b [2]float64) int { return cmp.Compare(a[0], b[0]) })
	var whole [][2]float64
	for _, s := range m.together {
		if n := len(whole); n > 0 && s[0] <= whole[n-1][1]+SamePoint {
			whole[n-1][1] = max(whole[n-1][1], s[1])
		} else {
			whole = append(whole, s)
		}
	}
	slices.SortFunc(m.touched, byPlace)
	all := m.crossed
	for at, spot := 0, 0; spot < len(m.touched); spot++ {
		along := m.touched[spot].Along
		for at < len(whole) && whole[at][1] < along-SamePoint {
			at++
		}
		if at == len(whole) || along <= whole[at][0]+SamePoint || along >= whole[at][1]-SamePoint {
			all = append(all, m.touched[spot])
		}
	}
	slices.SortStableFunc(all, byPlace)
	kept := all[:0]
	for _, s := range all {
		// A corner is found from both of its segments.
		if n := len(kept); n == 0 || s.Along > kept[n-1].Along+4*SamePoint {
			kept = append(kept, s)
		}
	}
	if n := len(kept); n > 1 && Closed(m.line.points) && kept[0].Along <= SamePoint && kept[n-1].Along >= m.line.Length()-SamePoint {
		kept = kept[:n-1] // the end is the start
	}
	return kept
}

func byPlace(a, b Spot) int { return cmp.Compare(a.Along, b.Along) }

// Meets reports whether the boxes have a point in common.
func (b Box) Meets(c Box) bool {
	return max(b.Min.X, c.Min.X) <= min(b.Max.X, c.Max.X) && max(b.Min.Y, c.Min.Y) <= min(b.Max.Y, c.Max.Y)
}
