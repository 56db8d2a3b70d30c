package weave

import "wend/runtime/geom"

// Room is working memory that is used again: by calls of Weave and Between, one
// after the other, not at the same time. Whoever weaves many small drawings saves
// with it most of the memory that is touched for the first time, which takes about
// as long as the work in it. The zero value is ready; without a Room, all is made
// anew.
type Room struct {
	numbers    pool[int32]
	units      pool[int64]
	lengths    pool[float64]
	marks      pool[bool]
	pairs      pool[[2]int32]
	points     pool[geom.Point]
	boxes      pool[geom.Box]
	pieces     pool[piece]
	edges      pool[edge]
	items      pool[item]
	keys       pool[keyed]
	candidates pool[candidate]
}

// empty says that nothing that was taken is in use any more.
func (r *Room) empty() {
	if r == nil {
		return
	}
	r.numbers.used, r.units.used, r.lengths.used, r.marks.used = 0, 0, 0, 0
	r.pairs.used, r.points.used, r.boxes.used, r.pieces.used = 0, 0, 0, 0
	r.edges.used, r.items.used, r.keys.used, r.candidates.used = 0, 0, 0, 0
}

// pool is an array of which parts are in use.
type pool[T any] struct {
	array []T
	used  int
}

const (
	// leastPool is how many elements a pool begins with, mostTaken how many are
	// taken out of it at most: what a large drawing needs is not kept for the next.
	leastPool = 256
	mostTaken = 1 << 14
)

// take gives so many elements, all zero, out of a pool; anew if there is no room.
// What is appended to them goes elsewhere.
func take[T any](r *Room, of func(*Room) *pool[T], n int) []T {
	if r == nil || n > mostTaken {
		return make([]T, n)
	}
	p := of(r)
	if p.used+n > len(p.array) {
		p.array, p.used = make([]T, max(n, leastPool, 2*len(p.array))), 0
	}
	taken := p.array[p.used : p.used+n : p.used+n]
	p.used += n
	clear(taken)
	return taken
}

func (r *Room) takeNumbers(n int) []int32 {
	return take(r, func(r *Room) *pool[int32] { return &r.numbers }, n)
}
func (r *Room) takeUnits(n int) []int64 {
	return take(r, func(r *Room) *pool[int64] { return &r.units }, n)
}
func (r *Room) takeLengths(n int) []float64 {
	return take(r, func(r *Room) *pool[float64] { return &r.lengths }, n)
}
func (r *Room) takeMarks(n int) []bool {
	return take(r, func(r *Room) *pool[bool] { return &r.marks }, n)
}
func (r *Room) takePairs(n int) [][2]int32 {
	return take(r, func(r *Room) *pool[[2]int32] { return &r.pairs }, n)
}
func (r *Room) takePoints(n int) []geom.Point {
	return take(r, func(r *Room) *pool[geom.Point] { return &r.points }, n)
}
func (r *Room) takeBoxes(n int) []geom.Box {
	return take(r, func(r *Room) *pool[geom.Box] { return &r.boxes }, n)
}
func (r *Room) takePieces(n int) []piece {
	return take(r, func(r *Room) *pool[piece] { return &r.pieces }, n)
}
func (r *Room) takeEdges(n int) []edge {
	return take(r, func(r *Room) *pool[edge] { return &r.edges }, n)
}
func (r *Room) takeItems(n int) []item {
	return take(r, func(r *Room) *pool[item] { return &r.items }, n)
}
func (r *Room) takeKeys(n int) []keyed {
	return take(r, func(r *Room) *pool[keyed] { return &r.keys }, n)
}
func (r *Room) takeCandidates(n int) []candidate {
	return take(r, func(r *Room) *pool[candidate] { return &r.candidates }, n)
}
