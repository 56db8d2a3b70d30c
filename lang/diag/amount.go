package diag

import (
	"math"
	"strconv"
)

// Millimetres is a length in mm as messages say it: with two decimals, or as
// many more, up to nine, as it takes that a digit shows. It is never shown as
// nothing.
func Millimetres(mm float64) string {
	decimals := 2
	for mm < 0.5*math.Pow10(-decimals) && decimals < 9 {
		decimals++
	}
	return strconv.FormatFloat(mm, 'f', decimals, 64)
}

// Tenths is a number as people read it, such as a coordinate in mm: to a tenth,
// without a lone zero, and never a zero with a sign.
func Tenths(x float64) string { return strconv.FormatFloat(math.Round(x*10)/10+0, 'f', -1, 64) }
