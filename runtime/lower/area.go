package lower

import (
	"fmt"
	"math"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

// edges are those of the area, and where the path of the motors, slack and skew
// included, goes farthest beyond them.
type edges struct {
	steps                      geom.Point // per mm
	right, top                 int32
	left, below, beyond, above worst
}

// worst is the move that goes farthest beyond an edge, and by how many steps.
type worst struct {
	over int32
	move int
}

func (w *worst) note(over int32, move int) {
	if over > w.over {
		*w = worst{over, move}
	}
}

func newEdges(p *machine.Profile) *edges {
	s := p.StepsPerMM()
	return &edges{
		steps: s,
		right: int32(math.Floor(float64(p.Area.WidthMM*s.X) + 1e-6)),
		top:   int32(math.Floor(float64(p.Area.HeightMM*s.Y) + 1e-6)),
	}
}

// look takes in the place to which a move leads.
func (e *edges) look(at machine.Steps, move int) {
	e.left.note(-at.X, move)
	e.below.note(-at.Y, move)
	e.beyond.note(at.X-e.right, move)
	e.above.note(at.Y-e.top, move)
}

// report says where the path leaves the area: once for each edge, at the move that
// goes farthest.
func (e *edges) report(in *machine.Instructions) diag.List {
	var out diag.List
	report := func(w worst, edge string, stepsPerMM float64) {
		if w.over == 0 {
			return
		}
		span := source.Span{}
		if w.move < len(in.Moves) && int(in.Moves[w.move].Place) < len(in.Places) {
			span = in.Places[in.Moves[w.move].Place]
		}
		out = append(out, diag.New("motor-outside-area", span, diag.Args{
			"mm": fmt.Sprintf("%.2f", float64(w.over)/stepsPerMM), "edge": edge,
		}))
	}
	report(e.left, "left", e.steps.X)
	report(e.beyond, "right", e.steps.X)
	report(e.below, "lower", e.steps.Y)
	report(e.above, "upper", e.steps.Y)
	return out
}
