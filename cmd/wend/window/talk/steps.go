package talk

import (
	"context"
	"errors"
	"slices"

	"wend/runtime/eval"
	"wend/runtime/plan"
)

// mostSteps is how many steps of a program are counted.
const mostSteps = 1_000_000

// mostStepsAtOnce is how many are given at once.
const mostStepsAtOnce = 1000

var errEnough = errors.New("seen enough")

// stepped gives some of the statements in the order in which they run, those of the
// text itself, with the variables that each sees.
func (s *Session) stepped(ctx context.Context, r *Request) error {
	s.evaluate.Lock()
	defer s.evaluate.Unlock()
	d, err := s.latest(ctx, r)
	if err != nil {
		return err
	}
	k := s.reads(r)
	s.mu.Lock()
	counted := s.counted == r.Text && s.steps > 0
	answer := Steps{Type: "steps", ID: r.ID, Of: s.steps, Steps: []Step{}}
	s.mu.Unlock()
	until := r.From + max(0, min(r.Count, mostStepsAtOnce))
	n := 0
	d.program.Steps(ctx, func(step eval.Step) error {
		if err := ctx.Err(); err != nil {
			return err
		}
		if step.Span.File == nil || step.Span.File.Name != k.file.Name {
			return nil
		}
		if n >= r.From && n < until {
			from, to := k.units.span(step.Span)
			one := Step{From: from, To: to, Piece: step.Vertex, Sheet: max(0, slices.Index(d.sheets, step.Sheet)), Values: [][2]string{}}
			for _, v := range step.Variables() {
				one.Values = append(one.Values, [2]string{v.Name, v.Value})
			}
			answer.Steps = append(answer.Steps, one)
		}
		n++
		if n >= until && counted || n >= mostSteps {
			return errEnough
		}
		return nil
	}, func(plan.Saying) {})
	if ctx.Err() != nil {
		return nil
	}
	if !counted {
		s.mu.Lock()
		s.counted, s.steps, answer.Of = r.Text, n, n
		s.mu.Unlock()
	}
	s.to.Text(answer)
	return nil
}
