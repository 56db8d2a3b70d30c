package shading

import (
	"cmp"
	"math"
	"slices"

	"wend/runtime/geom"
	"wend/runtime/region"
)

// crossing is where a row ends on the border.
type crossing struct {
	at   geom.Point
	ring int
	edge int // of the ring, which goes on from this point of it
	row  int
	side int // of the row
}

// The sides of a row.
const (
	left = iota
	right
)

// row is a straight piece of a hatch, along +x.
type row struct {
	ends   [2]int // crossings
	height float64
	level  int // of the lattice; -1 for a row of its own
	cell   int
}

// rows are an area cut into level rows.
type rows struct {
	rings     [][]geom.Point // each closed, the area on its left
	crossings []crossing
	rows      []row
	// along are the crossings of each ring in its order.
	along [][]int
}

// rowsOf cuts an area into level rows a spacing apart, as far from its top as
// from its bottom unless they are aligned. A part of it between two of them gets a
// row of its own.
func rowsOf(area region.Region, o Options, work region.Work) (*rows, error) {
	spacing := o.SpacingMM
	r := &rows{}
	for _, line := range area {
		r.rings = append(r.rings, line.Points)
	}
	box := area.Bounds()
	count := max(1, math.Round(box.Height()/spacing))
	lowest := float64(box.Center().Y) - float64((count-1)/2*spacing)
	if o.Aligned {
		lowest = float64(math.Ceil(box.Min.Y/spacing) * spacing)
		count = max(0, 1+math.Floor((box.Max.Y-lowest)/spacing))
	}
	if err := work(int(min(count, mostRows)), int(min(count, mostRows))); err != nil {
		return nil, err
	}
	crossed := make([]bool, len(r.rings))
	heights := func(i int) float64 { return lowest + float64(float64(i)*spacing) }
	// By row of the lattice.
	found := make([][]int, int(count))
	for ring, points := range r.rings {
		for i := 1; i < len(points); i++ {
			a, b := points[i-1], points[i]
			low, high := min(a.Y, b.Y), max(a.Y, b.Y)
			first := max(0, int(math.Ceil((low-lowest)/spacing))-1)
			for k := first; k < len(found) && heights(k) <= high; k++ {
				if heights(k) > low {
					crossed[ring] = true
					found[k] = append(found[k], r.cross(ring, i, a, b, heights(k)))
				}
			}
		}
	}
	for k, crossings := range found {
		r.pair(crossings, heights(k), k)
	}
	r.addSlivers(crossed)
	r.along = make([][]int, len(r.rings))
	for c, at := range r.crossings {
		r.along[at.ring] = append(r.along[at.ring], c)
	}
	for ring, crossings := range r.along {
		points := r.rings[ring]
		slices.SortFunc(crossings, func(c, d int) int {
			p, q := &r.crossings[c], &r.crossings[d]
			if p.edge != q.edge {
				return p.edge - q.edge
			}
			a := points[p.edge-1]
			return cmp.Compare(p.at.Distance(a), q.at.Distance(a))
		})
	}
	return r, work(10*len(r.crossings), len(r.crossings))
}

// addSlivers adds a row for each part of the area that lies between two rows.
func (r *rows) addSlivers(crossed []bool) {
	type hole struct {
		ring  int
		start geom.Point
	}
	var holes []hole // from left to right
	area := make([]float64, len(r.rings))
	for ring, points := range r.rings {
		if area[ring] = signedArea(points); !crossed[ring] && area[ring] <= 0 {
			holes = append(holes, hole{ring, points[0]})
		}
	}
	slices.SortStableFunc(holes, func(g, h hole) int { return cmp.Compare(g.start.X, h.start.X) })
	for ring, points := range r.rings {
		if crossed[ring] || area[ring] <= 0 {
			continue
		}
		box := geom.Bounds(points)
		height := float64(box.Center().Y)
		crossings := r.crossAt(nil, ring, height)
		first, _ := slices.BinarySearchFunc(holes, box.Min.X, func(h hole, x float64) int { return cmp.Compare(h.start.X, x) })
		for _, h := range holes[first:] {
			if h.start.X > box.Max.X {
				break
			}
			if box.Contains(h.start) {
				crossings = r.crossAt(crossings, h.ring, height)
			}
		}
		r.pair(crossings, height, -1)
	}
}

// crossAt appends where a ring crosses a height.
func (r *rows) crossAt(crossings []int, ring int, height float64) []int {
	points := r.rings[ring]
	for i := 1; i < len(points); i++ {
		if a, b := points[i-1], points[i]; (a.Y < height) != (b.Y < height) {
			crossings = append(crossings, r.cross(ring, i, a, b, height))
		}
	}
	return crossings
}

// mostRows is more rows than any limit allows.
const mostRows = 1 << 30

func signedArea(ring []geom.Point) float64 {
	sum := 0.0
	for i := 1; i < len(ring); i++ {
		sum += ring[i-1].Sub(ring[0]).Cross(ring[i].Sub(ring[0]))
	}
	return sum / 2
}

func (r *rows) cross(ring, edge int, a, b geom.Point, height float64) int {
	at := geom.Point{X: a.X + float64((b.X-a.X)*((height-a.Y)/(b.Y-a.Y))), Y: height}
	r.crossings = append(r.crossings, crossing{at: at, ring: ring, edge: edge, row: -1})
	return len(r.crossings) - 1
}

// pair makes rows of the crossings at one height.
func (r *rows) pair(crossings []int, height float64, level int) {
	slices.SortFunc(crossings, func(c, d int) int {
		return cmp.Or(cmp.Compare(r.crossings[c].at.X, r.crossings[d].at.X), cmp.Compare(c, d))
	})
	for i := 0; i+1 < len(crossings); i += 2 {
		ends := [2]int{crossings[i], crossings[i+1]}
		for side, c := range ends {
			r.crossings[c].row, r.crossings[c].side = len(r.rows), side
		}
		r.rows = append(r.rows, row{ends: ends, height: height, level: level, cell: -1})
	}
}

// way is a way from the end of one row to that of another along the border.
type way struct {
	from, to int // crossings
	length   float64
}

// ways are those between neighbouring ends on each ring.
func (r *rows) ways() []way {
	var all []way
	for ring, crossings := range r.along {
		points := r.rings[ring]
		upTo := make([]float64, len(points))
		for i := 1; i < len(points); i++ {
			upTo[i] = upTo[i-1] + points[i-1].Distance(points[i])
		}
		place := func(c int) float64 {
			at := &r.crossings[c]
			return upTo[at.edge-1] + at.at.Distance(points[at.edge-1])
		}
		for i, c := range crossings {
			next := crossings[(i+1)%len(crossings)]
			length := place(next) - place(c)
			if i == len(crossings)-1 {
				length += upTo[len(points)-1]
			}
			if r.crossings[c].row != r.crossings[next].row {
				all = append(all, way{c, next, length})
			}
		}
	}
	return all
}

// points is a way as a line.
func (r *rows) points(w way) []geom.Point {
	from, to := &r.crossings[w.from], &r.crossings[w.to]
	ring := r.rings[from.ring]
	last := len(ring) - 1 // its last point is its first
	line := []geom.Point{from.at}
	steps := to.edge - from.edge
	if steps < 0 || steps == 0 && to.at.Distance(ring[from.edge-1]) < from.at.Distance(ring[from.edge-1]) {
		steps += last
	}
	for k := range steps {
		line = append(line, ring[(from.edge-1+k)%last+1])
	}
	return append(line, to.at)
}

// line is a row as a line, with the places at which others meet it.
func (r *rows) line(i int, meetings []geom.Point) []geom.Point {
	line := append([]geom.Point{r.crossings[r.rows[i].ends[left]].at, r.crossings[r.rows[i].ends[right]].at}, meetings...)
	slices.SortFunc(line, func(p, q geom.Point) int { return cmp.Compare(p.X, q.X) })
	return line
}
