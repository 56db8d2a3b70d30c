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

// stray is the first point of a line after a motion, by segment and place, that is
// farther from the ink than a tolerance.
func (k *ink) stray(line []geom.Point, m geom.Affine, tolerance float64) (segment int, at geom.Point, any bool) {
	from := m.Point(line[0])
	for i := 1; i < len(line); i++ {
		to := m.Point(line[i])
		pieces := max(1, int(math.Ceil(from.Distance(to)/step)))
		for s := range pieces + 1 {
			p := from.Mix(to, float64(s)/float64(pieces))
			if k.distance(p) > tolerance {
				return i - 1, p, true
			}
		}
		from = to
	}
	return 0, geom.Point{}, false
}

// drawing is a line that is laid on the ink. Its hull and one of its directions stand
// for it while motions are looked for, so that each of them costs little.
type drawing struct {
	points, hull []geom.Point
	outline      outline
}

func newDrawing(points []geom.Point) *drawing {
	return &drawing{points: points, hull: geom.Hull(points), outline: newOutline(points)}
}

// box is the box of the drawing after a motion.
func (d *drawing) box(m geom.Affine) geom.Box { return geom.Bounds(m.Append(nil, d.hull)) }

// still is the motion that leaves everything where it is.
var still = geom.Rotation(0)

// place reports whether a motion that is allowed lays a drawing on the ink so that
// each is within the tolerance of the other.
func (k *ink) place(d *drawing, allowed Motions, tolerance float64) bool {
	own := geom.Bounds(k.points)
	for _, m := range k.motions(d, allowed) {
		box := d.box(m)
		if box.Min.Distance(own.Min) > 3*tolerance || box.Max.Distance(own.Max) > 3*tolerance {
			continue
		}
		if _, _, off := k.stray(d.points, m, tolerance); off {
			continue
		}
		if _, _, off := newInk(m.Append(nil, d.points)).stray(k.points, still, tolerance); !off {
			return true
		}
	}
	return false
}

// motions are those under which a drawing might lie on the ink. One that may be moved
// is laid so that its box stands on the ink's; one that may be turned, so that its
// longest piece runs along one of the ink's.
func (k *ink) motions(d *drawing, allowed Motions) []geom.Affine {
	turns := []geom.Affine{still}
	if allowed.Mirrored {
		turns = append(turns, geom.Mirroring(90), geom.Mirroring(0))
	}
	if allowed.Turned {
		var all []geom.Affine
		for _, t := range turns {
			longest, _ := geom.DirectionOf(t.Vector(geom.Direction(d.outline.longest())))
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
		turns[i] = t.Then(geom.Translation(center.Sub(d.box(t).Center())))
	}
	return turns
}

// course finds where a drawing leaves the ink, or else what of the ink it leaves out,
// under the motion that agrees for longest.
func (k *ink) course(d *drawing, allowed Motions, tolerance float64) Difference {
	motions := k.motions(d, allowed)
	if allowed.Moved {
		motions = append(motions, geom.Translation(k.points[0].Sub(d.points[0])))
	}
	best, reached, where, off := motions[0], -1, geom.Point{}, false
	for _, m := range motions {
		segment, at, strays := k.stray(d.points, m, tolerance)
		if !strays {
			segment = len(d.points)
		}
		if segment > reached {
			best, reached, where, off = m, segment, at, strays
		}
	}
	moved, back := best.Append(nil, d.points), inverse(best)
	if off {
		return Difference{Kind: Course, At: back.Point(where), Segment: reached, Found: k.farthest(moved)}
	}
	// Ring the middle of the first part that is left out.
	drawn := newInk(moved)
	i, from, _ := drawn.stray(k.points, still, tolerance)
	to := from
	for ; i+1 < len(k.points) && to.Distance(from) <= ringedMM && drawn.distance(k.points[i+1]) > tolerance; i++ {
		to = k.points[i+1]
	}
	return Difference{Kind: Undrawn, At: back.Point(from.Mix(to, 0.5)), Segment: len(d.points) - 2}
}

// ringedMM is how much of what is left out is looked at to find its middle.
const ringedMM = 10.0

// mostLookedAt is of how many points of a line it is looked at most how far they are
// away.
const mostLookedAt = 5000

// farthest is how far a line goes from the ink at most, in mm.
func (k *ink) farthest(line []geom.Point) float64 {
	far := 0.0
	for i := 0; i < len(line); i += 1 + len(line)/mostLookedAt {
		least := math.Inf(1)
		for j := 1; j < len(k.points); j++ {
			least = min(least, geom.SegmentDistance(k.points[j-1], k.points[j], line[i]))
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
