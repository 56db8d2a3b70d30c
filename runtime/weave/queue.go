package weave

// queue is a binary heap: pop takes what comes before all else.
type queue[T interface{ before(T) bool }] []T

func (q *queue[T]) push(x T) {
	*q = append(*q, x)
	h := *q
	i := len(h) - 1
	for i > 0 && x.before(h[(i-1)/2]) {
		h[i] = h[(i-1)/2]
		i = (i - 1) / 2
	}
	h[i] = x
}

// pop takes the first of a queue that is not empty.
func (q *queue[T]) pop() T {
	h := *q
	first, x := h[0], h[len(h)-1]
	h = h[:len(h)-1]
	*q = h
	i := 0
	for {
		down := 2*i + 1
		if down >= len(h) {
			break
		}
		if down+1 < len(h) && h[down+1].before(h[down]) {
			down++
		}
		if !h[down].before(x) {
			break
		}
		h[i] = h[down]
		i = down
	}
	if len(h) > 0 {
		h[i] = x
	}
	return first
}
