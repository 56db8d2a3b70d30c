package geom

import (
	"math"
	"slices"
)

// Neighbours finds the nearest of many points, which may be added to at any
// time.
//
// The points stand in k-d trees whose sizes are different powers of two; a
// tree and those added since that are as many become one of twice the size
// (Bentley and Saxe, Decomposable searching problems, 1980). So adding costs
// log²n on average, and neither an outlier nor a cluster costs more.
type Neighbours struct {
	points []Point
	trees  [][]int32 // indices, the middle one first in order; longest tree first
	start  int       // the first point in no tree
}

// looseEnd is how many points may wait before they make a tree.
const looseEnd = 32

// Len is the number of points so far.
func (n *Neighbours) Len() int { return len(n.points) }

// Add puts in the next point.
func (n *Neighbours) Add(p Point) {
	n.points = append(n.points, p)
	if len(n.points)-n.start < looseEnd {
		return
	}
	tree := make([]int32, 0, looseEnd)
	for i := n.start; i < len(n.points); i++ {
		tree = append(tree, int32(i))
	}
	for last := len(n.trees) - 1; last >= 0 && len(n.trees[last]) <= len(tree); last-- {
		tree = append(tree, n.trees[last]...)
		n.trees = n.trees[:last]
	}
	n.arrange(tree, false)
	n.trees = append(n.trees, tree)
	n.start = len(n.points)
}

// arrange puts the middle point of a tree along one axis into its middle, the
// smaller ones before it and the larger behind, and so on in both halves along
// the other axis.
func (n *Neighbours) arrange(tree []int32, upright bool) {
	if len(tree) < 2 {
		return
	}
	along := func(i int32) float64 { return n.points[i].X }
	if upright {
		along = func(i int32) float64 { return n.points[i].Y }
	}
	slices.SortFunc(tree, func(a, b int32) int {
		switch x, y := along(a), along(b); {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
	middle := len(tree) / 2
	n.arrange(tree[:middle], !upright)
	n.arrange(tree[middle+1:], !upright)
}

// Nearest is the index of the point nearest to p, the lowest of several; -1 if
// there is none.
func (n *Neighbours) Nearest(p Point) int {
	best := nearest{from: p, points: n.points, at: -1, square: math.Inf(1)}
	for i := n.start; i < len(n.points); i++ {
		best.look(int32(i))
	}
	for _, tree := range n.trees {
		best.search(tree, false)
	}
	return int(best.at)
}

type nearest struct {
	from   Point
	points []Point
	at     int32
	square float64 // of its distance
}

func (b *nearest) look(i int32) {
	d := b.points[i].Sub(b.from)
	if square := d.Dot(d); b.at < 0 || square < b.square || square == b.square && i < b.at {
		b.at, b.square = i, square
	}
}

func (b *nearest) search(tree []int32, upright bool) {
	if len(tree) == 0 {
		return
	}
	middle := len(tree) / 2
	split := b.points[tree[middle]]
	b.look(tree[middle])
	away := b.from.X - split.X
	if upright {
		away = b.from.Y - split.Y
	}
	near, far := tree[:middle], tree[middle+1:]
	if away > 0 {
		near, far = far, near
	}
	b.search(near, !upright)
	if float64(away*away) <= b.square {
		b.search(far, !upright)
	}
}
