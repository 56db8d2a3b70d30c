// Package simulator is a machine that is not there: a motion board that speaks
// the bytes of its kind, with its receive buffer, its queue of moves and its
// motion in small time steps; and the mechanics behind it, with whole steps,
// slack, crooked axes and walls. It draws what a stylus would really do.
//
// It is a peer, as independent as a real machine: it shares no code with what
// plans, writes, judges or sends instructions, so that one finds the faults of
// the other. It does what it is told, sensible or not: commanded into a wall it
// runs into the wall, and keeps a record of that.
//
// A test, or a link under test, uses New, then Receive, Advance and Transmit; or
// Open for a serial port in the same process. Serve speaks through a stream,
// such as a pseudo-terminal. Draw runs a whole file at once. At and the faults
// break things on purpose.
//
// Time is virtual. Nothing happens but in Advance, so a run is the same every
// time; Serve lets the time of a clock pass instead.
package simulator
