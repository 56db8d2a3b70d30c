package weave

import (
	"context"

	"wend/runtime/weave/matching"
)

// walkEnds are the vertices where the line has to begin and end, or -1.
type walkEnds struct {
	start, end int32
	closed     bool
}

// free is how many ends of the line can be anywhere.
func (w walkEnds) free() int {
	n := 0
	if !w.closed {
		if w.start < 0 {
			n++
		}
		if w.end < 0 {
			n++
		}
	}
	return n
}

// oddNodes tells which nodes need an odd number of passes added, given where
// the line ends, and how many these are.
func oddNodes(g *graph, ends walkEnds) (odd []bool, count int) {
	odd = g.drawing.room.takeMarks(len(g.vertex))
	for n := range odd {
		odd[n] = (g.first[n+1]-g.first[n])%2 == 1
	}
	if !ends.closed {
		for _, v := range []int32{ends.start, ends.end} {
			if v >= 0 {
				n := g.nodeOf(v)
				odd[n] = !odd[n]
			}
		}
	}
	for _, is := range odd {
		if is {
			count++
		}
	}
	return odd, count
}

// leastRetrace finds the edges to go over twice so that one line can cover the
// whole graph, at the least total length. The excess is by how much (in units)
// they are longer than the bound that the dual solution proves.
//
// A line can pass every edge exactly once if at every node but its two ends an
// even number of edges meet. Wanted is the shortest set of edges that makes it
// so when added: an odd number of them at each odd node, an even number at each
// other (J. Edmonds, E. L. Johnson, "Matching, Euler tours and the Chinese
// postman", Math. Programming 5, 1973).
//
// Instead of pairing odd nodes over all shortest ways between them, of which
// there are too many to list, every end of an edge becomes a vertex of a
// matching problem, a port: the two ports of an edge can be matched at the cost
// of its length, which means that the edge is added, and ports at the same node
// at no cost. As many ports of a node as are not matched among themselves, so
// many edges are added there; one more vertex at a node where that number would
// have the wrong parity puts it right. The problem is about as large as the
// graph, and its optimum is the optimum.
func leastRetrace(ctx context.Context, g *graph, odd []bool, ends walkEnds) (again []int32, excess int64, err error) {
	p := &ports{g: g, odd: odd, free: ends.free(), exempt: -1, count: 2 * len(g.edges)}
	count := 0
	for n, is := range odd {
		if is {
			count++
			if p.exempt < 0 {
				p.exempt = int32(n)
			}
		}
	}
	if count == 0 || count == p.free {
		return nil, 0, nil
	}
	if count%2 == 0 {
		p.exempt = -1
	}
	solver, err := p.solve(ctx)
	if err != nil {
		return nil, 0, err
	}
	for e := range g.edges {
		if edge := &g.edges[e]; edge.ends[0] != edge.ends[1] && solver.Mate(int(p.port(int32(2*e)))) == int(p.port(int32(2*e+1))) {
			again = append(again, int32(e))
			excess += edge.length
		}
	}
	return again, excess - solver.DoubledBound()/2, nil
}

// ports is the matching problem of leastRetrace. What is near in the plane has
// near numbers, so that it is near in memory too: first the ports, then the other
// vertices.
type ports struct {
	g    *graph
	rank []int32 // of each edge, by which its ports are numbered
	odd  []bool
	free int
	// exempt is the node where the line ends at first if the number of odd nodes
	// is odd, or -1.
	exempt int32
	count  int
	edges  []matching.Edge
	where  []oddPorts
	at     []int32 // the ports of one node
}

// oddPorts is the vertices at an odd node.
type oddPorts struct {
	ports  [fewPorts]int32
	count  int8
	exempt bool
	parity int32 // the vertex that puts the parity right, or -1
}

// fewPorts is how many ports are joined each to each. A node with more is cut
// into a chain of nodes, no distance apart.
const fewPorts = 4

func (p *ports) solve(ctx context.Context) (*matching.Solver, error) {
	nodes := p.g.alongCurve()
	p.rank = p.g.drawing.room.takeNumbers(len(p.g.edges))
	for e := range p.rank {
		p.rank[e] = -1
	}
	// Beside the one along its edge, a port has an edge with each other of its
	// node: at most three, each of them two ports' own.
	p.edges = make([]matching.Edge, 0, 2*p.count)
	ranked := int32(0)
	for _, n := range nodes {
		for _, half := range p.g.halves(n) {
			e := half / 2
			if p.rank[e] >= 0 {
				continue
			}
			p.rank[e] = ranked
			ranked++
			if edge := &p.g.edges[e]; edge.ends[0] != edge.ends[1] {
				p.edges = append(p.edges, matching.Edge{U: p.port(2 * e), V: p.port(2*e + 1), Weight: edge.length})
			}
		}
	}
	for _, n := range nodes {
		p.join(n)
	}
	later := 0
	if p.free > 0 {
		later = 2*len(p.where) + p.free
	}
	solver := matching.NewSolver(p.count, later)
	solver.Add(p.edges)
	if err := solver.Solve(ctx); err != nil || p.free == 0 {
		return solver, err
	}

	// Where the line ends, the parity is the other one. Each odd node gets a
	// switch: a vertex that is matched with an end of the line to flip it.
	before := p.count
	p.edges = p.edges[:0]
	switches := make([]int32, 0, len(p.where))
	for _, at := range p.where {
		switches = append(switches, p.addSwitch(at))
	}
	solver.AddVertices(p.count - before)
	solver.Add(p.edges)
	p.edges = p.edges[:0]
	for range p.free {
		end := p.vertex()
		for _, v := range switches {
			p.edges = append(p.edges, matching.Edge{U: v, V: end})
		}
	}
	solver.AddVertices(p.free)
	solver.Add(p.edges)
	return solver, solver.Solve(ctx)
}

// addSwitch gives an odd node the vertex that can be matched with an end of the
// line. Otherwise it is matched at the node, and the line does not end there.
func (p *ports) addSwitch(at oddPorts) int32 {
	if at.parity >= 0 && !at.exempt {
		return at.parity
	}
	last := at.parity
	if last < 0 {
		last = p.vertex()
		for _, v := range at.ports[:at.count] {
			p.edges = append(p.edges, matching.Edge{U: v, V: last})
		}
		if at.exempt {
			return last
		}
	}
	outside := p.vertex()
	p.edges = append(p.edges, matching.Edge{U: last, V: outside})
	return outside
}

// port is the vertex of a half edge.
func (p *ports) port(half int32) int32 { return 2*p.rank[half/2] + half%2 }

func (p *ports) vertex() int32 {
	p.count++
	return int32(p.count - 1)
}

// join lets the ports at a node be matched with each other.
func (p *ports) join(n int32) {
	p.at = p.at[:0]
	for _, half := range p.g.halves(n) {
		p.at = append(p.at, p.port(half))
	}
	odd := p.odd[n]
	for at, last := p.at, false; !last; {
		var group [fewPorts + 1]int32
		count := copy(group[:fewPorts], at)
		last = len(at) <= fewPorts
		if !last {
			// The rest lies at the other end of an edge of no length.
			here, there := p.vertex(), p.vertex()
			p.edges = append(p.edges, matching.Edge{U: here, V: there})
			group[fewPorts-1] = here
			at = at[fewPorts-2:]
			at[0] = there
		}
		parity := int32(-1)
		if (count%2 == 1) != (odd && n != p.exempt) {
			parity = p.vertex()
		}
		if odd {
			p.where = append(p.where, oddPorts{[fewPorts]int32(group[:fewPorts]), int8(count), n == p.exempt, parity})
			odd = false
		}
		if parity >= 0 {
			group[count] = parity
			count++
		}
		for i := range count {
			for _, v := range group[:i] {
				p.edges = append(p.edges, matching.Edge{U: v, V: group[i]})
			}
		}
	}
}
