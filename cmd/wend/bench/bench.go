// Package bench puts a machine at the other end of a link on the bench: what a
// calibration asks for goes through the link, and so through the gate.
package bench

import (
	"context"

	"wend/runtime/calibrate"
	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/machine"
)

// Bench is a machine that a calibration can move. Its link is connected.
type Bench struct {
	Link *link.Link
	// Settle asks somebody where the board is set otherwise than the profile
	// says, and writes the settings. An error means that they stay.
	Settle func(ctx context.Context, l *link.Link) error
	// Watched carries out one motion while somebody watches it.
	Watched func(ctx context.Context, motion func(context.Context, link.Operator) error) error

	declared *machine.Profile
}

var _ calibrate.Machine = (*Bench)(nil)

// Declare is that of calibrate.Machine. Settings are written to the board, and
// read back, only after Settle was asked.
func (b *Bench) Declare(ctx context.Context, p *machine.Profile, at geom.Point, guard geom.Box) error {
	if err := b.Link.Adopt(ctx, p, at, guard); err != nil {
		return err
	}
	b.declared = p
	return b.Settle(ctx, b.Link)
}

// Follow is that of calibrate.Machine.
func (b *Bench) Follow(ctx context.Context, path []geom.Point, speedMMS float64) error {
	return b.Watched(ctx, func(ctx context.Context, op link.Operator) error {
		return b.Link.Follow(ctx, path, speedMMS, op)
	})
}

// Where is that of calibrate.Machine.
func (b *Bench) Where() (at geom.Point, sure bool) {
	place, _, certainty := b.Link.Where()
	if certainty == link.Lost || b.declared == nil {
		return geom.Point{}, false
	}
	return b.declared.AtSteps(place.Steps), true
}

// Lose is that of calibrate.Machine.
func (b *Bench) Lose(why string) error { return b.Link.Lose(why) }
