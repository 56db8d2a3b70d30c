package tour

import "context"

// A chain begins by leaving out the edge from a base to the node after it, its
// end. One step joins the end to a near node, leaves out the edge in front of
// that one, and so has a new end: the stretch between is turned round, and the
// way stays a ring at every moment. Steps go in pairs. All pairs are looked at
// before anything is turned: the first after which the closed ring is shorter
// is taken, else the one that leaves out most is, and the chain goes on from
// there. The sum of what was left out less what was added stays positive all
// along.
//
// A first step may also leave out the edge behind the near node. That splits a
// ring off, and the second step must lead through it: so runs of any length
// move to another place, which turning stretches round alone does not find.

const (
	// deepest is how many pairs of steps a chain has at the most.
	deepest = 3
	// widest is how many near nodes the first step of a pair may go to.
	widest = 6
)

type edge struct{ a, b int32 }

// pair is two steps of a chain from its end: to near, then from out to nearer,
// and then from end on.
type pair struct {
	near, out, nearer, end int32
	kind                   pairKind
	open                   float64 // what was left out less what was added, in mm, before closing
}

type pairKind uint8

const (
	none pairKind = iota
	single
	turned  // two stretches turned round, one after the other
	swapped // two runs that follow one another changed places
	rolled  // both of two runs that follow one another turned round
)

// settle betters the way until no point's surroundings can be bettered.
func (w *way) settle(ctx context.Context) error {
	for tried := 0; ; tried++ {
		if tried%1024 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		node, ok := w.queue.take()
		if !ok {
			return nil
		}
		w.better(node)
	}
}

// better tries chains from one node, either way, as long as they help, and
// returns by how many mm the way became shorter. What was touched is queued.
func (w *way) better(node int32) float64 {
	total := 0.0
	for vain := 0; vain < 2; {
		gain := w.chain(node)
		if gain > 0 {
			total, vain = total+gain, 0
			continue
		}
		w.mirrored = !w.mirrored
		vain++
	}
	return total
}

// chain looks for a chain from a base that shortens the way. It returns by how
// many mm, or 0 with the way as it was.
func (w *way) chain(base int32) float64 {
	mark := len(w.journal)
	w.added = w.added[:0]
	end := w.next(base)
	open := w.distance(base, end)
	w.touched = append(w.touched[:0], base, end)
	for range deepest {
		p, gain := w.bestPair(base, end, open)
		if p.kind == none {
			break
		}
		w.carryOut(base, end, p)
		if gain > 0 {
			for _, node := range w.touched {
				w.queue.put(node)
			}
			return gain
		}
		end, open = p.end, p.open
	}
	w.takeBack(mark)
	return 0
}

// bestPair looks at the pairs of steps from an end. Where one shortens the
// closed ring it returns that with the gain, else the one that leaves out most
// and 0; of no kind where there is none.
func (w *way) bestPair(base, end int32, open float64) (pair, float64) {
	var best pair
	if end == w.extra {
		return best, 0
	}
	slack := shorter * (open + 1)
	tried := 0
	nears, spans := w.candidatesOf(end), w.spansOf(end)
	for i := w.firstCandidate(); i < len(nears); i++ {
		near, added := w.extra, 0.0
		if i >= 0 {
			near, added = nears[i], spans[i]
			if added+slack >= open {
				break
			}
		}
		if near == base {
			continue
		}
		left := open - added
		if before := w.previous(near); before != end && !w.isAdded(before, near) {
			p := pair{near: near, out: before, end: before, kind: single, open: left + w.charged(before, near, apart(w.places, before, near))}
			if gain := p.open - w.charged(before, base, apart(w.places, before, base)); gain > slack {
				return p, gain
			}
			if gain := w.secondTurned(base, end, p, slack, &best); gain > 0 {
				return best, gain
			}
		}
		if after := w.next(near); near != base && after != base && w.previous(near) != end && !w.isAdded(near, after) {
			p := pair{near: near, out: after, open: left + w.charged(near, after, apart(w.places, near, after))}
			if gain := w.secondThrough(base, end, p, slack, &best); gain > 0 {
				return best, gain
			}
		}
		if tried++; tried == widest {
			break
		}
	}
	return best, 0
}

// secondTurned looks for the second step after a first that turns the stretch
// from end to first.out round. It returns the gain if best is one that shortens
// the ring.
func (w *way) secondTurned(base, end int32, first pair, slack float64, best *pair) float64 {
	out := first.out
	if out == w.extra {
		return 0
	}
	nearers, spans := w.candidatesOf(out), w.spansOf(out)
	for i := w.firstCandidate(); i < len(nearers); i++ {
		nearer, added := w.extra, 0.0
		if i >= 0 {
			nearer, added = nearers[i], spans[i]
			if added+slack >= first.open {
				break
			}
		}
		if nearer == base {
			continue
		}
		// What lies in front of nearer once the stretch is turned round.
		var before int32
		switch {
		case nearer == first.near:
			continue // the edge left out just now
		case w.between(end, nearer, out):
			before = w.next(nearer)
			if nearer == out {
				continue
			}
		default:
			before = w.previous(nearer)
		}
		if before == out || before == first.near && nearer == end || w.isAdded(before, nearer) {
			continue
		}
		open := first.open - added + w.charged(before, nearer, apart(w.places, before, nearer))
		gain := open - w.charged(before, base, apart(w.places, before, base))
		if gain > slack || open > best.open && gain <= slack {
			*best = pair{near: first.near, out: out, nearer: nearer, end: before, kind: turned, open: open}
			if gain > slack {
				return gain
			}
		}
	}
	return 0
}

// secondThrough looks for the second step after a first that splits the ring
// end … first.near off: it leads from first.out into that ring, and out of it
// on the one side or the other of where it enters.
func (w *way) secondThrough(base, end int32, first pair, slack float64, best *pair) float64 {
	out := first.out
	if out == w.extra {
		return 0
	}
	nearers, spans := w.candidatesOf(out), w.spansOf(out)
	for i := w.firstCandidate(); i < len(nearers); i++ {
		nearer, added := w.extra, 0.0
		if i >= 0 {
			nearer, added = nearers[i], spans[i]
			if added+slack >= first.open {
				break
			}
		}
		if !w.between(end, nearer, first.near) {
			continue
		}
		if nearer != first.near {
			if last := w.next(nearer); !w.isAdded(nearer, last) {
				open := first.open - added + w.charged(nearer, last, apart(w.places, nearer, last))
				gain := open - w.charged(last, base, apart(w.places, last, base))
				if gain > slack || open > best.open {
					*best = pair{near: first.near, out: out, nearer: nearer, end: last, kind: swapped, open: open}
					if gain > slack {
						return gain
					}
				}
			}
		}
		if nearer != end {
			if last := w.previous(nearer); !w.isAdded(nearer, last) {
				open := first.open - added + w.charged(nearer, last, apart(w.places, nearer, last))
				gain := open - w.charged(last, base, apart(w.places, last, base))
				if gain > slack || open > best.open {
					*best = pair{near: first.near, out: out, nearer: nearer, end: last, kind: rolled, open: open}
					if gain > slack {
						return gain
					}
				}
			}
		}
	}
	return 0
}

// carryOut turns the way into what a pair makes of it.
func (w *way) carryOut(base, end int32, p pair) {
	w.touched = append(w.touched, p.near, p.out, p.end)
	w.added = append(w.added, edge{end, p.near})
	if p.kind != single {
		w.touched = append(w.touched, p.nearer)
		w.added = append(w.added, edge{p.out, p.nearer})
	}
	switch p.kind {
	case single:
		w.reverse(end, p.out)
	case turned:
		w.reverse(end, p.out)
		w.reverse(p.out, p.end)
	case swapped: // base, end … nearer, p.end … near, out
		w.reverse(end, p.near)
		w.reverse(p.near, p.end)
		w.reverse(p.nearer, end)
	case rolled: // base, end … p.end, nearer … near, out
		w.reverse(end, p.end)
		w.reverse(p.nearer, p.near)
	}
}

func (w *way) isAdded(a, b int32) bool {
	for _, e := range w.added {
		if e.a == a && e.b == b || e.a == b && e.b == a {
			return true
		}
	}
	return false
}
