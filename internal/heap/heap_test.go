package heap

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "wend/internal/repeatable"
)

type number int

func (n number) Before(m number) bool { return n < m }

func TestTheLeastComesFirst(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var h Heap[number]
		var sorted []number
		for _, n := range rapid.SliceOf(rapid.IntRange(-20, 60)).Draw(t, "numbers; one below 0 takes one out") {
			if n >= 0 {
				h.Push(number(n))
				sorted = append(sorted, number(n))
				slices.Sort(sorted)
			} else if len(sorted) > 0 {
				require.Equal(t, sorted[0], h.Pop())
				sorted = sorted[1:]
			}
			require.Len(t, h, len(sorted))
		}
	})
}
