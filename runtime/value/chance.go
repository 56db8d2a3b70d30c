package value

// Chance is the random sequence of a run: SplitMix64 (Steele, Lea, Flood,
// OOPSLA 2014), which is fixed for all time so that a seed means the same
// drawing everywhere.
type Chance struct{ state uint64 }

// NewChance starts the sequence of a seed.
func NewChance(seed uint64) *Chance { return &Chance{state: seed} }

// Next is the next 64 bits.
func (c *Chance) Next() uint64 {
	c.state += 0x9e3779b97f4a7c15
	z := c.state
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// Float is the next number in [0, 1): the top 53 bits of Next.
func (c *Chance) Float() float64 { return float64(c.Next()>>11) * (1.0 / (1 << 53)) }

// Below is the next whole number in 0 … n-1, each equally likely; n > 0.
func (c *Chance) Below(n int) int {
	limit := -uint64(n) % uint64(n) // values under it would favour small results
	for {
		if x := c.Next(); x >= limit {
			return int(x % uint64(n))
		}
	}
}
