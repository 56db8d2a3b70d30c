package engine

import (
	"context"

	"wend/lang/diag"
	"wend/runtime/eval"
	"wend/runtime/lower"
	"wend/runtime/machine"
	"wend/runtime/plan"
)

// Times is when the machine has drawn what of a sheet.
type Times struct {
	At      []float32 // seconds, by vertex of the line
	Seconds float64   // all of it
	EndGap  machine.Gap
}

// Times finds out when the machine of the profile is at each vertex of a sheet;
// pauses take no time. before is as in Lower. Also where the list has failed, since
// the motors would leave the area, the times are those that it would take.
func (p *Program) Times(ctx context.Context, drawn *plan.Plan, sheet int, before machine.Gap) (Times, diag.List) {
	s := drawn.Sheets[sheet]
	if s.Begun {
		before = machine.Gap{}
	}
	lowered, list, err := lower.Sheet(ctx, p.Profile, drawn, s, lower.Options{Compensate: true, Gap: before, Times: true})
	if err != nil {
		return Times{}, Faults(err)
	}
	return Times{lowered.At, lowered.Seconds, lowered.EndGap}, list
}

// Trails is the way by which a program came to each of some pieces of what it drew:
// the calls and the passes of loops, outermost first. It takes one more run.
func (p *Program) Trails(ctx context.Context, pieces []eval.Segment) (map[eval.Segment][]diag.Frame, error) {
	if p.code == nil || len(pieces) == 0 {
		return nil, nil
	}
	return eval.Trails(ctx, p.code, p.options(), pieces)
}
