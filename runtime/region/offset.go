package region

import (
	"cmp"
	"math"
	"slices"

	"wend/runtime/geom"
)

// How an offset comes about. Beside every piece of a border stands a strip as
// wide as the offset, and in every corner that opens on that side a sector, or the
// corner itself if it is mitred. The line around area, strips and sectors, each
// counted once, is the border moved along its normals, led through the corner
// wherever strips overlap. What winds around a place once or more lies in one of
// them: so growing is exact but for the flattening of the arcs, whatever the area
// is like. Shrinking is growing what lies around the area: there the strips count
// against it, and what is left of it is wound around once.

// Corners says what offsets do at corners that open.
type Corners uint8

// The corners.
const (
	Round  Corners = iota // every place is as near to the area as the offset says
	Mitred                // straight on until the two sides meet, four times the offset away at most
)

// mitreLimit is how far a mitred corner may lie off, in offsets.
const mitreLimit = 4

// Offset is a region grown by mm on all sides, or shrunk if that is negative.
// Arcs are flattened to within toleranceMM, on the inner side.
func Offset(area Region, mm, toleranceMM float64, corners Corners, work Work) (Region, error) {
	// What is grown is taken together where it touches, so that what lies between
	// is a hole; what is shrunk is taken apart.
	at := apart
	if mm > 0 {
		at = joined
	}
	simple, err := area.simple(at, work)
	if err != nil || mm == 0 || len(simple) == 0 {
		return simple, err
	}
	o := offsetting{mm: mm, toleranceMM: toleranceMM, corners: corners}
	var rings [][]geom.Point
	box := geom.EmptyBox()
	for _, line := range simple {
		if closesUp(line.Points, mm) {
			continue
		}
		o.points = nil
		o.around(line.Points[1:])
		if err := work(len(o.points), len(o.points)); err != nil {
			return nil, err
		}
		rings = append(rings, o.points)
		box = box.Union(geom.Bounds(o.points))
	}
	d := newArrangement(box)
	for _, ring := range rings {
		d.addRing(ring, 0)
	}
	return d.area(func(w winding) bool { return w[0] > 0 }, apart, work)
}

// closesUp reports whether nothing is left of what a line goes around, inside or a
// hole, since its border moves in on it. It may not find out.
func closesUp(line []geom.Point, mm float64) bool {
	var twice, around float64
	convex, last := true, line[len(line)-2]
	sign := 0.0
	for i, p := range line[:len(line)-1] {
		next := line[i+1]
		twice += p.Sub(line[0]).Cross(next.Sub(line[0]))
		around += p.Distance(next)
		turn := geom.Orientation(last, p, next)
		convex = convex && float64(turn)*sign >= 0
		if turn != 0 {
			sign = float64(turn)
		}
		last = p
	}
	if (twice > 0) == (mm > 0) {
		return false
	}
	// No disc as wide as that fits in: by the box, by the area, and since in a
	// convex line the triangles from the middle of the disc to its pieces are as
	// high as the radius at least.
	size, twice := math.Abs(mm), math.Abs(twice)
	box := geom.Bounds(line)
	return min(box.Width(), box.Height()) <= float64(2*size) || twice <= float64(2*math.Pi*size*size) ||
		convex && twice <= float64(size*around)
}

// OffsetLine is the line that runs beside an open one, mm to its left, or to its
// right if that is negative: all places beside it that lie so far from it, and not
// nearer to another part of it. Those are several lines or none where it is bent
// too much; they run as the line does, and come in its order.
func OffsetLine(line []geom.Point, mm, toleranceMM float64, corners Corners, work Work) ([][]geom.Point, error) {
	line = geom.WithoutRepeats(line)
	if len(line) < 2 || mm == 0 {
		return [][]geom.Point{line}, nil
	}
	// Once there and back is a border without an area; it is grown, and what
	// stems from one side is taken.
	back := geom.Reversed(line)
	there := append(slices.Clone(line[1:]), back[1:]...)
	o := offsetting{mm: math.Abs(mm), toleranceMM: toleranceMM, corners: corners}
	o.around(there)
	if err := work(len(o.points), len(o.points)); err != nil {
		return nil, err
	}
	d := newArrangement(geom.Bounds(o.points))
	d.addRing(o.points, 0)
	if err := d.resolve(work); err != nil {
		return nil, err
	}
	f, err := d.faces(work)
	if err != nil {
		return nil, err
	}
	turn := len(line) - 1 // corners before it are of the way there
	wanted := func(line int32) bool {
		switch corner := int(o.of[line]); {
		case corner == beside:
			return false
		case mm < 0:
			return corner < turn
		default:
			return corner >= turn
		}
	}
	type stretch struct {
		begins int32
		points []geom.Point
	}
	var found []stretch
	for _, outline := range f.outlines(func(w winding) bool { return w[0] > 0 }, apart) {
		for _, s := range f.stretches(outline, wanted) {
			points := s.points
			if mm > 0 {
				points = geom.Reversed(points)
			}
			found = append(found, stretch{s.first, points})
		}
	}
	slices.SortStableFunc(found, func(s, t stretch) int {
		if mm > 0 {
			return cmp.Compare(t.begins, s.begins)
		}
		return cmp.Compare(s.begins, t.begins)
	})
	lines := make([][]geom.Point, len(found))
	for i, s := range found {
		lines[i] = s.points
	}
	return lines, nil
}

// beside marks what is of no piece of a line: the arcs around its ends.
const beside = -1

// offsetting makes the line beside a border.
type offsetting struct {
	mm          float64 // to the right
	toleranceMM float64
	corners     Corners
	points      []geom.Point
	// of says of each point of which piece of the border the way to it stems, by
	// the corner that the piece ends in; or beside.
	of []int32
}

func (o *offsetting) add(p geom.Point, of int) {
	o.points = append(o.points, p)
	o.of = append(o.of, int32(of))
}

// around adds the line beside a closed border: corners in a row differ, and the
// last is followed by the first.
func (o *offsetting) around(border []geom.Point) {
	n := len(border)
	for i, corner := range border {
		before, after := corner.Sub(border[(i+n-1)%n]), border[(i+1)%n].Sub(corner)
		lengths := [2]float64{before.Length(), after.Length()}
		o.corner(i, corner, before.Times(1/lengths[0]), after.Times(1/lengths[1]), min(lengths[0], lengths[1]))
	}
}

// corner leads the line past a corner between two directions, of whose pieces
// the shorter is so long.
func (o *offsetting) corner(i int, corner, in, out geom.Point, shorter float64) {
	beside := func(along geom.Point) geom.Point {
		return corner.Add(geom.Point{X: along.Y, Y: -along.X}.Times(o.mm))
	}
	turn, ahead := in.Cross(out), in.Dot(out)
	size := math.Abs(o.mm)
	o.add(beside(in), i)
	switch {
	case turn == 0 && ahead > 0:
	case float64(turn*o.mm) > 0 && o.flat(ahead):
		o.points[len(o.points)-1] = corner.Add(beside(in).Sub(corner).Add(beside(out).Sub(corner)).Times(1 / (1 + ahead)))
		return
	case float64(turn*o.mm) > 0 || turn == 0:
		o.opening(i, corner, in, out)
	case ahead > -0.9 && float64(float64(size*math.Abs(turn))*2) <= float64(shorter*(1+ahead)):
		// tan(θ/2) = sin θ / (1 + cos θ), which cancels near a turn back: the two
		// sides meet before half of either is over.
		meet := beside(in).Sub(corner).Add(beside(out).Sub(corner)).Times(1 / (1 + ahead))
		o.points[len(o.points)-1] = corner.Add(meet)
		return
	default:
		o.add(corner, i)
	}
	o.add(beside(out), i)
}

// flat reports whether a corner that opens is so flat that it may be mitred for an
// arc: 1 / cos(θ/2) - 1 of the offset is within the tolerance. So arcs that were
// flattened keep their number of points.
func (o *offsetting) flat(ahead float64) bool {
	size := math.Abs(o.mm)
	return ahead > 0 && float64(math.Sqrt((1+ahead)/2)*(size+o.toleranceMM)) >= size
}

// opening adds what lies between the two sides of a corner that opens.
func (o *offsetting) opening(i int, corner, in, out geom.Point) {
	turn, ahead := in.Cross(out), in.Dot(out)
	start := o.points[len(o.points)-1]
	size := math.Abs(o.mm)
	if o.corners == Mitred && turn != 0 {
		// cos²(θ/2) = (1 + cos θ) / 2
		if half := math.Sqrt((1 + ahead) / 2); float64(half*mitreLimit) >= 1 {
			side := start.Sub(corner).Add(geom.Point{X: out.Y, Y: -out.X}.Times(o.mm))
			o.add(corner.Add(side.Times(1/(1+ahead))), i)
		} else {
			on := float64(size*(mitreLimit-half)) / math.Sqrt((1-ahead)/2)
			o.add(start.Add(in.Times(on)), i)
			o.add(corner.Add(geom.Point{X: out.Y, Y: -out.X}.Times(o.mm)).Sub(out.Times(on)), i)
		}
		return
	}
	heading, _ := geom.DirectionOf(in)
	around := 180.0
	if turn != 0 {
		ahead, _ := geom.DirectionOf(out)
		around = math.Mod(ahead-heading+540, 360) - 180
	}
	around = math.Copysign(around, o.mm)
	points, _, _ := geom.Arc(nil, start, heading, size, around, o.toleranceMM, math.MaxInt32)
	of := i
	if turn == 0 {
		of = beside
	}
	for _, p := range points[:max(len(points)-1, 0)] {
		o.add(p, of)
	}
	if turn == 0 && len(points) > 0 {
		o.add(points[len(points)-1], beside)
	}
}

// run is a part of an outline, and the first line of it.
type run struct {
	points []geom.Point
	first  int32
}

// stretches are the parts of an outline that stem from wanted lines.
func (f *faces) stretches(o outline, wanted func(line int32) bool) []run {
	n := len(o.lines)
	begin := slices.IndexFunc(o.lines, func(line int32) bool { return !wanted(line) })
	if begin < 0 {
		return []run{{f.points(o), o.lines[0]}}
	}
	var runs []run
	var open *run
	for k := range n {
		i := (begin + k) % n
		switch line := o.lines[i]; {
		case !wanted(line):
			open = nil
		case open == nil:
			runs = append(runs, run{points: []geom.Point{f.given[o.vertices[i]]}, first: line})
			open = &runs[len(runs)-1]
		}
		if open != nil {
			end := f.given[o.vertices[(i+1)%n]]
			if next := o.lines[(i+1)%n]; next == o.lines[i] && wanted(next) {
				continue // the grid bent it here
			}
			open.points = append(open.points, end)
		}
	}
	return runs
}
