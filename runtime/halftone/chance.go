package halftone

import (
	"math/rand/v2"

	"wend/runtime/elementary"
)

// chance is a sequence of numbers that look random, the same for the same seed
// everywhere.
type chance struct{ source *rand.PCG }

func newChance(seed, stream uint64) chance { return chance{rand.NewPCG(seed, stream)} }

// below is a whole number in 0..n-1; n is far below 2³².
func (c chance) below(n int) int { return int(c.source.Uint64() >> 32 * uint64(n) >> 32) }

// unit is in 0 <= u < 1.
func (c chance) unit() float64 { return float64(c.source.Uint64()>>11) * 0x1p-53 }

// wait is exponentially distributed with mean 1: times the temperature, it is
// what a worsening may cost.
func (c chance) wait() float64 { return waits[c.source.Uint64()>>54] }

var waits = func() (table [1024]float64) {
	for i := range table {
		log, _ := elementary.Log((float64(i) + 0.5) / float64(len(table)))
		table[i] = -log
	}
	return table
}()
