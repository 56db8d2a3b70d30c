package machine

import (
	"wend/lang/source"
	"wend/runtime/geom"
)

// Steps is a place in whole steps from the lower left of the area.
type Steps struct{ X, Y int32 }

// Gap is where each axis stands in its slack: how many steps its motor turns
// to larger coordinates before the stylus follows. That is 0 on the flank on
// which an axis rests after a move to larger coordinates, the whole slack on
// the one after a move to smaller, and in between while slack is taken up. It
// is part of the position: without it the place of the stylus is uncertain by
// the slack.
type Gap struct {
	X int32 `json:"x"`
	Y int32 `json:"y"`
}

// UnknownGap is the Gap of an axis of which it is not known. It counts as 0.
const UnknownGap = -1

// Instructions is one sheet for one machine: a chain of straight moves in
// whole steps of the motors. Motor and stylus differ by half the slack where
// Compensated is set, and by the skew of the frame.
type Instructions struct {
	// Stylus is where the stylus stands before the first move, in page mm.
	Stylus geom.Point
	Start  Steps // where the motors stand then
	Moves  []Move
	// Pauses stand in order of Before.
	Pauses []Pause
	// Places are what Move.Place refers to.
	Places      []source.Span
	Compensated bool
	Gap         Gap // before the first move
	EndGap      Gap // and after the last
}

// Move is one straight move of both motors to an absolute place.
type Move struct {
	To    Steps
	Feed  uint32 // largest speed along the move, whole mm/min, at least 1
	Place uint32
}

// Pause waits for the operator before a move (or after the last).
type Pause struct {
	Before  int // index in Moves, or len(Moves)
	Message string
}
