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
