package simulator

import "wend/runtime/geom"

// Look is what there is to see of a machine at one time, from outside and
// within.
type Look struct {
	TimeS     float64
	State     string     // the word of a status report; "" while the board boots
	StylusMM  geom.Point // where the stylus truly is, from the walls' lower left corner
	BoardMM   geom.Point // where the board counts itself to be, machine coordinates
	SpeedMMS  float64
	Moves     int // in the queue, the one being made included
	Waiting   int // bytes in the receive buffer
	Overflow  int // bytes lost because it was full
	Harmed    int // bytes harmed on the wire, both ways, since each noise began
	LostSteps [2]int64
	Contacts  []Contact
	// FillS is for how many seconds so many moves were in the queue while the
	// motors turned, by the number of moves.
	FillS []float64
	// Stops is how often the motors came to a stand because the queue ran out.
	Stops int
	// BeganS and EndedS are when the first move began and when the motors last
	// came to a stand; BeganS is negative before the first.
	BeganS, EndedS float64
}

// Look looks at the machine.
func (m *Machine) Look() Look {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.look()
}

func (m *Machine) look() Look {
	q := m.motion
	q.run(m.now, false)
	look := Look{
		TimeS: m.now, StylusMM: m.mech.stylus(), BoardMM: m.place(), SpeedMMS: q.speed,
		Moves: q.count, Waiting: len(m.waiting), Overflow: m.overflow,
		Harmed: m.in.noise.done + m.out.noise.done, LostSteps: m.mech.lost,
		Contacts: append([]Contact(nil), m.mech.contacts...),
		FillS:    append([]float64(nil), q.fill...),
		Stops:    q.dry, BeganS: q.began, EndedS: q.ended,
	}
	if !m.booting {
		look.State = m.state()
	}
	return look
}

// Trace is the line the stylus has really drawn since the last wipe, in mm
// from the walls' lower left corner: every place where it turned. Straight
// stretches are true but for the rounding to whole steps.
func (m *Machine) Trace() []geom.Point {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.motion.run(m.now, false)
	return m.mech.trail.points()
}

// Sheets are the lines drawn before the wipes so far.
func (m *Machine) Sheets() []Sheet {
	m.mu.Lock()
	defer m.mu.Unlock()
	return append([]Sheet(nil), m.eraser.sheets...)
}

// Eraser is the port of the eraser board.
func (m *Machine) Eraser() *Eraser { return m.eraser }
