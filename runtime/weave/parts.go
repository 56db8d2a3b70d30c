package weave

// unionFind keeps disjoint sets of numbers from 0.
type unionFind []int32

func newUnionFind(n int, room *Room) unionFind {
	u := unionFind(room.takeNumbers(n))
	for i := range u {
		u[i] = int32(i)
	}
	return u
}

// find is the number that stands for the set of i: its least.
func (u unionFind) find(i int32) int32 {
	for u[i] != i {
		u[i] = u[u[i]]
		i = u[i]
	}
	return i
}

// join makes one set of two and reports whether they were two. The least number
// of a set stands for it, so results do not depend on the order of joining.
func (u unionFind) join(i, j int32) bool {
	i, j = u.find(i), u.find(j)
	if i == j {
		return false
	}
	if i > j {
		i, j = j, i
	}
	u[j] = i
	return true
}

// parts numbers the separate parts of a drawing in order of their first vertex.
type parts struct {
	count int
	of    []int32 // per vertex
}

// dots is how many parts are a single point.
func (p *parts) dots() int {
	vertices := make([]int32, p.count)
	for _, part := range p.of {
		vertices[part]++
	}
	count := 0
	for _, n := range vertices {
		if n == 1 {
			count++
		}
	}
	return count
}

func findParts(r *arrangement) *parts {
	u := newUnionFind(len(r.vertices.points), r.room)
	for s, e := range r.ends {
		u.join(e[0], e[1])
		for _, i := range r.inner(int32(s)) {
			u.join(e[0], i.vertex)
		}
	}
	p := &parts{of: r.room.takeNumbers(len(u))}
	for v := range u {
		if root := u.find(int32(v)); root == int32(v) {
			p.of[v] = int32(p.count)
			p.count++
		} else {
			p.of[v] = p.of[root]
		}
	}
	return p
}
