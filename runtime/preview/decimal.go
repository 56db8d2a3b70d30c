package preview

import "strconv"

// thousandths is a length in µm, rounded to the nearest whole one, halves away
// from 0. v must be sound.
func thousandths(v float64) int64 { return rounded(float64(v * 1e3)) }

func rounded(v float64) int64 {
	if v < 0 {
		return -int64(0.5 - v)
	}
	return int64(v + 0.5)
}

// appendMillionths writes a number of millionths as a decimal with no more
// digits than it needs.
func appendMillionths(dst []byte, n int64) []byte {
	if n < 0 {
		dst = append(dst, '-')
		n = -n
	}
	dst = strconv.AppendInt(dst, n/1_000_000, 10)
	part := n % 1_000_000
	if part == 0 {
		return dst
	}
	dst = append(dst, '.')
	for digit := int64(100_000); part > 0; digit /= 10 {
		dst = append(dst, byte('0'+part/digit))
		part %= digit
	}
	return dst
}
