package preview

import (
	"wend/runtime/geom"
)

// Dimension is a measure on a picture, as a workshop draws it: thin lines beside
// what is measured, and words.
type Dimension struct {
	Lines [][]geom.Point // page mm
	Words string
	At    geom.Point // the middle of the words, page mm
}

// measure draws dimensions on a plane of their own, over everything else.
func (a *art) measure(dimensions []Dimension) {
	pen := newNib(max(1, float64(dimensionPen*a.em)), a.window)
	f := newFurniture(a.w, a.h, a.faces)
	for _, d := range dimensions {
		at := a.spot(d.At)
		f.write(f.small, d.Words, at.x, at.y+float64(0.36*a.em), 0.5, boldInk)
	}
	a.measures = f.plane
	for _, d := range dimensions {
		for _, line := range d.Lines {
			for i := 1; i < len(line); i++ {
				pen.capsule(a.measures, a.spot(line[i-1]), a.spot(line[i]))
			}
		}
	}
}

// dimensionPen is how wide the lines of dimensions are, in em: far thinner than
// the line they measure (ISO 128-2 wants half of it or less; from memory).
const dimensionPen = 0.075
