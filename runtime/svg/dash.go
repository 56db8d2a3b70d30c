package svg

import (
	"math"

	"wend/runtime/geom"
)

// dashed cuts a line into its dashes (SVG 2, section 13.5.6). room is how many
// points there may be; it is below zero afterwards if there would be more.
func dashed(line []geom.Point, dashes []float64, offset float64, room *int) [][]geom.Point {
	period := 0.0
	for _, d := range dashes {
		period += d
	}
	// Where in the pattern the line begins.
	left := offset - float64(period*math.Floor(offset/period))
	i := 0
	for left >= dashes[i] && (left > 0 || dashes[i] == 0) {
		left -= dashes[i]
		if i++; i == len(dashes) {
			i = 0
		}
	}
	rest := dashes[i] - left
	var pieces [][]geom.Point
	var piece []geom.Point
	if i%2 == 0 {
		piece = []geom.Point{line[0]}
	}
	end := func() {
		if len(piece) > 1 {
			pieces = append(pieces, piece)
		}
		piece = nil
	}
	for k := 1; k < len(line); k++ {
		a, b := line[k-1], line[k]
		length := a.Distance(b)
		if length == 0 {
			continue
		}
		along := 0.0
		for length-along > rest {
			along += rest
			at := a.Mix(b, along/length)
			if *room--; *room < 0 {
				return nil
			}
			if i%2 == 0 {
				piece = append(piece, at)
				end()
			} else {
				piece = []geom.Point{at}
			}
			if i++; i == len(dashes) {
				i = 0
			}
			rest = dashes[i]
		}
		rest -= length - along
		if i%2 == 0 {
			piece = append(piece, b)
		}
	}
	end()
	return pieces
}
