package value

import "math"

// RangeCount is how many numbers `from..to by step` holds; step is not 0. Both
// ends are included, the last within a billionth of a step, and number i, from
// 0, is from + i*step. It may be beyond every int.
func RangeCount(from, to, step float64) float64 {
	steps := math.Floor((to-from)/step + 1e-9)
	if steps < 0 {
		return 0
	}
	return steps + 1
}
