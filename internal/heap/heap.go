// Package heap has a queue that gives the first of its elements first: a binary
// heap (J. W. J. Williams, "Algorithm 232: Heapsort", Comm. ACM 7, 1964) in a
// slice, without the interfaces and allocations of container/heap.
package heap

// Element is what has an order among its kind.
type Element[E any] interface {
	// Before reports whether the element comes before another one. Of two neither of
	// which does, the queue may give either first, always the same after the same
	// calls.
	Before(E) bool
}

// Heap is a queue; it can be emptied by slicing it to nothing.
type Heap[E Element[E]] []E

// Push adds an element.
func (h *Heap[E]) Push(e E) {
	*h = append(*h, e)
	q := *h
	i := len(q) - 1
	for i > 0 {
		up := (i - 1) / 2
		if !e.Before(q[up]) {
			break
		}
		q[i] = q[up]
		i = up
	}
	q[i] = e
}

// Pop takes out the first element. There is one.
func (h *Heap[E]) Pop() E {
	q := *h
	first, e := q[0], q[len(q)-1]
	q = q[:len(q)-1]
	*h = q
	i := 0
	for {
		down := 2*i + 1
		if down >= len(q) {
			break
		}
		if down+1 < len(q) && q[down+1].Before(q[down]) {
			down++
		}
		if !q[down].Before(e) {
			break
		}
		q[i] = q[down]
		i = down
	}
	if len(q) > 0 {
		q[i] = e
	}
	return first
}
