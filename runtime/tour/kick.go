package tour

import (
	"context"
	"math/bits"
	"math/rand/v2"
)

// longestRun is how many nodes a run that a kick moves has at the most: kicks
// that stay near cost little to better again, and are kept more often.
const longestRun = 30

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
		gain := w.exchange(w.tour[below(w.nodes)], 1+below(longest), 1+below(longest), 1+below(longest))
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

// exchange lets three runs that follow one another behind a node change their
// order, first for last, each with its own direction kept: the double bridge,
// which no chain of reversals of ever shorter ways finds. It returns by how
// many mm the way became shorter, mostly less than nothing.
func (w *way) exchange(before, first, second, third int32) float64 {
	firstOf := func(from int32, count int32) (int32, int32) {
		last := from
		for range count - 1 {
			last = w.next(last)
		}
		return from, last
	}
	a1, a2 := firstOf(w.next(before), first)
	b1, b2 := firstOf(w.next(a2), second)
	c1, c2 := firstOf(w.next(b2), third)
	after := w.next(c2)
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
