package weave

import (
	"cmp"
	"math"
	"slices"

	"wend/runtime/geom"
	"wend/runtime/plan"
)

// unitsPerMM is the scale of the whole numbers in which ways are compared. It is
// fine enough that rounding stays under geom.SamePoint and a power of two, so
// that scaling is exact.
const unitsPerMM = 1 << 20

func toUnits(mm float64) int64 { return int64(math.Round(mm * unitsPerMM)) }
func toMM(units int64) float64 { return float64(units) / unitsPerMM }

// edge is a chain of segments of one role between two nodes, with nothing
// joining on the way.
type edge struct {
	ends   [2]int32 // nodes
	from   int32    // the chain is graph.chain[from:to], ends included
	to     int32
	length int64 // units
	mm     float64
	role   plan.Role
}

// graph is a drawing as nodes joined by edges. Vertices where just two segments
// of one role meet are no nodes: they lie inside the edges.
type graph struct {
	drawing *arrangement
	vertex  []int32 // the vertex of each node
	edges   []edge
	chain   []int32 // vertices
	// The half edges at node n are at[first[n]:first[n+1]]; half 2e leaves the
	// first end of edge e and 2e+1 the second.
	first []int32
	at    []int32
}

// piece is a straight bit of drawing between neighbouring vertices.
type piece struct {
	ends [2]int32
	role plan.Role
}

// newGraph makes a graph of a drawing in which the segments from firstLink on
// are links. The vertices in keep become nodes in any case, unless negative.
func newGraph(r *arrangement, firstLink int32, keep ...int32) *graph {
	pieces := r.room.takePieces(len(r.ends) + len(r.log))[:0]
	for s, e := range r.ends {
		role := plan.Drawn
		if int32(s) >= firstLink {
			role = plan.Link
		}
		from := e[0]
		for _, i := range r.inner(int32(s)) {
			if i.vertex != from {
				pieces = append(pieces, piece{[2]int32{from, i.vertex}, role})
				from = i.vertex
			}
		}
		pieces = append(pieces, piece{[2]int32{from, e[1]}, role})
	}

	count := len(r.vertices.points)
	first := r.room.takeNumbers(count + 1)
	for _, p := range pieces {
		first[p.ends[0]]++
		first[p.ends[1]]++
	}
	total := int32(0)
	for v := range first {
		total, first[v] = total+first[v], total
	}
	at, next := r.room.takeNumbers(int(total)), r.room.takeNumbers(count)
	copy(next, first)
	for i, p := range pieces {
		for side, v := range p.ends {
			at[next[v]] = int32(2*i + side)
			next[v]++
		}
	}

	g := &graph{drawing: r}
	node := r.room.takeNumbers(count)
	for v := range node {
		around := at[first[v]:first[v+1]]
		if len(around) == 2 && around[0]/2 != around[1]/2 && pieces[around[0]/2].role == pieces[around[1]/2].role {
			node[v] = -1
			continue
		}
		node[v] = g.addNode(int32(v))
	}
	for _, v := range keep {
		if v >= 0 && node[v] < 0 {
			node[v] = g.addNode(v)
		}
	}
	// Each end of an edge is at a node; only loops on which nothing lies add to that.
	halves := 0
	for _, v := range g.vertex {
		halves += int(first[v+1] - first[v])
	}
	g.edges, g.chain = r.room.takeEdges(halves / 2)[:0], r.room.takeNumbers(len(pieces) + halves/2)[:0]
	used := r.room.takeMarks(len(pieces))
	follow := func(v int32, half int32) {
		e := edge{from: int32(len(g.chain)), role: pieces[half/2].role}
		e.ends[0] = node[v]
		g.chain = append(g.chain, v)
		for {
			used[half/2] = true
			w := pieces[half/2].ends[1-half%2]
			e.mm += r.point(v).Distance(r.point(w))
			g.chain = append(g.chain, w)
			v = w
			if node[v] >= 0 {
				break
			}
			around := at[first[v]:first[v+1]]
			if around[0]/2 == half/2 {
				half = around[1]
			} else {
				half = around[0]
			}
		}
		e.ends[1], e.to, e.length = node[v], int32(len(g.chain)), toUnits(e.mm)
		g.edges = append(g.edges, e)
	}
	for n := 0; n < len(g.vertex); n++ {
		v := g.vertex[n]
		for _, half := range at[first[v]:first[v+1]] {
			if !used[half/2] {
				follow(v, half)
			}
		}
	}
	for i, p := range pieces {
		if !used[i] { // a loop on which nothing else lies
			node[p.ends[0]] = g.addNode(p.ends[0])
			follow(p.ends[0], int32(2*i))
		}
	}
	g.index()
	return g
}

func (g *graph) addNode(v int32) int32 {
	g.vertex = append(g.vertex, v)
	return int32(len(g.vertex) - 1)
}

// index lists the half edges of every node.
func (g *graph) index() {
	room := g.drawing.room
	g.first = room.takeNumbers(len(g.vertex) + 1)
	for i := range g.edges {
		g.first[g.edges[i].ends[0]]++
		g.first[g.edges[i].ends[1]]++
	}
	total := int32(0)
	for n := range g.first {
		total, g.first[n] = total+g.first[n], total
	}
	g.at = room.takeNumbers(int(total))
	next := room.takeNumbers(len(g.vertex))
	copy(next, g.first)
	for i := range g.edges {
		for side, n := range g.edges[i].ends {
			g.at[next[n]] = int32(2*i + side)
			next[n]++
		}
	}
}

// alongCurve is the nodes in the order of a space-filling curve.
func (g *graph) alongCurve() []int32 {
	box := geom.EmptyBox()
	for _, v := range g.vertex {
		box = box.Include(g.drawing.point(v))
	}
	curve := newCurve(box)
	keys, nodes := make([]uint64, len(g.vertex)), make([]int32, len(g.vertex))
	for n, v := range g.vertex {
		keys[n], nodes[n] = curve.key(g.drawing.point(v)), int32(n)
	}
	slices.SortFunc(nodes, func(a, b int32) int { return cmp.Or(cmp.Compare(keys[a], keys[b]), cmp.Compare(a, b)) })
	return nodes
}

func (g *graph) halves(n int32) []int32 { return g.at[g.first[n]:g.first[n+1]] }

// nodeOf is the node at a vertex, or -1.
func (g *graph) nodeOf(v int32) int32 {
	for n, w := range g.vertex {
		if w == v {
			return int32(n)
		}
	}
	return -1
}

// direction is the unit vector along which a half edge leaves its node.
func (g *graph) direction(half int32) geom.Point {
	e := &g.edges[half/2]
	a, b := g.chain[e.from], g.chain[e.from+1]
	if half%2 == 1 {
		a, b = g.chain[e.to-1], g.chain[e.to-2]
	}
	d := g.drawing.point(b).Sub(g.drawing.point(a))
	return d.Times(1 / d.Length())
}
