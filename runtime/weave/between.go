package weave

import (
	"context"

	"wend/runtime/geom"
	"wend/runtime/plan"
)

// Passages is what lines through a drawing cost that begin and end at given
// places.
type Passages struct {
	// RetraceMM[i][j] is how much line is gone over again from place i to place
	// j, and the same the other way.
	RetraceMM [][]float64
	// DrawnMM and LinkMM are the lengths of the strokes and of what joins their
	// parts, whatever the way.
	DrawnMM, LinkMM float64
}

// Between gives what Weave would, with each two of some places on the strokes as
// start and end, but for the lines themselves: the drawing is taken apart once
// for all of them. A place that is not on a stroke counts as a part.
//
// It fails as Weave does.
func Between(ctx context.Context, strokes [][]geom.Point, places []geom.Point) (*Passages, error) {
	if err := checkPoints(append(strokes[:len(strokes):len(strokes)], places), Options{}); err != nil {
		return nil, err
	}
	drawing, err := arrange(ctx, strokes, nil)
	if err != nil {
		return nil, err
	}
	dots := make([]int32, len(places))
	for i, p := range places {
		dots[i] = drawing.addDot(p)
	}
	p := &Passages{RetraceMM: make([][]float64, len(places))}
	for i := range places {
		p.RetraceMM[i] = make([]float64, len(places))
	}
	if len(drawing.vertices.points) == 0 {
		return p, nil
	}
	firstLink := int32(len(drawing.ends))
	if _, _, err := joinParts(ctx, drawing); err != nil {
		return nil, err
	}
	g := newGraph(drawing, firstLink, dots...)
	for _, e := range g.edges {
		if e.role == plan.Link {
			p.LinkMM += e.mm
		} else {
			p.DrawnMM += e.mm
		}
	}
	for i := range places {
		for j := range i + 1 {
			ends := walkEnds{start: dots[i], end: dots[j]}
			odd, _ := oddNodes(g, ends)
			again, _, err := leastRetrace(ctx, g, odd, ends)
			if err != nil {
				return nil, err
			}
			for _, e := range again {
				p.RetraceMM[i][j] += g.edges[e].mm
			}
			p.RetraceMM[j][i] = p.RetraceMM[i][j]
		}
	}
	return p, nil
}
