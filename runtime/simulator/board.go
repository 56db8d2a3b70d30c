package simulator

import (
	"strconv"

	"wend/runtime/geom"
)

// boot begins a start after power-up: everything but settings and start-up
// lines is forgotten.
func (m *Machine) boot() {
	m.motion.kill()
	m.motion.steps, m.motion.end = [2]int64{}, [2]int64{}
	m.alarmed = false
	m.forget()
	m.booting, m.booted = true, m.now+m.board.BootS
}

// forget is what every reset does.
func (m *Machine) forget() {
	m.waiting, m.line, m.long, m.ready = m.waiting[:0], m.line[:0], false, false
	m.order, m.dwelling, m.paused = nil, 0, false
	m.homing, m.jogging, m.door, m.check = false, false, false, false
	m.motion.feedPart, m.motion.rapidPart = 1, 1
	m.modes = newModes(m.place())
	m.reports = 0
}

// greet ends the boot.
func (m *Machine) greet() {
	m.booting = false
	if !m.quiet {
		m.emit(wireGreeting)
	}
	m.quiet = m.board.Quiet
	if m.alarmed {
		return
	}
	for _, line := range m.startUp {
		if line == "" {
			continue
		}
		// A start-up line is obeyed at once; moves beyond the queue are lost.
		o, after, fault := m.modes.interpret(line, m.set)
		m.emit(">" + line + ":")
		if fault == 0 {
			m.modes = after
			m.order = &o
			if m.carryOn() {
				continue
			}
			m.order, m.dwelling, m.paused = nil, 0, false
		}
		m.answer(fault)
	}
}

// softReset is the reset byte: in motion it stops without braking, and then
// the position is lost.
func (m *Machine) softReset() {
	switch moving := m.motion.moving(); {
	case m.homing:
		m.alarm(alarmHomingReset)
	case moving && !m.alarmed:
		m.alarm(alarmReset)
	}
	m.motion.kill()
	m.forget()
	m.greet()
}

// alarm stops everything and locks the board.
func (m *Machine) alarm(number int) {
	m.motion.kill()
	m.waiting, m.line, m.long, m.ready = m.waiting[:0], m.line[:0], false, false
	m.order, m.dwelling, m.paused = nil, 0, false
	m.homing, m.jogging, m.door = false, false, false
	m.alarmed = true
	m.modes.at = m.place()
	m.say(wireAlarmStart + strconv.Itoa(number))
}

// actsAtOnce tells whether a byte acts wherever it stands.
func actsAtOnce(b byte) bool {
	switch b {
	case wireStatus, wireHold, wireResume, wireReset, wireDoor, wireJogCancel:
		return true
	}
	return b >= wireFeedWhole && b <= wireRapidFourth
}

// act does what a single byte asks.
func (m *Machine) act(b byte) {
	q := m.motion
	switch b {
	case wireStatus:
		m.say(m.status())
		return
	case wireReset:
		m.softReset()
		return
	}
	if m.alarmed {
		return
	}
	switch b {
	case wireHold, wireDoor:
		switch {
		case m.homing || m.check:
		case m.jogging:
			m.callOff()
		default:
			m.door = m.door || b == wireDoor
			q.halt(false)
		}
	case wireResume:
		if q.hold == standing {
			m.door = false
			q.resume()
		}
	case wireJogCancel:
		if m.jogging {
			m.callOff()
		}
	case wireFeedWhole:
		q.feedPart = 1
	case wireFeedUpTen, wireFeedUpOne, wireFeedDownTen, wireFeedDownOne:
		by := map[byte]float64{wireFeedUpTen: 0.1, wireFeedUpOne: 0.01, wireFeedDownTen: -0.1, wireFeedDownOne: -0.01}[b]
		q.feedPart = max(0.1, min(2, q.feedPart+by))
	case wireRapidWhole:
		q.rapidPart = 1
	case wireRapidHalf:
		q.rapidPart = 0.5
	case wireRapidFourth:
		q.rapidPart = 0.25
	}
	q.plan(true)
}

// callOff ends a jog: the motors brake, and a jog line that still waits for a
// place in the queue is answered.
func (m *Machine) callOff() {
	if m.order != nil {
		m.order = nil
		m.answer(0)
	}
	m.motion.halt(true)
}

// obey acts on a whole line: at once with an answer, or by beginning an order
// that answers when it is done.
func (m *Machine) obey() {
	line := bare(m.line)
	switch {
	case m.long:
		m.answer(errLong)
		return
	case line == "":
		m.answer(0)
		return
	case line[0] == '$':
		m.system(line)
		return
	case m.alarmed || m.jogging && m.motion.count > 0:
		m.answer(errLocked)
		return
	}
	m.settle()
	o, after, fault := m.modes.interpret(line, m.set)
	if fault != 0 {
		m.answer(fault)
		return
	}
	if o.moves && m.set.on(setSoftLimits) && m.beyond(m.modes.at, o) {
		m.answer(0)
		m.alarm(alarmSoftLimit)
		return
	}
	m.modes = after
	if m.check {
		m.answer(0)
		return
	}
	m.order = &o
}

// beyond tells whether a motion leaves the travel.
func (m *Machine) beyond(from geom.Point, o order) bool {
	box := geom.Bounds([]geom.Point{o.target})
	if o.arc != nil {
		box = o.arc.extent(from)
	}
	travel := geom.Box{Max: geom.Point{X: m.set[setTravel], Y: m.set[setTravel+1]}}
	return !travel.Contains(box.Min) || !travel.Contains(box.Max)
}
