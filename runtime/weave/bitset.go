package weave

import "math/bits"

// bitset is a set of numbers from 0 that finds the next member above or below a
// place in a few steps: each bit of a level says whether a word of the level
// below holds any.
type bitset struct{ levels [][]uint64 }

func (b *bitset) grow(n int) {
	for level := 0; level == 0 || n > 1; level++ {
		n = (n + 63) / 64
		if level == len(b.levels) {
			b.levels = append(b.levels, nil)
			if level > 0 { // what the level below holds already
				for i, w := range b.levels[level-1] {
					if w != 0 {
						b.set(level, i)
					}
				}
			}
		}
		for len(b.levels[level]) < n {
			b.levels[level] = append(b.levels[level], 0)
		}
	}
}

func (b *bitset) set(level, i int) {
	for len(b.levels[level]) <= i/64 {
		b.levels[level] = append(b.levels[level], 0)
	}
	b.levels[level][i/64] |= 1 << (i % 64)
}

func (b *bitset) add(i int) {
	b.grow(i + 1)
	for level := range b.levels {
		b.set(level, i)
		i /= 64
	}
}

func (b *bitset) remove(i int) {
	for level := range b.levels {
		b.levels[level][i/64] &^= 1 << (i % 64)
		if b.levels[level][i/64] != 0 {
			return
		}
		i /= 64
	}
}

// next is the least member not under i, or -1.
func (b *bitset) next(i int) int {
	for level := 0; level < len(b.levels); level++ {
		if i/64 >= len(b.levels[level]) {
			return -1
		}
		if w := b.levels[level][i/64] >> (i % 64); w != 0 {
			i += bits.TrailingZeros64(w)
			for level--; level >= 0; level-- {
				i = 64*i + bits.TrailingZeros64(b.levels[level][i])
			}
			return i
		}
		i = i/64 + 1
	}
	return -1
}

// previous is the greatest member not above i, or -1.
func (b *bitset) previous(i int) int {
	for level := 0; level < len(b.levels) && i >= 0; level++ {
		if i/64 >= len(b.levels[level]) {
			i = 64*len(b.levels[level]) - 1
		}
		if w := b.levels[level][i/64] << (63 - i%64); w != 0 {
			i -= bits.LeadingZeros64(w)
			for level--; level >= 0; level-- {
				i = 64*i + 63 - bits.LeadingZeros64(b.levels[level][i])
			}
			return i
		}
		i = i/64 - 1
	}
	return -1
}
