package lettering

import (
	"math"
	"slices"

	"wend/internal/heap"
	"wend/runtime/geom"
)

// Rows says how the line goes from one row to the next.
type Rows uint8

const (
	// Near leads it from a letter to one below that is near, with the way there
	// and on over line that is drawn anyway.
	Near Rows = iota
	// Turns lead it round beside the text in half circles.
	Turns
	// Ladders lead it straight down beside the text.
	Ladders
	// Ruled does the same, and all that joins letters lies on the baseline, for
	// rows that stand on ruled lines.
	Ruled
)

// A way from a row to the next costs its length, the part along the rows twice,
// and a little of the distance to the ends of both, where the line is going. Ways
// from the baseline to a letter that rises seem to lengthen that letter.
const (
	endShare     = 0.03
	baselineCost = 2.0
	alongCost    = 2.0
)

// vertex is a vertex of a row's line from left to right, and the piece that leads
// to it.
type vertex struct {
	at    geom.Point // mm
	piece int
	open  bool // a way between rows may begin or end here
}

// strand is the line through one row from left to right.
type strand struct {
	pieces   []Piece
	vertices []vertex
	baseline float64 // mm
	scale    float64 // mm a unit
}

// newStrand takes over the pieces of a row. heads are the pieces that draw the
// first letters of words: what leaves or reaches one of those reads as part of it.
func newStrand(pieces []Piece, heads map[int]bool, baseline, scale float64) *strand {
	count := 0
	for _, p := range pieces {
		count += len(p.Points)
	}
	s := &strand{pieces: pieces, vertices: make([]vertex, 0, count), baseline: baseline, scale: scale}
	for i, p := range pieces {
		for _, at := range p.Points {
			if n := len(s.vertices); n > 0 && s.vertices[n-1].at.Distance(at) <= geom.SamePoint {
				continue
			}
			s.vertices = append(s.vertices, vertex{at: at, piece: i, open: !p.Join && !heads[i]})
		}
	}
	return s
}

// turnings are the vertices that lie as low, or as high, as their neighbours on
// the line or more so, down at the baseline, or up from there by half a capital's
// height; of the letters that are open, if there are any.
func (s *strand) turnings(low bool) []int {
	reached := -s.baseline - float64(flank*s.scale)
	if !low {
		reached = s.baseline + float64(Cap/2*s.scale)
	}
	height := func(i int) float64 {
		if low {
			return -s.vertices[i].at.Y
		}
		return s.vertices[i].at.Y
	}
	var all, open []int
	for i, v := range s.vertices {
		if height(i) < reached {
			continue
		}
		if i > 0 && height(i-1) > height(i) || i+1 < len(s.vertices) && height(i+1) > height(i) {
			continue
		}
		all = append(all, i)
		if v.open {
			open = append(open, i)
		}
	}
	switch {
	case len(open) > 0:
		return open
	case len(all) > 0:
		return all
	}
	return []int{0} // a row of signs that are neither low nor high
}

// nearest is the cheapest way from a row to the one below, as the vertex where it
// leaves and that where it arrives.
func nearest(upper, lower *strand) (from, to int) {
	end := func(s *strand, i int) float64 {
		return min(s.vertices[len(s.vertices)-1].at.X-s.vertices[i].at.X, s.vertices[i].at.X-s.vertices[0].at.X)
	}
	best := math.Inf(1)
	tops := lower.turnings(false)
	for _, i := range upper.turnings(true) {
		p := upper.vertices[i].at
		weight := 1.0
		if p.Y >= upper.baseline-geom.SamePoint {
			weight = baselineCost
		}
		for _, k := range tops {
			q := lower.vertices[k].at
			if math.Abs(p.X-q.X)*alongCost >= best {
				continue
			}
			way := geom.Point{X: alongCost * (p.X - q.X), Y: p.Y - q.Y}
			if c := float64(weight*way.Length()) + float64(endShare*(end(upper, i)+end(lower, k))); c < best {
				best, from, to = c, i, k
			}
		}
	}
	return from, to
}

// near writes rows one below the other. From where a row is reached the line goes
// to one of its ends, then to the other, and back over itself to where it is left:
// in the order in which least is gone over again.
func (w *writer) near(rows []row) error {
	strands := make([]*strand, len(rows))
	for i := range rows {
		s, err := w.strand(&rows[i], rows, i)
		if err != nil {
			return err
		}
		strands[i] = s
	}
	at := 0
	for i, s := range strands {
		first, end := 0, len(s.vertices)-1
		from, next := end, 0
		if i+1 < len(strands) {
			from, next = nearest(s, strands[i+1])
			x := func(i int) float64 { return s.vertices[i].at.X }
			if i > 0 && x(end)-x(at)+x(from)-x(first) < x(at)-x(first)+x(end)-x(from) {
				first, end = end, first
			}
		}
		w.pass(s, at, first)
		w.again(s, first, at)
		w.pass(s, at, end)
		if i+1 < len(strands) {
			w.again(s, end, from)
			w.joinTo(strands[i+1].vertices[next].at)
			at = next
		}
	}
	return nil
}

// strand writes a row by itself, from left to right.
func (w *writer) strand(r *row, rows []row, i int) (*strand, error) {
	left, right := r.ends()
	if i == 0 {
		left.lead(w.face, rows, r.letters[0], -1)
	}
	if i+1 == len(rows) {
		right.lead(w.face, rows, r.letters[len(r.letters)-1], 1)
	}
	alone := &writer{Block: w.Block, ctx: w.ctx, rows: w.rows, room: w.room, level: w.level, line: &Line{}}
	if err := alone.row(r, left, right, false); err != nil {
		return nil, err
	}
	heads := map[int]bool{}
	letter := 0
	for k, p := range alone.line.Pieces {
		if p.Join {
			continue
		}
		heads[k] = letter == 0 || r.letters[letter].opens
		letter++
	}
	l := alone.line
	w.line.DrawnMM, w.line.JoinMM = w.line.DrawnMM+l.DrawnMM, w.line.JoinMM+l.JoinMM
	w.line.BridgeMM, w.line.AgainMM = w.line.BridgeMM+l.BridgeMM, w.line.AgainMM+l.AgainMM
	return newStrand(l.Pieces, heads, float64(r.baseline*w.scale), w.scale), nil
}

// pass draws a part of a row from one vertex to another.
func (w *writer) pass(s *strand, from, to int) {
	if from == to {
		w.begun, w.last = true, s.vertices[to].at
		return
	}
	step := 1
	if to < from {
		step = -1
	}
	var piece *Piece
	source := -1
	for i := from; i != to; i += step {
		a, b := s.vertices[i], s.vertices[i+step]
		// The piece that leads to the later of the two, as the row was written.
		k := b.piece
		if step < 0 {
			k = a.piece
		}
		if k != source {
			p := s.pieces[k]
			points := append(make([]geom.Point, 0, len(p.Points)), a.at)
			w.line.Pieces = append(w.line.Pieces, Piece{Points: points, Join: p.Join, Middle: p.Middle, Baseline: p.Baseline})
			piece, source = &w.line.Pieces[len(w.line.Pieces)-1], k
		}
		piece.Points = append(piece.Points, b.at)
	}
	w.begun, w.last = true, s.vertices[to].at
}

// again goes from one vertex of a row that was drawn to another, on the shortest
// way over its line.
func (w *writer) again(s *strand, from, to int) {
	way := s.way(from, to, &w.room.network)
	if len(way) > 1 {
		w.line.Pieces = append(w.line.Pieces, Piece{Points: way, Again: true})
	}
	for i := 1; i < len(way); i++ {
		w.line.AgainMM += way[i-1].Distance(way[i])
	}
	w.begun, w.last = true, s.vertices[to].at
}

// way is the shortest way over the line of a row from one vertex to another. The
// line is at one place wherever two of its vertices are (Dijkstra, A note on two
// problems in connexion with graphs, 1959).
func (s *strand) way(from, to int, g *network) []geom.Point {
	if g.strand != s {
		g.lay(s)
	}
	start, goal := g.nodes[from], g.nodes[to]
	distance := slices.Grow(g.distance[:0], len(g.at))[:len(g.at)]
	before := slices.Grow(g.before[:0], len(g.at))[:len(g.at)]
	for i := range distance {
		distance[i] = math.Inf(1)
	}
	distance[start] = 0
	open := append(g.open[:0], reached{start, 0})
	for len(open) > 0 {
		here := open.Pop()
		if here.node == goal {
			break
		}
		if here.distance > distance[here.node] {
			continue
		}
		for i := g.first[here.node]; i >= 0; i = g.arcs[i].next {
			next := g.arcs[i].to
			if d := here.distance + g.at[here.node].Distance(g.at[next]); d < distance[next] {
				distance[next], before[next] = d, here.node
				open.Push(reached{next, d})
			}
		}
	}
	g.distance, g.before, g.open = distance, before, open
	count := 1
	for at := goal; at != start; at = before[at] {
		count++
	}
	way := make([]geom.Point, count)
	for at := goal; count > 0; at = before[at] {
		count--
		way[count] = g.at[at]
	}
	return way
}

// network are the places of a row's line and which of them the line joins. It is
// laid for one row after the other in the same memory.
type network struct {
	strand *strand            // for which it is laid
	known  map[[2]int64]int32 // places by where they are

	distance []float64
	before   []int32
	open     heap.Heap[reached]

	at    []geom.Point
	first []int32 // of each place's arcs, or -1
	arcs  []arc
	nodes []int32 // of the vertices
}

// arc leads to a place; next is another one from the same place, or -1.
type arc struct{ to, next int32 }

func (g *network) lay(s *strand) {
	count := len(s.vertices)
	g.strand = s
	g.at, g.first = slices.Grow(g.at[:0], count), slices.Grow(g.first[:0], count)
	g.arcs, g.nodes = slices.Grow(g.arcs[:0], 2*count), slices.Grow(g.nodes[:0], count)
	if g.known == nil {
		g.known = make(map[[2]int64]int32, count)
	}
	clear(g.known)
	for i, v := range s.vertices {
		key := [2]int64{int64(math.Round(v.at.X / geom.SamePoint)), int64(math.Round(v.at.Y / geom.SamePoint))}
		n, ok := g.known[key]
		if !ok {
			n = int32(len(g.at))
			g.known[key] = n
			g.at, g.first = append(g.at, v.at), append(g.first, -1)
		}
		g.nodes = append(g.nodes, n)
		if i > 0 && g.nodes[i-1] != n && !g.joined(n, g.nodes[i-1]) {
			g.join(n, g.nodes[i-1])
			g.join(g.nodes[i-1], n)
		}
	}
}

// joined reports whether an arc leads from a place to another.
func (g *network) joined(from, to int32) bool {
	for i := g.first[from]; i >= 0; i = g.arcs[i].next {
		if g.arcs[i].to == to {
			return true
		}
	}
	return false
}

func (g *network) join(from, to int32) {
	g.arcs = append(g.arcs, arc{to, g.first[from]})
	g.first[from] = int32(len(g.arcs) - 1)
}

// reached is a place and how far it is by the best way so far.
type reached struct {
	node     int32
	distance float64
}

// Before orders places by how far they are, and then by number.
func (r reached) Before(s reached) bool {
	return r.distance < s.distance || r.distance == s.distance && r.node < s.node
}

// turn leads the line round in half an ellipse to the same place of the next row,
// or straight.
func (w *writer) turn(to geom.Point, toRight bool) {
	if w.rows != Turns || !w.begun {
		w.joinTo(to)
		return
	}
	from := w.last
	bulge := math.Abs(from.Y-to.Y) / 2
	if !toRight {
		bulge = -bulge
	}
	corner := func(p geom.Point) geom.Point { return geom.Point{X: p.X + bulge, Y: p.Y} }
	middle := from.Mix(to, 0.5)
	middle.X += bulge
	points := stroke{rounded(from, corner(from), middle), rounded(middle, corner(to), to)}.flat(toleranceAt(w.level) * w.scale)
	w.line.Pieces = append(w.line.Pieces, Piece{Points: points, Join: true})
	for i := 1; i < len(points); i++ {
		w.line.JoinMM += points[i-1].Distance(points[i])
	}
	w.last = to
}
