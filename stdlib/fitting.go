package stdlib

import (
	"context"
	"slices"
	"strings"

	"wend/runtime/geom"
	"wend/stdlib/lettering"
)

// The heights between which FitText looks, in mm, and how closely.
const (
	lowestFit  = 1.0
	highestFit = 200.0
	fitShare   = 0.005
	readsWell  = 5.0
)

// FitText is the largest height of capitals, and the width of rows, in mm, at
// which a text fits into a width and a height in mm with everything that joins
// its rows. The rows of a text that has several are kept whole as long as they
// read well, and one row is if nothing is gained by breaking it; width is 0
// then. It is false if the text does not fit at any height that can
// be read, or cannot be written at all.
func FitText(ctx context.Context, words, font, align string, width, height float64) (heightMM, widthMM float64, ok bool) {
	face, known := readFaces()[font]
	i := slices.Index(alignments[:], align)
	if !known || i < 0 {
		return 0, 0, false
	}
	fits := func(mm, rows float64) bool {
		style := lettering.Style{Height: mm, Width: rows, Align: lettering.Align(i)}
		block, err := lettering.Set(face, words, style)
		if err != nil {
			return false
		}
		// Fineness does not matter for how large it is.
		line, err := block.Line(ctx, mm/fitFineness)
		if err != nil {
			return false
		}
		box := geom.Bounds(line.Points())
		return box.Width() <= width && box.Height() <= height
	}
	largest := func(rows func(mm float64) float64) float64 {
		if !fits(lowestFit, rows(lowestFit)) {
			return 0
		}
		low, high := lowestFit, highestFit
		for high > low*(1+fitShare) {
			middle := (low + high) / 2
			if fits(middle, rows(middle)) {
				low = middle
			} else {
				high = middle
			}
		}
		return low
	}
	whole := func(float64) float64 { return 0 }
	// The line from row to row runs beside the text.
	broken := func(mm float64) float64 { return max(width-float64(besideRows*mm), lowestFit) }
	kept, wrapped := 0.0, largest(broken)
	if lettering.Align(i) != lettering.Justify {
		kept = largest(whole)
	}
	several := strings.Contains(words, "\n")
	switch {
	case kept > 0 && (kept >= wrapped || several && kept >= readsWell):
		return kept, 0, true
	case wrapped > 0:
		return wrapped, broken(wrapped), true
	}
	return 0, 0, false
}

const (
	// fitFineness is how many times finer than a letter its line is looked at.
	fitFineness = 200
	// besideRows is how much of a capital's height the lines beside the rows take.
	besideRows = 0.7
)
