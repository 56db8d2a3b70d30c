package operate

import (
	"context"

	"wend/runtime/geom"
	"wend/runtime/link"
)

// Machine is a motion board that is connected: its modes, its position and how
// well that is known. *link.Link is one.
type Machine interface {
	Mode() link.Mode
	Where() (at link.Place, stylus geom.Point, certainty link.Certainty)
	WhyLost() string
	Declare(ctx context.Context, page geom.Point) error
	Confirm() error
	Doubt() error
	Mismatches() []link.Mismatch
	Settle(ctx context.Context, mismatches []link.Mismatch) error
	Arm() error
	ArmAssumed() error
	Disarm()
	Draw(ctx context.Context, job link.Job, op link.Operator) (link.Outcome, error)
	Walk(ctx context.Context, to link.Place, op link.Operator) error
	Jog(ctx context.Context, by geom.Point, op link.Operator) error
	AskedAgain()
	SlackUnknown() (mm geom.Point, unknown bool)
	TakeUp(ctx context.Context, op link.Operator) error
	Passes(path *link.Stretch) []link.Pass
	GoOn(ctx context.Context, r *link.Record, text string, which func(passes []link.Pass) (link.Pass, error)) (*link.Resumption, error)
	StandOn(ctx context.Context, path *link.Stretch, pass link.Pass) (offMM float64, err error)
}

var _ Machine = (*link.Link)(nil)

// Connection is a machine with what else belongs to it.
type Connection struct {
	Machine
	// Name is what people call it: a port, or the simulated machine.
	Name string
	// CheckList is what a person is shown before arming, line by line, besides
	// the cautions.
	CheckList []string
	// Wipe has an eraser wipe the sheet; nil where the operator does that, or
	// Nobody.
	Wipe   func(ctx context.Context) error
	Nobody bool
	// Calibrated says that the machine may draw.
	Calibrated bool
	// Disturbs says that wiping may move the stylus.
	Disturbs bool
	// Kept is where what is known of the machine is kept between sessions; nil for one
	// that is new each time.
	Kept link.Files
	// Counts says that the board has counted on since the place of its motors
	// was written down: it was not switched off between.
	Counts bool
	Close  func() error
}

// WipedByHand reports whether somebody must be there to wipe the sheet.
func (c *Connection) WipedByHand() bool { return c.Wipe == nil && !c.Nobody }
