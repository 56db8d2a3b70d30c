package weave

import "wend/runtime/geom"

// fewOddVertices is up to how many places of a part a link is tried at. A part
// with more has odd vertices to spare, so that one link more or less at the
// right place hardly matters.
const fewOddVertices = 64

// equalMM is how much longer a link may be and still count as equally long:
// enough for the rounding of coordinates, far too little to see.
const equalMM = 1e-9

// place moves links that could stand in several places at the same length, as
// between parallel lines, to where they make odd vertices even, because then
// less line has to be retraced: a row of parallel strokes becomes a serpentine
// instead of a comb.
func (w *network) place(r *arrangement) {
	odd := make([]bool, len(r.vertices.points))
	for _, e := range r.ends {
		odd[e[0]] = !odd[e[0]]
		odd[e[1]] = !odd[e[1]]
	}
	oddOf := make([][]int32, w.parts.count)
	for v, is := range odd {
		if p := w.parts.of[v]; is && len(oddOf[p]) <= fewOddVertices {
			oddOf[p] = append(oddOf[p], int32(v))
		}
	}
	isOdd := func(p geom.Point) int {
		if v := r.vertices.find(p); v >= 0 && odd[v] {
			return 1
		}
		return 0
	}
	for _, i := range w.inTreeOrder() {
		l := &w.links[i]
		best, score := *l, isOdd(l.from)+isOdd(l.to)
		within := float64(l.length()*(1+equalMM)) + equalMM
		for side := range 2 {
			if len(oddOf[l.parts[side]]) > fewOddVertices {
				continue
			}
			for _, v := range oddOf[l.parts[side]] {
				if score == 2 {
					break
				}
				if !odd[v] {
					continue
				}
				p := r.point(v)
				q, found := w.nearestOnPart(p, l.parts[1-side], within)
				if !found || 1+isOdd(q) <= score {
					continue
				}
				score = 1 + isOdd(q)
				best.from, best.to = p, q
				if side == 1 {
					best.from, best.to = q, p
				}
			}
		}
		*l = best
		for _, p := range [2]geom.Point{l.from, l.to} {
			if v := r.vertices.find(p); v >= 0 {
				odd[v] = !odd[v]
			}
		}
	}
}

// inTreeOrder lists the links so that each but the first of a branch of the
// tree comes right after one that it shares a part with.
func (w *network) inTreeOrder() []int {
	at := w.linksAt()
	var order []int
	done := make([]bool, len(w.links))
	stack := []int32{0}
	for len(stack) > 0 {
		part := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		for _, i := range at[part] {
			if done[i] {
				continue
			}
			done[i] = true
			order = append(order, i)
			stack = append(stack, w.links[i].parts[0]+w.links[i].parts[1]-part)
		}
	}
	return order
}

// linksAt lists the links at every part and branch.
func (w *network) linksAt() [][]int {
	count := make([]int, w.parts.count+len(w.branches))
	for _, l := range w.links {
		count[l.parts[0]]++
		count[l.parts[1]]++
	}
	room := make([]int, 2*len(w.links))
	at := make([][]int, len(count))
	for part, n := range count {
		at[part], room = room[:0:n], room[n:]
	}
	for i, l := range w.links {
		at[l.parts[0]] = append(at[l.parts[0]], i)
		at[l.parts[1]] = append(at[l.parts[1]], i)
	}
	return at
}
