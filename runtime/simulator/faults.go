package simulator

import "wend/runtime/geom"

// Faults on demand. All take effect at once; At has them happen later.

// PowerCycle switches the board off and on: motors stop without braking, the
// board forgets where it is and greets again.
func (m *Machine) PowerCycle() { m.change(m.boot) }

// PowerCycleQuietly is PowerCycle without the greeting.
func (m *Machine) PowerCycleQuietly() {
	m.change(func() {
		m.boot()
		m.quiet = true
	})
}

// Alarm stops the board and locks it, with the number it tells. Alarm 1 is
// that of a limit switch, which interference can set off where there is none.
func (m *Machine) Alarm(number int) { m.change(func() { m.alarm(number) }) }

// Unplug pulls the cable: bytes on the wire are lost both ways. The board has
// a supply of its own and draws what it holds.
func (m *Machine) Unplug() {
	m.change(func() {
		m.unplugged = true
		m.in.clear(m.now)
		m.out.clear(m.now)
	})
}

// Plug puts the cable back.
func (m *Machine) Plug() { m.change(func() { m.unplugged = false }) }

// Set changes a stored setting behind the back of the host; it reports whether
// the board has such a setting and takes such a value.
func (m *Machine) Set(number int, value float64) (ok bool) {
	m.change(func() { ok = m.store(number, value) == 0 })
	return ok
}

// StoreStartUp stores a line, 0 or 1, that the board runs after each reset.
func (m *Machine) StoreStartUp(place int, line string) {
	m.change(func() { m.startUp[place] = line })
}

// LoseSteps turns a motor by some steps of which the board knows nothing.
func (m *Machine) LoseSteps(a Axis, steps int64) {
	m.change(func() { m.mech.shift(a, float64(float64(steps)*m.mech.perStep[a]), m.now) })
}

// TurnKnob turns a knob by hand, against its motor, by some mm of string.
func (m *Machine) TurnKnob(a Axis, mm float64) {
	m.change(func() { m.mech.shift(a, mm, m.now) })
}

// BringByHand turns both knobs by hand, y first, until the stylus stands at a
// place, in mm from the walls' lower left corner; a wall holds it as ever.
func (m *Machine) BringByHand(to geom.Point) {
	m.change(func() {
		y := to.Y / m.mech.sin
		m.mech.bring(Y, y, m.now)
		m.mech.bring(X, to.X-float64(y*m.mech.cos), m.now)
	})
}

// DelayAnswers has all bytes from the board come later by some seconds. Bytes
// under way keep their time.
func (m *Machine) DelayAnswers(seconds float64) {
	m.change(func() { m.out.lateS = max(0, seconds) })
}

// DelayLines has the board take longer over each line.
func (m *Machine) DelayLines(seconds float64) {
	m.change(func() { m.board.LineS = max(0, seconds) })
}

// DisturbToBoard makes the wire from host to board a bad one, until another
// Noise replaces it; the zero Noise is a good wire.
func (m *Machine) DisturbToBoard(n Noise) { m.change(func() { m.in.noise = newNoise(n) }) }

// DisturbToHost makes the wire from board to host a bad one.
func (m *Machine) DisturbToHost(n Noise) { m.change(func() { m.out.noise = newNoise(n) }) }

// change does something with the motors brought up to the present.
func (m *Machine) change(do func()) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.motion.run(m.now, false)
	do()
}
