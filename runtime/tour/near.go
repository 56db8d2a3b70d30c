package tour

import (
	"cmp"
	"math"
	"slices"

	"wend/runtime/geom"
)

// candidatesOfEach is how many near points are offered as neighbours of each.
// With fewer the tours get longer, with more the search gets slower.
const candidatesOfEach = 8

// leafSize is how many points a box of the tree holds at the most.
const leafSize = 8

// nearTogether numbers points so that those near one another have numbers near
// one another: the order of the leaves of a tree that halves the points by x
// and y in turn, whichever spreads wider. Entry i is the index of the i-th.
func nearTogether(points []geom.Point) []int32 {
	order := make([]int32, len(points))
	for i := range order {
		order[i] = int32(i)
	}
	halve(points, order)
	return order
}

func halve(points []geom.Point, part []int32) {
	for len(part) > leafSize {
		byX := widerInX(points, part)
		middle := len(part) / 2
		selectNth(part, middle, func(a, b int32) int { return compare(points, byX, a, b) })
		halve(points, part[:middle])
		part = part[middle:]
	}
}

func widerInX(points []geom.Point, part []int32) bool {
	box := geom.EmptyBox()
	for _, i := range part {
		box = box.Include(points[i])
	}
	return box.Max.X-box.Min.X >= box.Max.Y-box.Min.Y
}

func compare(points []geom.Point, byX bool, a, b int32) int {
	p, q := points[a], points[b]
	if !byX {
		p, q = geom.Point{X: p.Y, Y: p.X}, geom.Point{X: q.Y, Y: q.X}
	}
	return cmp.Or(cmp.Compare(p.X, q.X), cmp.Compare(p.Y, q.Y), cmp.Compare(a, b))
}

// selectNth brings the n-th of part to its place, none greater before it and
// none less behind it: quickselect with the median of three.
func selectNth(part []int32, n int, compare func(a, b int32) int) {
	low, high := 0, len(part)-1
	for low < high {
		middle := (low + high) / 2
		a, b, c := part[low], part[middle], part[high]
		pivot := b
		switch {
		case (compare(a, b) < 0) != (compare(a, c) < 0):
			pivot = a
		case (compare(c, a) < 0) != (compare(c, b) < 0):
			pivot = c
		}
		i, j := low, high
		for i <= j {
			for compare(part[i], pivot) < 0 {
				i++
			}
			for compare(part[j], pivot) > 0 {
				j--
			}
			if i <= j {
				part[i], part[j] = part[j], part[i]
				i, j = i+1, j-1
			}
		}
		switch {
		case n <= j:
			high = j
		case n >= i:
			low = i
		default:
			return
		}
	}
}

// tree is the tree of nearTogether with the box of each part, for points that
// are numbered in its order.
type tree struct {
	points []geom.Point
	boxes  []geom.Box // of part i the halves are 2i+1 and 2i+2
}

func newTree(points []geom.Point) *tree {
	t := &tree{points: points}
	t.measure(0, 0, len(points))
	return t
}

func (t *tree) measure(part, from, to int) geom.Box {
	for len(t.boxes) <= part {
		t.boxes = append(t.boxes, geom.EmptyBox())
	}
	box := geom.Bounds(t.points[from:to])
	if to-from > leafSize {
		middle := from + (to-from)/2
		box = t.measure(2*part+1, from, middle).Union(t.measure(2*part+2, middle, to))
	}
	t.boxes[part] = box
	return box
}

// found is a point and the square of its distance.
type found struct {
	square float64
	node   int32
}

// nearest finds the points nearest to p in a part of the plane that are wanted,
// nearest first and of equals the lower number first, as many as best is long;
// it returns how many.
func (t *tree) nearest(p geom.Point, within geom.Box, best []found, wanted func(int32) bool) int {
	count := 0
	var visit func(part, from, to int)
	visit = func(part, from, to int) {
		if square := squareTo(t.boxes[part], within, p); math.IsInf(square, 1) || count == len(best) && square > best[count-1].square {
			return
		}
		if to-from > leafSize {
			middle := from + (to-from)/2
			if squareTo(t.boxes[2*part+1], within, p) <= squareTo(t.boxes[2*part+2], within, p) {
				visit(2*part+1, from, middle)
				visit(2*part+2, middle, to)
			} else {
				visit(2*part+2, middle, to)
				visit(2*part+1, from, middle)
			}
			return
		}
		for i := from; i < to; i++ {
			if !within.Contains(t.points[i]) || !wanted(int32(i)) {
				continue
			}
			off := t.points[i].Sub(p)
			count = keepNearest(best, count, found{off.Dot(off), int32(i)})
		}
	}
	visit(0, 0, len(t.points))
	return count
}

// keepNearest puts f among the count nearest found so far, as far as there is
// room, and returns how many there are.
func keepNearest(best []found, count int, f found) int {
	at := count
	for at > 0 && (best[at-1].square > f.square || best[at-1].square == f.square && best[at-1].node > f.node) {
		at--
	}
	if at == len(best) {
		return count
	}
	if count < len(best) {
		count++
	}
	copy(best[at+1:count], best[at:count-1])
	best[at] = f
	return count
}

// squareTo is the square of the distance from p to the part of a box that lies
// within another; infinite where there is none.
func squareTo(box, within geom.Box, p geom.Point) float64 {
	box.Min.X, box.Max.X = max(box.Min.X, within.Min.X), min(box.Max.X, within.Max.X)
	box.Min.Y, box.Max.Y = max(box.Min.Y, within.Min.Y), min(box.Max.Y, within.Max.Y)
	if box.Empty() {
		return math.Inf(1)
	}
	dx := max(box.Min.X-p.X, 0, p.X-box.Max.X)
	dy := max(box.Min.Y-p.Y, 0, p.Y-box.Max.Y)
	return float64(dx*dx) + float64(dy*dy)
}

// everywhere is the whole plane.
var everywhere = geom.Box{Min: geom.Point{X: math.Inf(-1), Y: math.Inf(-1)}, Max: geom.Point{X: math.Inf(1), Y: math.Inf(1)}}

// quadrant is one of the four parts of the plane around p.
func quadrant(p geom.Point, which int) geom.Box {
	box := everywhere
	if which&1 == 0 {
		box.Min.X = p.X
	} else {
		box.Max.X = p.X
	}
	if which&2 == 0 {
		box.Min.Y = p.Y
	} else {
		box.Max.Y = p.Y
	}
	return box
}

// candidatesPerQuadrant are taken from each side of a point before the rest is
// filled up with the nearest: so that points at the rim of a cluster know some
// outside it.
const candidatesPerQuadrant = 2

// candidateLists lists for each point count others that a short way may lead to
// from there, nearest first. Points are numbered as by nearTogether.
func candidateLists(points []geom.Point, count int) []int32 {
	t := newTree(points)
	lists := make([]int32, 0, len(points)*count)
	nearest, sides := make([]found, count), make([]found, candidatesPerQuadrant)
	chosen := make([]found, 0, count+4*candidatesPerQuadrant)
	for i, p := range points {
		others := func(j int32) bool { return j != int32(i) }
		chosen = chosen[:0]
		choose := func(f found) {
			if len(chosen) < count && !slices.Contains(chosen, f) {
				chosen = append(chosen, f)
			}
		}
		for which := range 4 {
			for _, f := range sides[:t.nearest(p, quadrant(p, which), sides, others)] {
				choose(f)
			}
		}
		for _, f := range nearest[:t.nearest(p, everywhere, nearest, others)] {
			choose(f)
		}
		slices.SortFunc(chosen, func(f, g found) int {
			return cmp.Or(cmp.Compare(f.square, g.square), cmp.Compare(f.node, g.node))
		})
		for _, f := range chosen {
			lists = append(lists, f.node)
		}
	}
	return lists
}
