package weave

import (
	"math"

	"wend/runtime/geom"
)

// cellsPerMM is the resolution of the hash that recognises points. A cell is
// some fifteen times wider than geom.SamePoint, so that most points look into
// one cell only while a cell can never hold more than a few hundred vertices.
const cellsPerMM = 1 << 16

// vertexTable numbers points: those within geom.SamePoint of a numbered one
// get its number. Adding and finding take constant time. The last vertices can
// be removed again.
type vertexTable struct {
	points []geom.Point
	next   []int32 // the vertex added before this one to the same bucket, or -1
	head   []int32 // the newest vertex of each bucket, or -1; a power of two many
	room   *Room   // or nil
}

// newVertexTable has room for n vertices before it first grows.
func newVertexTable(n int, room *Room) *vertexTable {
	t := &vertexTable{points: room.takePoints(n)[:0], next: room.takeNumbers(n)[:0], room: room}
	t.grow(n)
	return t
}

func (t *vertexTable) grow(n int) {
	size := 16
	for size < n {
		size *= 2
	}
	t.head = t.room.takeNumbers(size)
	for i := range t.head {
		t.head[i] = -1
	}
	for v := range t.points {
		b := t.bucket(cell(t.points[v].X), cell(t.points[v].Y))
		t.next[v] = t.head[b]
		t.head[b] = int32(v)
	}
}

func cell(mm float64) int64 { return int64(math.Floor(mm * cellsPerMM)) }

func (t *vertexTable) bucket(cx, cy int64) uint64 {
	return mix(cx, cy) & uint64(len(t.head)-1)
}

// mix spreads a pair of cell numbers over 64 bits.
func mix(cx, cy int64) uint64 {
	h := uint64(cx)*0x9e3779b97f4a7c15 ^ uint64(cy)*0xc2b2ae3d27d4eb4f
	h ^= h >> 29
	h *= 0xbf58476d1ce4e5b9
	return h ^ h>>32
}

// find is the vertex nearest to p within geom.SamePoint, or -1.
func (t *vertexTable) find(p geom.Point) int32 {
	x0, x1 := cell(p.X-geom.SamePoint), cell(p.X+geom.SamePoint)
	y0, y1 := cell(p.Y-geom.SamePoint), cell(p.Y+geom.SamePoint)
	best, distance := int32(-1), math.Inf(1)
	for cx := x0; cx <= x1; cx++ {
		for cy := y0; cy <= y1; cy++ {
			for v := t.head[t.bucket(cx, cy)]; v >= 0; v = t.next[v] {
				q := t.points[v]
				if math.Abs(q.X-p.X) > geom.SamePoint || math.Abs(q.Y-p.Y) > geom.SamePoint {
					continue
				}
				d := p.Distance(q)
				if d <= geom.SamePoint && (d < distance || d == distance && v < best) {
					best, distance = v, d
				}
			}
		}
	}
	return best
}

// add is the vertex of p, and whether it is new.
func (t *vertexTable) add(p geom.Point) (vertex int32, isNew bool) {
	if v := t.find(p); v >= 0 {
		return v, false
	}
	if len(t.points) == len(t.head) {
		t.grow(2 * len(t.head))
	}
	v := int32(len(t.points))
	b := t.bucket(cell(p.X), cell(p.Y))
	t.points = append(t.points, p)
	t.next = append(t.next, t.head[b])
	t.head[b] = v
	return v, true
}

// truncate keeps the first n vertices.
func (t *vertexTable) truncate(n int) {
	for v := len(t.points) - 1; v >= n; v-- {
		t.head[t.bucket(cell(t.points[v].X), cell(t.points[v].Y))] = t.next[v]
	}
	t.points, t.next = t.points[:n], t.next[:n]
}
