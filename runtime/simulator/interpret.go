package simulator

import (
	"math"

	"wend/runtime/geom"
)

// Motion modes.
const (
	rapidMotion   = 0
	straight      = 1
	clockwise     = 2
	anticlockwise = 3
)

const mmPerInch = 25.4

// modes are what a board keeps from line to line. A reset loses them.
type modes struct {
	motion   int
	inches   bool
	relative bool
	inverse  bool       // feed is 1/minutes for each line
	feed     float64    // mm/min
	at       geom.Point // programmed, mm, machine coordinates
	offset   geom.Point // of the program's zero, mm, machine coordinates
}

func newModes(at geom.Point) modes { return modes{at: at} }

func (m *modes) unit() float64 {
	if m.inches {
		return mmPerInch
	}
	return 1
}

// order is what a line asks the board to do, in this sequence: queue targets,
// or wait until all is drawn and then dwell, pause or end.
type order struct {
	target geom.Point
	moves  bool
	arc    *arc // instead of target
	rapid  bool
	feed   float64 // mm/s

	drain  bool
	dwellS float64
	pause  bool
	finish bool // the program's end
}

// Modal groups, one bit each (NISTIR 6556, table 4).
const (
	groupMotion = 1 << iota
	groupPlane
	groupDistance
	groupFeedMode
	groupUnits
	groupOther
	groupStop
)

// interpret reads a bare line by modes and gives what to do, the modes after
// it, and 0 or the number of an error. It follows the order of NISTIR 6556,
// table 8.
func (m modes) interpret(line string, set *settings) (order, modes, int) {
	var o order
	w, fault := readWords(line)
	if fault != 0 {
		return o, m, fault
	}
	if w.take('N') {
		n := w.of('N')
		if n != math.Floor(n) {
			return o, m, errInteger
		}
		if n < 0 || n > 9999999 {
			return o, m, errLineNumber
		}
	}
	groups := 0
	join := func(group int) bool {
		clash := groups&group != 0
		groups |= group
		return clash
	}
	dwell, assert, explicit := false, false, false
	for _, code := range w.g {
		group := 0
		switch code {
		case 0, 10, 20, 30:
			group, explicit, m.motion = groupMotion, true, code/10
		case 40:
			group, dwell = groupOther, true
		case 920:
			group, assert = groupOther, true
		case 170:
			group = groupPlane
		case 200, 210:
			group, m.inches = groupUnits, code == 200
		case 900, 910:
			group, m.relative = groupDistance, code == 910
		case 930, 940:
			group = groupFeedMode
			if m.inverse != (code == 930) {
				m.inverse, m.feed = code == 930, 0
			}
		default:
			return o, m, errWord
		}
		if join(group) {
			return o, m, errModal
		}
	}
	for _, code := range w.m {
		switch code {
		case 0:
			o.pause = true
		case 20, 300:
			o.finish = true
		default:
			return o, m, errWord
		}
		if join(groupStop) {
			return o, m, errModal
		}
	}
	unit := m.unit()
	perMinute := 0.0
	if w.take('F') {
		switch f := w.of('F'); {
		case f < 0:
			return o, m, errNumber
		case m.inverse:
			perMinute = f
		default:
			m.feed = f * unit
		}
	}
	axes := w.said('X') || w.said('Y')
	if dwell {
		if !w.take('P') {
			return o, m, errValue
		}
		if w.of('P') < 0 {
			return o, m, errNumber
		}
		o.drain, o.dwellS = true, w.of('P')
	}
	switch {
	case assert && explicit:
		return o, m, errTwoAxis
	case assert && !axes:
		return o, m, errAxisMissing
	case assert:
		if w.take('X') {
			m.offset.X = m.at.X - float64(w.of('X')*unit)
		}
		if w.take('Y') {
			m.offset.Y = m.at.Y - float64(w.of('Y')*unit)
		}
	case axes:
		if fault = m.move(&o, &w, perMinute, set); fault != 0 {
			return o, m, fault
		}
	case explicit && m.motion >= clockwise:
		return o, m, errAxisMissing
	}
	if w.has != 0 {
		return o, m, errUnused
	}
	if o.pause || o.finish {
		o.drain = true
	}
	if o.finish {
		// The end of a program takes back offsets and modes (NISTIR 6556,
		// 3.6.1).
		m = modes{motion: straight, inches: m.inches, at: m.at}
	}
	return o, m, 0
}

// move reads the target of a motion.
func (m *modes) move(o *order, w *words, perMinute float64, set *settings) int {
	unit := m.unit()
	from, to := m.at, m.at
	place := func(letter byte, at, offset float64) float64 {
		switch {
		case !w.take(letter):
			return at
		case m.relative:
			return at + float64(w.of(letter)*unit)
		}
		return offset + float64(w.of(letter)*unit)
	}
	to.X = place('X', from.X, m.offset.X)
	to.Y = place('Y', from.Y, m.offset.Y)
	if math.Abs(to.X) > largestNumber || math.Abs(to.Y) > largestNumber {
		return errNumber
	}
	o.moves, o.target, o.rapid = true, to, m.motion == rapidMotion
	length := from.Distance(to)
	if m.motion >= clockwise {
		arc, fault := newArc(from, to, w, unit, m.motion == clockwise, set[setArcTolerance],
			1/max(set[setStepsPerMM], set[setStepsPerMM+1]))
		if fault != 0 {
			return fault
		}
		o.arc, length = arc, arc.length()
	}
	feed := m.feed
	if m.inverse {
		feed = length * perMinute
	}
	// A move of no length has no feed of its own.
	if !o.rapid && (m.inverse && perMinute == 0 || !m.inverse && feed == 0) {
		return errFeed
	}
	o.feed = max(feed, leastFeed) / 60
	m.at = to
	return 0
}

// leastFeed is the slowest feed, in mm/min, that a board can make.
const leastFeed = 0.01
