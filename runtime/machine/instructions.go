package machine

import (
	"wend/lang/source"
	"wend/runtime/geom"
)

// Steps is a place in whole steps from the lower left of the area.
type Steps struct{ X, Y int32 }

// Side says against which flank of the slack each axis last ran: +1 after
// moving towards larger coordinates, -1 after smaller. It is part of the
// position: without it the place of the stylus is uncertain by the slack.
type Side struct{ X, Y int8 }

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
	Side        Side // the flanks before the first move
	EndSide     Side // and after the last
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
