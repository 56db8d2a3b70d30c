package simulator

import (
	"math"

	"wend/runtime/geom"
)

// mmPerInch is the international inch, 25.4 mm exactly (the yard and pound
// agreement of 1959; from memory). A board can be set to report in inches.
const mmPerInch = 25.4

// modes are what a board keeps from line to line. A reset loses them.
type modes struct {
	rapid  bool       // after a reset places are gone to at the largest rates
	feed   float64    // mm/min
	at     geom.Point // programmed, mm, machine coordinates
	offset geom.Point // of the program's zero, mm, machine coordinates
}

func newModes(at geom.Point) modes { return modes{rapid: true, at: at} }

// order is what a line asks the board to do: queue a move, or wait until all is
// drawn and then for a while.
type order struct {
	target geom.Point
	moves  bool
	rapid  bool
	feed   float64 // mm/s

	dwells bool
	dwellS float64
}

// Modal groups, one bit each (NISTIR 6556, table 4; from memory).
const (
	groupMotion = 1 << iota
	groupPlane
	groupDistance
	groupFeedMode
	groupUnits
	groupOther
)

// groupOf is the modal group of each code that is understood: straight motion,
// a dwell, the XY plane, millimetres, absolute places, feed a minute, and a
// statement of where the motors stand.
func groupOf(code int) int {
	return map[int]int{1: groupMotion, 4: groupOther, 17: groupPlane, 21: groupUnits, 90: groupDistance, 94: groupFeedMode, 92: groupOther}[code]
}

// interpret reads a bare line by modes and gives what to do, the modes after
// it, and 0 or the number of an error.
func (m modes) interpret(line string) (order, modes, int) {
	var o order
	w, fault := readWords(line)
	if fault != 0 {
		return o, m, fault
	}
	groups := 0
	dwell, assert, explicit := false, false, false
	for _, code := range w.g {
		group := groupOf(code)
		switch {
		case group == 0:
			return o, m, errWord
		case groups&group != 0:
			return o, m, errModal
		}
		groups |= group
		switch code {
		case 1:
			explicit, m.rapid = true, false
		case 4:
			dwell = true
		case 92:
			assert = true
		}
	}
	if w.take('F') {
		if w.of('F') < 0 {
			return o, m, errNumber
		}
		m.feed = w.of('F')
	}
	axes := w.said('X') || w.said('Y')
	if dwell {
		if !w.take('P') {
			return o, m, errValue
		}
		if w.of('P') < 0 {
			return o, m, errNumber
		}
		o.dwells, o.dwellS = true, w.of('P')
	}
	switch {
	case assert && explicit:
		return o, m, errTwoAxis
	case assert && !axes:
		return o, m, errAxisMissing
	case assert:
		if w.take('X') {
			m.offset.X = m.at.X - w.of('X')
		}
		if w.take('Y') {
			m.offset.Y = m.at.Y - w.of('Y')
		}
	case axes:
		if fault = m.move(&o, &w); fault != 0 {
			return o, m, fault
		}
	}
	if w.has != 0 {
		return o, m, errUnused
	}
	return o, m, 0
}

// move reads the target of a motion.
func (m *modes) move(o *order, w *words) int {
	to := m.at
	if w.take('X') {
		to.X = m.offset.X + w.of('X')
	}
	if w.take('Y') {
		to.Y = m.offset.Y + w.of('Y')
	}
	if math.Abs(to.X) > largestNumber || math.Abs(to.Y) > largestNumber {
		return errNumber
	}
	if !m.rapid && m.feed == 0 {
		return errFeed
	}
	o.moves, o.target, o.rapid = true, to, m.rapid
	o.feed = max(m.feed, leastFeed) / 60
	m.at = to
	return 0
}

// leastFeed is the slowest feed, in mm/min, that a board can make.
const leastFeed = 0.01
