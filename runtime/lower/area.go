package lower

import (
	"fmt"
	"math"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/machine"
)

// motorsInArea reports where the path of the motors, slack and skew included,
// leaves the area: once for each edge, at the move that goes farthest.
func motorsInArea(p *machine.Profile, in *machine.Instructions) diag.List {
	s := p.StepsPerMM()
	right := int32(math.Floor(float64(p.Area.WidthMM*s.X) + 1e-6))
	top := int32(math.Floor(float64(p.Area.HeightMM*s.Y) + 1e-6))
	type worst struct {
		over int32
		move int
	}
	var left, below, beyond, above worst
	note := func(w *worst, over int32, move int) {
		if over > w.over {
			*w = worst{over, move}
		}
	}
	look := func(at machine.Steps, move int) {
		note(&left, -at.X, move)
		note(&below, -at.Y, move)
		note(&beyond, at.X-right, move)
		note(&above, at.Y-top, move)
	}
	look(in.Start, 0)
	for i := range in.Moves {
		look(in.Moves[i].To, i)
	}
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
	report(left, "left", s.X)
	report(beyond, "right", s.X)
	report(below, "lower", s.Y)
	report(above, "upper", s.Y)
	return out
}
