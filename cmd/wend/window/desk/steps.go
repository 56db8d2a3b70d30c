package desk

import (
	"context"
	"errors"

	"wend/cmd/wend/engine"
	"wend/runtime/eval"
	"wend/runtime/plan"
)

// mostSteps is how many steps of a program are counted.
const mostSteps = 1_000_000

var errEnough = errors.New("enough steps")

// steps tells where a program stands before some of its statements.
func (d *Desk) steps(ctx context.Context, r Request) error {
	one, err := d.run(ctx, r, nil)
	if err != nil {
		return err
	}
	u := unitsOf(sourceOf(r))
	sheets := map[int]int{}
	for n, i := range engine.WithLine(one.plan) {
		sheets[i] = n
	}
	answer := Steps{Type: "steps", ID: r.ID, Steps: []Step{}}
	count := max(1, min(r.Count, 500))
	one.program.Steps(ctx, func(s eval.Step) error {
		k := answer.Of
		if answer.Of++; answer.Of > mostSteps {
			return errEnough
		}
		if k < r.From || k >= r.From+count {
			return nil
		}
		step := Step{Piece: s.Vertex, Sheet: sheets[s.Sheet], Values: [][2]string{}}
		step.From, step.To = -1, -1
		if s.Span.File != nil && s.Span.File.Name == u.file.Name {
			step.From, step.To = u.of(s.Span.Start), u.of(s.Span.End)
		}
		for _, v := range s.Variables() {
			step.Values = append(step.Values, [2]string{v.Name, v.Value})
		}
		answer.Steps = append(answer.Steps, step)
		return nil
	}, func(plan.Saying) {})
	if ctx.Err() == nil {
		d.tell(answer)
	}
	return nil
}
