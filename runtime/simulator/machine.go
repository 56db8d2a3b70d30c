package simulator

import (
	"math"
	"slices"
	"strconv"
	"sync"

	"wend/runtime/geom"
)

// Setup is everything a simulated machine is made of. The zero Setup is an
// ordinary one with no slack.
type Setup struct {
	Board     Board
	Mechanics Mechanics
	Eraser    EraserSetup
}

// Machine is a simulated machine: motion board, motors, mechanics, and the
// eraser on a port of its own. It begins switched on at time 0, with its
// greeting to come. Its methods may be called from several goroutines; time
// passes only in Advance and what is said to let it pass.
type Machine struct {
	mu     sync.Mutex
	now    float64 // seconds
	board  Board
	set    *settings
	mech   *mechanism
	motion *motion
	eraser *Eraser
	events []event

	in, out   transport
	unplugged bool
	waiting   []byte // the receive buffer
	overflow  int    // bytes lost because it was full

	alarmed  bool
	booted   float64 // when the board is ready
	booting  bool
	modes    modes
	startUp  [2]string
	line     []byte
	long     bool
	ready    bool    // line is whole
	actAt    float64 // when the board acts on it
	order    *order  // under way
	dwelling float64 // until when; 0 when not begun
	reports  int
	quiet    bool // no greeting at the next boot
}

type event struct {
	at float64
	do func(*Machine)
}

// New switches a machine on.
func New(s Setup) *Machine {
	b := defaultBoard(s.Board)
	m := &Machine{board: b, set: newSettings(b), startUp: b.StartUp, quiet: b.Quiet}
	m.mech = newMechanism(s.Mechanics, b.DirectionMask)
	m.motion = newMotion(b, m.set, m.mech)
	m.in, m.out = newTransport(b.Baud), newTransport(b.Baud)
	m.in.marked = actsAtOnce
	m.eraser = newEraser(m, s.Eraser)
	m.boot()
	return m
}

// Now is the virtual time in seconds since the machine was made.
func (m *Machine) Now() float64 {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.now
}

// Receive puts bytes on the wire to the board; they come through at the baud
// rate, after those sent before.
func (m *Machine) Receive(bytes []byte) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.receive(bytes)
}

func (m *Machine) receive(bytes []byte) {
	if m.unplugged {
		return
	}
	for _, b := range bytes {
		m.in.send(b, m.now)
	}
}

// Transmit takes the bytes that have come from the board by now.
func (m *Machine) Transmit() []byte {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.transmit(nil, math.MaxInt)
}

func (m *Machine) transmit(dst []byte, most int) []byte {
	for ; most > 0 && m.out.due() <= m.now; most-- {
		dst = append(dst, m.out.next())
	}
	return dst
}

// Advance lets time pass.
func (m *Machine) Advance(seconds float64) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.advance(m.now+max(0, seconds), func() bool { return false })
}

// Await lets time pass until a whole line from the board has come through, at
// most for some seconds; it reports whether one has.
func (m *Machine) Await(seconds float64) bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.await(seconds, func() bool { return false })
}

// await is Await that also ends when enough says so.
func (m *Machine) await(seconds float64, enough func() bool) bool {
	heard := func() bool { return m.out.first(&m.out.ends) <= m.now }
	m.advance(m.now+max(0, seconds), func() bool { return heard() || enough() })
	return heard()
}

// At has something happen at a virtual time: a fault, or a look. It is called
// from within what lets time pass, and may use every method but those.
func (m *Machine) At(seconds float64, do func(*Machine)) {
	m.mu.Lock()
	defer m.mu.Unlock()
	at := max(seconds, m.now)
	place, _ := slices.BinarySearchFunc(m.events, at, func(e event, at float64) int {
		if e.at <= at {
			return -1
		}
		return 1
	})
	m.events = slices.Insert(m.events, place, event{at, do})
}

// advance goes from event to event until a time, or until enough says so.
func (m *Machine) advance(until float64, enough func() bool) {
	m.pass(until, enough, func() float64 { return m.out.first(&m.out.ends) })
}

// advanceByByte is advance that asks enough after each byte from a board.
func (m *Machine) advanceByByte(until float64, enough func() bool) {
	m.pass(until, enough, func() float64 { return min(m.out.due(), m.eraser.out.due()) })
}

func (m *Machine) pass(until float64, enough func() bool, heard func() float64) {
	for {
		m.happen()
		if m.now >= until || enough() {
			break
		}
		next := min(until, m.upcoming())
		// Nothing within looks at what comes out, but enough may.
		if at := heard(); at > m.now {
			next = min(next, at)
		}
		if m.order == nil || !m.motion.moving() {
			m.now = max(m.now, next)
			continue
		}
		// The order under way waits for the motors.
		m.motion.run(next, true)
		m.now = max(m.now, m.motion.time)
	}
	m.motion.run(m.now, false)
}

// upcoming is when something happens next, other than by the motors.
func (m *Machine) upcoming() float64 {
	next := min(m.in.first(&m.in.acts), m.eraser.upcoming())
	if len(m.events) > 0 {
		next = min(next, m.events[0].at)
	}
	switch {
	case m.booting:
		next = min(next, m.booted)
	case m.order != nil:
		if m.dwelling > 0 {
			next = min(next, m.dwelling)
		}
	case m.ready:
		next = min(next, m.actAt)
	default:
		next = min(next, m.in.first(&m.in.ends))
	}
	return next
}

// happen does everything that is due.
func (m *Machine) happen() {
	for len(m.events) > 0 && m.events[0].at <= m.now {
		do := m.events[0].do
		m.events = m.events[1:]
		m.motion.run(m.now, false)
		m.mu.Unlock()
		do(m)
		m.mu.Lock()
	}
	if m.booting && m.booted <= m.now {
		m.greet()
	}
	m.eraser.happen()
	for m.in.due() <= m.now {
		b := m.in.next()
		switch {
		case m.booting: // nobody listens yet
		case actsAtOnce(b):
			m.motion.run(m.now, false)
			m.act(b)
		case b >= wireHigh:
		case len(m.waiting) >= m.board.ReceiveBytes-1:
			m.overflow++
		default:
			m.waiting = append(m.waiting, b)
			if m.order == nil && !m.ready {
				m.work()
			}
		}
	}
	m.work()
}

// work is the board's main loop: it goes on as far as it can at this time.
func (m *Machine) work() {
	for !m.booting {
		switch {
		case m.order != nil:
			m.motion.run(m.now, false)
			if !m.carryOn() {
				return
			}
		case m.ready:
			if m.actAt > m.now {
				return
			}
			m.ready = false
			m.motion.run(m.now, false)
			m.obey()
			m.line, m.long = m.line[:0], false
		case len(m.waiting) > 0 && !(m.board.HeldIsDeaf && m.motion.hold != notHeld):
			m.read()
		default:
			return
		}
	}
}

// read moves bytes from the receive buffer into the line, up to its end.
func (m *Machine) read() {
	for i, b := range m.waiting {
		switch {
		case b == wireEnd:
			m.ready, m.actAt = true, m.now+m.board.LineS
			m.waiting = append(m.waiting[:0], m.waiting[i+1:]...)
			return
		case b == '\r':
		case len(m.line) >= m.board.LineBytes:
			m.long = true
		default:
			m.line = append(m.line, b)
		}
	}
	m.waiting = m.waiting[:0]
}

// carryOn goes on with the order under way; it reports whether it is done.
func (m *Machine) carryOn() bool {
	o := m.order
	if o.moves {
		if m.motion.full() {
			return false
		}
		m.motion.add(m.stepsAt(o.target), o.feed, o.rapid)
		o.moves = false
	}
	if o.dwells {
		if m.motion.count > 0 {
			return false
		}
		if m.dwelling == 0 {
			m.dwelling = m.now + o.dwellS
		}
		if m.now < m.dwelling {
			return false
		}
	}
	m.order, m.dwelling = nil, 0
	m.answer(0)
	return true
}

// stepsAt is the whole step nearest to a place in mm.
func (m *Machine) stepsAt(p geom.Point) [2]int64 {
	return [2]int64{
		int64(math.Round(p.X * m.set[setStepsPerMM])),
		int64(math.Round(p.Y * m.set[setStepsPerMM+1])),
	}
}

// place is where the board counts itself to be, in mm, machine coordinates.
func (m *Machine) place() geom.Point {
	return geom.Point{
		X: float64(m.motion.steps[X]) / m.set[setStepsPerMM],
		Y: float64(m.motion.steps[Y]) / m.set[setStepsPerMM+1],
	}
}

// emit sends text to the host.
func (m *Machine) emit(text string) {
	if m.unplugged {
		return
	}
	for i := range len(text) {
		m.out.send(text[i], m.now)
	}
}

func (m *Machine) say(line string) { m.emit(line + wireLineEnd) }

// answer acknowledges a line.
func (m *Machine) answer(fault int) {
	if fault == 0 {
		m.say(wireOK)
		return
	}
	m.say(wireErrorStart + strconv.Itoa(fault))
}
