package tour

import (
	"cmp"
	"context"
	"math/bits"
	"math/rand/v2"
	"slices"
)

// Kicks that stay near cost little to better again, and are kept more often.
const (
	// longestRun is how many nodes a run of a kick along the way has at the most.
	longestRun = 10
	// Every wanderEvery-th kick wanders instead, up to longestWander steps to each
	// of the other places at which it opens the way: only so does the way through
	// clusters change that lie far apart.
	wanderEvery   = 4
	longestWander = 50
)

// kick tries kicks one after the other, keeping those after which the bettered
// way is no longer than before.
func (w *way) kick(ctx context.Context, kicks int, seed uint64, progress func(done, of int)) error {
	if w.nodes < 8 {
		return nil
	}
	chance := rand.NewPCG(seed, 0)
	below := func(n int32) int32 {
		high, _ := bits.Mul64(chance.Uint64(), uint64(n))
		return int32(high)
	}
	longest := min(longestRun, (w.nodes-2)/3)
	for done := range kicks {
		if done%256 == 0 {
			if ctx.Err() != nil {
				return ctx.Err()
			}
			if progress != nil {
				progress(done, kicks)
			}
		}
		w.journal = w.journal[:0]
		var ends [4]int32
		if at := w.tour[below(w.nodes)]; done%wanderEvery == 0 {
			ends = w.wander(at, below)
		} else {
			ends = w.along(at, 1+below(longest), 1+below(longest), 1+below(longest))
		}
		gain := w.exchange(ends)
		for {
			node, ok := w.queue.take()
			if !ok {
				break
			}
			gain += w.better(node)
		}
		if gain < 0 {
			w.takeBack(0)
		}
	}
	return nil
}

// along is a node of the way and the last nodes of three runs, of so many nodes,
// that follow one another behind it.
func (w *way) along(before, first, second, third int32) (ends [4]int32) {
	ends[0] = before
	for k, count := range [...]int32{first, second, third} {
		ends[k+1] = ends[k]
		for range count {
			ends[k+1] = w.next(ends[k+1])
		}
	}
	return ends
}

// wander is a node of the way, and three others to which a walk from one near
// node to the next led from there, in the order of the way.
func (w *way) wander(from int32, below func(int32) int32) (ends [4]int32) {
	if from == w.extra {
		from = w.next(from)
	}
	ends[0] = from
	for k := 1; k < len(ends); k++ {
		at := ends[k-1]
		for left := below(longestWander); left >= 0 || slices.Contains(ends[:k], at); left-- {
			at = w.candidatesOf(at)[below(int32(w.candidates))]
		}
		ends[k] = at
	}
	behind := func(node int32) int32 {
		places := w.place[node] - w.place[from]
		if w.mirrored {
			places = -places
		}
		if places < 0 {
			places += w.nodes
		}
		return places
	}
	slices.SortFunc(ends[1:], func(a, b int32) int { return cmp.Compare(behind(a), behind(b)) })
	return ends
}

// exchange lets three runs that follow one another, each from behind one end to
// the next, change their order, first for last, each with its own direction
// kept: the double bridge, which no chain of reversals of ever shorter ways
// finds. It returns by how many mm the way became shorter, mostly less than
// nothing.
func (w *way) exchange(ends [4]int32) float64 {
	before, a2, b2, c2 := ends[0], ends[1], ends[2], ends[3]
	a1, b1, c1, after := w.next(before), w.next(a2), w.next(b2), w.next(c2)
	gain := w.distance(before, a1) + w.distance(a2, b1) + w.distance(b2, c1) + w.distance(c2, after) -
		w.distance(before, c1) - w.distance(c2, b1) - w.distance(b2, a1) - w.distance(a2, after)
	w.reverse(a1, c2)
	w.reverse(c2, c1)
	w.reverse(b2, b1)
	w.reverse(a2, a1)
	for _, node := range [...]int32{before, a1, a2, b1, b2, c1, c2, after} {
		w.queue.put(node)
	}
	return gain
}
