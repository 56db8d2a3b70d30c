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
	// keptShare of the height that rows broken anew would have is enough for those
	// that somebody made: a verse with one word in a row of its own looks worse.
	keptShare = 0.8
)

// FitText is the largest height of capitals, and the width of rows, in mm, at
// which a text fits into a width and a height in mm with everything that joins
// its rows. The rows of a text that has several are kept whole as long as they
// read well or little is gained by breaking them, and one row is if nothing is;
// width is 0 then. It is false if the text does not fit at any height that can
// be read, or cannot be written at all.
func FitText(ctx context.Context, words, font, align, rows string, width, height float64) (heightMM, widthMM float64, ok bool) {
	read := faces[font]
	i, way := slices.Index(alignments[:], align), slices.Index(rowWays[:], rows)
	if read == nil || i < 0 || way < 0 {
		return 0, 0, false
	}
	face := read()
	ways := lettering.Rows(way)
	// fits is the width of rows at which the text fits, if it does.
	fits := func(mm, rows float64) (used float64, ok bool) {
		for range 2 {
			style := lettering.Style{Height: mm, Width: rows, Align: lettering.Align(i)}
			block, err := lettering.Set(face, words, style)
			if err != nil || block.Box().Height() > height+mm {
				return 0, false
			}
			// Fineness does not matter for how large it is.
			line, err := block.Line(ctx, ways, mm/fitFineness)
			if err != nil {
				return 0, false
			}
			box := geom.Bounds(line.Points())
			over := box.Width() - width
			if over <= 0 || rows == 0 {
				return rows, over <= 0 && box.Height() <= height
			}
			// Strokes that lead on stand out beside full rows.
			rows = max(rows-over-overhang, lowestFit)
		}
		return 0, false
	}
	largest := func(rows func(mm float64) float64) (heightMM, widthMM float64) {
		used, ok := fits(lowestFit, rows(lowestFit))
		if !ok {
			return 0, 0
		}
		low, high := lowestFit, highestFit
		for high > low*(1+fitShare) {
			middle := (low + high) / 2
			if w, ok := fits(middle, rows(middle)); ok {
				low, used = middle, w
			} else {
				high = middle
			}
		}
		// Rows break anew at every size, so a larger one may fit again.
		for mm := low * (1 + fitAgain); mm > low*(1+fitShare); mm *= 1 - 2*fitShare {
			if w, ok := fits(mm, rows(mm)); ok {
				return mm, w
			}
		}
		return low, used
	}
	whole := func(float64) float64 { return 0 }
	broken := func(mm float64) float64 {
		switch ways {
		case lettering.Near:
			return width
		case lettering.Turns:
			return max(width-float64(besideTurns*mm), lowestFit)
		}
		return max(width-float64(besideLadders*mm), lowestFit)
	}
	kept := 0.0
	wrapped, rowsMM := largest(broken)
	if lettering.Align(i) != lettering.Justify {
		kept, _ = largest(whole)
	}
	several := strings.Contains(words, "\n")
	switch {
	case kept > 0 && (kept >= wrapped || several && (kept >= readsWell || kept >= float64(keptShare*wrapped))):
		return kept, 0, true
	case wrapped > 0:
		return wrapped, rowsMM, true
	}
	return 0, 0, false
}

// Written is a text as TextLine sets it, in mm.
type Written struct {
	Box  geom.Box // of all line
	Rows []lettering.Row
}

// TextLine measures a text at a height, with rows of a width or, if that is 0,
// whole. The error is a *diag.Fault: what a font, an alignment or a way from row
// to row is not, and what cannot be written.
func TextLine(ctx context.Context, words, font, align, rows string, heightMM, widthMM float64) (Written, error) {
	face, err := faceNamed(font)
	if err != nil {
		return Written{}, err
	}
	way, err := rowWay(rows)
	if err != nil {
		return Written{}, err
	}
	style := lettering.Style{Height: heightMM, Width: widthMM}
	if style.Align, err = alignment(align); err != nil {
		return Written{}, err
	}
	block, err := lettering.Set(face, words, style)
	if err != nil {
		return Written{}, setFault(err, font, style)
	}
	line, err := block.Line(ctx, way, heightMM/fitFineness)
	if err != nil {
		return Written{}, err
	}
	return Written{geom.Bounds(line.Points()), block.Rows()}, nil
}

const (
	// fitFineness is how many times finer than a letter its line is looked at.
	fitFineness = 200
	// overhang in mm is by how much rows are made narrower than they have to be.
	overhang = 0.1
	// fitAgain is how much larger than a size that fits others are tried.
	fitAgain = 0.25
	// How much of a capital's height the line takes that goes on beside the rows.
	besideLadders, besideTurns = 0.7, 2.0
)
