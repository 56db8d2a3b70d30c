package plan

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
)

// compare is the order of pieces: by their line, and along it.
func (p *piece) compare(q *piece) int {
	switch {
	case p.line != q.line:
		return cmp.Compare(p.line, q.line)
	case p.from != q.from:
		return cmp.Compare(p.from, q.from)
	}
	return cmp.Compare(p.to, q.to)
}

// key is a number that pieces of one line are sorted by, along it, or pieces of
// several by their line.
func (p *piece) key(along bool) uint64 {
	if !along {
		return p.line
	}
	// The bits of a float64 are in order of size once the sign is turned over,
	// and with it all others of what is below zero.
	from := math.Float64bits(p.from)
	return from ^ (uint64(int64(from)>>63) | 1<<63)
}

// Pieces are sorted by so many bits at a time; few are sorted sooner by
// comparing them.
const (
	digitBits = 8
	few       = 32
)

// sortPieces sorts pieces by the first bits in which they differ, then those
// that agree in them: a radix sort within the array (McIlroy, Bostic & McIlroy,
// Engineering Radix Sort, 1993; from memory). A second array would be larger
// than the plan.
func sortPieces(pieces []piece) {
	along, differ := false, uint64(0)
	if len(pieces) > few {
		if differ = differing(pieces, along); differ == 0 {
			along = true
			differ = differing(pieces, along)
		}
	}
	if differ == 0 {
		slices.SortFunc(pieces, func(p, q piece) int { return p.compare(&q) })
		return
	}
	shift := max(0, bits.Len64(differ)-digitBits)
	digit := func(p *piece) uint8 { return uint8(p.key(along) >> shift) }
	var next, end [1 << digitBits]int // for each digit, where the next of its pieces goes, and the end of their places
	for i := range pieces {
		end[digit(&pieces[i])]++
	}
	at := 0
	for d := range end {
		next[d] = at
		at += end[d]
		end[d] = at
	}
	start := 0
	for d := range end {
		for next[d] < end[d] {
			p := pieces[next[d]]
			for to := digit(&p); int(to) != d; to = digit(&p) {
				p, pieces[next[to]] = pieces[next[to]], p
				next[to]++
			}
			pieces[next[d]] = p
			next[d]++
		}
		if end[d] > start+1 {
			sortPieces(pieces[start:end[d]])
		}
		start = end[d]
	}
}

// differing are the bits of their keys in which not all pieces agree.
func differing(pieces []piece, along bool) (differ uint64) {
	first := pieces[0].key(along)
	for i := range pieces {
		differ |= pieces[i].key(along) ^ first
	}
	return differ
}
