package engine

import (
	"context"
	"math"

	"wend/lang/source"
	"wend/runtime/lower"
	"wend/runtime/plan"
)

// Cost is what some of a drawing takes.
type Cost struct {
	LineMM  float64
	Seconds float64 // on the machine of the profile; pauses take none
}

// Costs are those of a drawing by where its line came from.
type Costs struct {
	places []plan.Place
	of     []Cost // by place
}

// Costs finds out what a drawing takes. The error is ctx's.
func (p *Program) Costs(ctx context.Context, drawn *plan.Plan) (*Costs, error) {
	costs := &Costs{places: drawn.Places, of: make([]Cost, len(drawn.Places))}
	for _, i := range WithLine(drawn) {
		sheet := drawn.Sheets[i]
		for j, place := range sheet.Place {
			costs.of[place].LineMM += sheet.Points[j].Distance(sheet.Points[j+1])
		}
		lowered, list, err := lower.Sheet(ctx, p.Profile, drawn, sheet, lower.Options{Compensate: true})
		if err != nil {
			return nil, err
		}
		if !list.Failed() {
			costs.share(lowered)
		}
	}
	return costs, nil
}

// share gives each place its part of the time of a sheet: that of its moves, if
// each ran at the largest speed that it may, in proportion to the true time.
func (c *Costs) share(lowered *lower.Result) {
	at, whole := lowered.Start, 0.0
	shares := make([]float64, len(c.of))
	for _, m := range lowered.Moves {
		dx, dy := float64(m.To.X-at.X), float64(m.To.Y-at.Y)
		share := max(math.Abs(dx), math.Abs(dy)) / float64(m.Feed)
		shares[m.Place] += share
		whole += share
		at = m.To
	}
	for place, share := range shares {
		if whole > 0 {
			c.of[place].Seconds += lowered.Seconds * share / whole
		}
	}
}

// Whole is what all of the drawing takes.
func (c *Costs) Whole() Cost { return c.Within(source.Span{}) }

// Within is what the statements take that stand within a span, or all of them for
// no span.
func (c *Costs) Within(span source.Span) Cost {
	var sum Cost
	for i, cost := range c.of {
		at := c.places[i].Span
		if !span.Known() || at.File == span.File && span.Start <= at.Start && at.End <= span.End {
			sum.LineMM += cost.LineMM
			sum.Seconds += cost.Seconds
		}
	}
	return sum
}
