package congruence

import (
	"math"

	"wend/runtime/geom"
)

// ink is a line that is asked how far a point is from it.
type ink struct {
	points []geom.Point
	cells  map[[2]int][]int // the segments that pass near each cell
	// turned are the directions of its straight pieces, without repeats.
	headings []float64
}

// cell is the size of a cell, in mm; a point farther than that from the line is
// only known to be far.
const cell = 2.0

// step is how far apart the points are that stand for a line, in mm: a fine part
// of any tolerance that makes sense with a ruler.
const step = 0.1

func newInk(points []geom.Point) *ink {
	k := &ink{points: points, cells: map[[2]int][]int{}}
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		low, high := cellOf(geom.Bounds([]geom.Point{a, b}).Min), cellOf(geom.Bounds([]geom.Point{a, b}).Max)
		for x := low[0] - 1; x <= high[0]+1; x++ {
			for y := low[1] - 1; y <= high[1]+1; y++ {
				center := geom.Point{X: (float64(x) + 0.5) * cell, Y: (float64(y) + 0.5) * cell}
				if geom.SegmentDistance(a, b, center) < 2*cell {
					k.cells[[2]int{x, y}] = append(k.cells[[2]int{x, y}], i)
				}
			}
		}
	}
	for _, p := range newOutline(points).pieces {
		k.addHeading(p.heading)
		k.addHeading(p.heading + 180)
	}
	return k
}

// sameHeading is within how many degrees two directions are one.
const sameHeading = 0.02

func (k *ink) addHeading(heading float64) {
	for _, h := range k.headings {
		if apart(h, heading) < sameHeading {
			return
		}
	}
	k.headings = append(k.headings, heading)
}

func cellOf(p geom.Point) [2]int {
	return [2]int{int(math.Floor(p.X / cell)), int(math.Floor(p.Y / cell))}
}

// distance is how far a point is from the line, up to about a cell; beyond that
// it is infinite.
func (k *ink) distance(p geom.Point) float64 {
	least := math.Inf(1)
	for _, i := range k.cells[cellOf(p)] {
		least = min(least, geom.SegmentDistance(k.points[i-1], k.points[i], p))
	}
	return least
}

// stray is the first point of a line, by segment and place, that is farther from
// the ink than a tolerance.
func (k *ink) stray(line []geom.Point, tolerance float64) (segment int, at geom.Point, any bool) {
	for i := 1; i < len(line); i++ {
		pieces := max(1, int(math.Ceil(line[i-1].Distance(line[i])/step)))
		for s := range pieces + 1 {
			p := line[i-1].Mix(line[i], float64(s)/float64(pieces))
			if k.distance(p) > tolerance {
				return i - 1, p, true
			}
		}
	}
	return 0, geom.Point{}, false
}

// place finds a motion that is allowed and lays a line on the ink so that each
// is within the tolerance of the other.
func (k *ink) place(line []geom.Point, allowed Motions, tolerance float64) (geom.Affine, bool) {
	for _, m := range k.motions(line, allowed) {
		moved := m.Append(nil, line)
		box, own := geom.Bounds(moved), geom.Bounds(k.points)
		if box.Min.Distance(own.Min) > 3*tolerance || box.Max.Distance(own.Max) > 3*tolerance {
			continue
		}
		if _, _, off := k.stray(moved, tolerance); off {
			continue
		}
		if _, _, off := newInk(moved).stray(k.points, tolerance); !off {
			return m, true
		}
	}
	return geom.Affine{}, false
}

// motions are those under which a line might lie on the ink. A shape that may be
// moved is laid so that its box stands on the ink's; one that may be turned, so
// that its longest piece runs along one of the ink's.
func (k *ink) motions(line []geom.Point, allowed Motions) []geom.Affine {
	still := geom.Rotation(0)
	turns := []geom.Affine{still}
	if allowed.Mirrored {
		turns = append(turns, geom.Mirroring(90), geom.Mirroring(0))
	}
	if allowed.Turned {
		var all []geom.Affine
		for _, t := range turns {
			longest := newOutline(t.Append(nil, line)).longest()
			for _, h := range k.headings {
				all = append(all, t.Then(geom.Rotation(h-longest)))
			}
		}
		turns = all
	}
	if !allowed.Moved {
		return turns
	}
	center := geom.Bounds(k.points).Center()
	for i, t := range turns {
		turns[i] = t.Then(geom.Translation(center.Sub(geom.Bounds(t.Append(nil, line)).Center())))
	}
	return turns
}

// course finds where a line leaves the ink, or else what of the ink it leaves
// out, under the motion that agrees for longest.
func (k *ink) course(line []geom.Point, allowed Motions, tolerance float64) Difference {
	best, reached := Difference{}, -1
	motions := k.motions(line, allowed)
	if allowed.Moved {
		motions = append(motions, geom.Translation(k.points[0].Sub(line[0])))
	}
	for _, m := range motions {
		moved := m.Append(nil, line)
		segment, at, off := k.stray(moved, tolerance)
		if !off {
			segment = len(line)
		}
		if segment <= reached {
			continue
		}
		reached = segment
		back := inverse(m)
		if off {
			best = Difference{Kind: Course, At: back.Point(at), Segment: segment, Found: farthest(k, moved)}
			continue
		}
		// Ring the middle of the first part that is left out.
		drawn := newInk(moved)
		i, from, _ := drawn.stray(k.points, tolerance)
		to := from
		for ; i+1 < len(k.points); i++ {
			if drawn.distance(k.points[i+1]) <= tolerance {
				break
			}
			to = k.points[i+1]
			if to.Distance(from) > 10 {
				break
			}
		}
		best = Difference{Kind: Undrawn, At: back.Point(from.Mix(to, 0.5)), Segment: len(line) - 2}
	}
	return best
}

// farthest is how far a line goes from the ink at most, in mm.
func farthest(k *ink, line []geom.Point) float64 {
	far := 0.0
	for _, p := range line {
		least := math.Inf(1)
		for i := 1; i < len(k.points); i++ {
			least = min(least, geom.SegmentDistance(k.points[i-1], k.points[i], p))
		}
		far = max(far, least)
	}
	return far
}

// inverse undoes a motion, which keeps lengths: its linear part is undone by its
// transpose.
func inverse(m geom.Affine) geom.Affine {
	x, y := m.Vector(geom.Point{X: 1}), m.Vector(geom.Point{Y: 1})
	heading, _ := geom.DirectionOf(x)
	undo := geom.Rotation(-heading)
	if x.Cross(y) < 0 {
		undo = geom.Mirroring(heading / 2)
	}
	return geom.Translation(m.Point(geom.Point{}).Times(-1)).Then(undo)
}
