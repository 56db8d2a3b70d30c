package sending

import (
	"context"
	"fmt"

	"wend/cmd/wend/operate"
	"wend/lang/diag"
	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/machine"
)

// Walk brings the stylus to a place of the page after a word, drawing a line on the
// way.
func Walk(ctx context.Context, talk *operate.Conversation, m *operate.Connection, p *machine.Profile, to geom.Point) error {
	switch {
	case !m.Calibrated:
		return &diag.Fault{Code: "machine-uncalibrated", Args: diag.Args{"name": p.Name}}
	case !p.Page().Grow(p.Area.MarginMM).Contains(to):
		// What is outside the page but in the area is the gate's to judge.
		return &diag.Fault{Code: "position-outside", Args: diag.Args{"x": to.X, "y": to.Y, "width": p.Page().Width(), "height": p.Page().Height()}}
	}
	talk.Cautions()
	if err := talk.Confirm(ctx, m); err != nil {
		return err
	}
	if err := talk.Consent(ctx, fmt.Sprintf("type `walk` to draw a line to (%.1f, %.1f), Enter alone not to: ", to.X, to.Y), "walk", true); err != nil {
		return err
	}
	return walk(ctx, talk, m, p, to)
}

func walk(ctx context.Context, talk *operate.Conversation, m *operate.Connection, p *machine.Profile, page geom.Point) error {
	gap := machine.Gap{}
	to := link.Place{Steps: link.MotorsAt(p, page, gap), Gap: gap}
	return talk.Watched(ctx, "walked", func(ctx context.Context, op link.Operator) error { return m.Walk(ctx, to, op) })
}
