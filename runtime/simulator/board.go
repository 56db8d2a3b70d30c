package simulator

import (
	"strconv"
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
	m.order, m.dwelling = nil, 0
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
		o, after, fault := m.modes.interpret(line)
		m.emit(">" + line + ":")
		if fault == 0 {
			m.modes = after
			m.order = &o
			if m.carryOn() {
				continue
			}
			m.order, m.dwelling = nil, 0
		}
		m.answer(fault)
	}
}

// softReset is the reset byte: in motion it stops without braking, and then
// the position is lost.
func (m *Machine) softReset() {
	if m.motion.moving() && !m.alarmed {
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
	m.order, m.dwelling = nil, 0
	m.alarmed = true
	m.modes.at = m.place()
	m.say(wireAlarmStart + strconv.Itoa(number))
}

// actsAtOnce reports whether a byte acts wherever it stands.
func actsAtOnce(b byte) bool {
	return b == wireStatus || b == wireHold || b == wireResume || b == wireReset
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
	case wireHold:
		q.halt()
	case wireResume:
		if q.hold == standing {
			q.resume()
		}
	}
	q.plan(true)
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
	case m.alarmed:
		m.answer(errLocked)
		return
	}
	o, after, fault := m.modes.interpret(line)
	if fault != 0 {
		m.answer(fault)
		return
	}
	m.modes = after
	m.order = &o
}
