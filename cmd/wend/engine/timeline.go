package engine

import (
	"context"
	"math"

	"wend/lang/diag"
	"wend/runtime/lower"
	"wend/runtime/plan"
)

// Timeline is when each piece of a sheet is drawn, in seconds from where the line
// starts; pauses take none. Within the sheet it follows the largest speeds of the
// machine's moves. The error is ctx's; where the list has failed there are no
// times.
func (p *Program) Timeline(ctx context.Context, drawn *plan.Plan, sheet int) ([]float32, diag.List, error) {
	s := drawn.Sheets[sheet]
	lowered, list, err := lower.Sheet(ctx, p.Profile, drawn, s, lower.Options{Compensate: true})
	if err != nil || list.Failed() {
		return nil, list, err
	}
	// Moves and pieces are held together by their share of the whole way.
	type reached struct{ way, time float64 }
	marks := make([]reached, 1, len(lowered.Moves)+1)
	at, last := lowered.Start, reached{}
	for _, m := range lowered.Moves {
		dx, dy := float64(m.To.X-at.X), float64(m.To.Y-at.Y)
		last.way += math.Hypot(dx, dy)
		last.time += max(math.Abs(dx), math.Abs(dy)) / float64(m.Feed)
		marks = append(marks, last)
		at = m.To
	}
	whole := 0.0
	for i := range s.Place {
		whole += s.Points[i].Distance(s.Points[i+1])
	}
	ends := make([]float32, len(s.Place))
	way, k := 0.0, 0
	for i := range ends {
		way += s.Points[i].Distance(s.Points[i+1])
		share := 1.0
		if i+1 < len(ends) && whole > 0 {
			share = way / whole
		}
		for k+1 < len(marks) && marks[k].way < share*last.way {
			k++
		}
		if last.time > 0 {
			ends[i] = float32(lowered.Seconds * marks[k].time / last.time)
		}
	}
	if len(ends) > 0 {
		ends[len(ends)-1] = float32(lowered.Seconds)
	}
	return ends, list, nil
}
