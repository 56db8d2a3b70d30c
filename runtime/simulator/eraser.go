package simulator

import (
	"bytes"
	"math"
	"math/rand/v2"

	"wend/runtime/geom"
)

// EraserSetup is the second board, that turns the toy over and back.
type EraserSetup struct {
	Send, Done string  // the text it waits for, "ERASE", and answers with, "DONE"
	Seconds    float64 // 4; how long it turns
	Baud       int     // 0 means no time passes on the wire
	Rounds     int     // 1; how many rounds wipe a sheet clean
	DisturbMM  float64 // how far, at most, each axis of the stylus is pushed off
	Seed       uint64  // of the pushes
}

// Wipe is one turn of the eraser.
type Wipe struct {
	TimeS    float64 // when it was done
	Clean    bool    // false leaves residue
	InMotion bool    // the motors turned while the toy was over
}

// Sheet is what was drawn between two wipes, as the stylus really went, in mm
// from the walls' lower left corner.
type Sheet struct {
	Line  []geom.Point
	Clean bool // whether the wipe after it left nothing
}

// Eraser is the port of the eraser board. Its time is the machine's.
type Eraser struct {
	m        *Machine
	setup    EraserSetup
	random   *rand.Rand
	in, out  transport
	heard    []byte
	until    float64 // when the turn under way is done
	inMotion bool
	rounds   int // on this sheet
	silent   bool
	sheets   []Sheet
	wipes    []Wipe
}

// What begins one round of a simulated eraser and what it answers, where nothing
// else is said.
const (
	EraserSend = "ERASE"
	EraserDone = "DONE"
)

func newEraser(m *Machine, s EraserSetup) *Eraser {
	s.Send, s.Done = orElse(s.Send, EraserSend), orElse(s.Done, EraserDone)
	s.Seconds, s.Rounds = orElse(s.Seconds, 4), orElse(s.Rounds, 1)
	return &Eraser{
		m: m, setup: s, random: rand.New(rand.NewPCG(s.Seed, 1)),
		in: newTransport(s.Baud), out: newTransport(s.Baud), until: math.Inf(1),
	}
}

// Receive puts bytes on the wire to the eraser.
func (e *Eraser) Receive(bytes []byte) {
	e.m.mu.Lock()
	defer e.m.mu.Unlock()
	e.receive(bytes)
}

func (e *Eraser) receive(bytes []byte) {
	for _, b := range bytes {
		e.in.send(b, e.m.now)
	}
}

// Transmit takes the bytes that have come from the eraser by now.
func (e *Eraser) Transmit() []byte {
	e.m.mu.Lock()
	defer e.m.mu.Unlock()
	return e.transmit(nil, math.MaxInt)
}

func (e *Eraser) transmit(dst []byte, most int) []byte {
	for ; most > 0 && e.out.due() <= e.m.now; most-- {
		dst = append(dst, e.out.next())
	}
	return dst
}

// Silence has the eraser turn, but never say that it is done.
func (e *Eraser) Silence(silent bool) {
	e.m.mu.Lock()
	defer e.m.mu.Unlock()
	e.silent = silent
}

// Wipes are the turns so far.
func (e *Eraser) Wipes() []Wipe {
	e.m.mu.Lock()
	defer e.m.mu.Unlock()
	return append([]Wipe(nil), e.wipes...)
}

func (e *Eraser) upcoming() float64 {
	return min(e.until, e.in.due())
}

// happen hears what has come in, and ends a turn that is done. What comes in
// during a turn is not heard.
func (e *Eraser) happen() {
	for e.in.due() <= e.m.now {
		b := e.in.next()
		if !math.IsInf(e.until, 1) {
			continue
		}
		e.heard = append(e.heard, b)
		if most := len(e.setup.Send); len(e.heard) > most {
			e.heard = append(e.heard[:0], e.heard[len(e.heard)-most:]...)
		}
		if bytes.Equal(e.heard, []byte(e.setup.Send)) {
			e.heard = e.heard[:0]
			e.until = e.m.now + e.setup.Seconds
			e.m.motion.run(e.m.now, false)
			e.inMotion = e.m.motion.moving()
		}
	}
	if e.until <= e.m.now {
		e.wipe()
	}
}

func (e *Eraser) wipe() {
	m := e.m
	m.motion.run(m.now, false)
	e.until = math.Inf(1)
	e.rounds++
	clean := e.rounds >= e.setup.Rounds
	if clean {
		e.rounds = 0
	}
	e.wipes = append(e.wipes, Wipe{TimeS: m.now, Clean: clean, InMotion: e.inMotion || m.motion.moving()})
	e.lay(clean)
	if e.setup.DisturbMM > 0 {
		for a := range 2 {
			m.mech.shift(Axis(a), 2*e.setup.DisturbMM*(float64(e.random.Float64())-0.5), m.now)
		}
		m.mech.trail.begin(m.mech.stylus())
	}
	if !e.silent {
		text := e.setup.Done + wireLineEnd
		for i := range len(text) {
			e.out.send(text[i], m.now)
		}
	}
}

// lay begins a new sheet where the stylus is.
func (e *Eraser) lay(clean bool) {
	trail := &e.m.mech.trail
	e.sheets = append(e.sheets, Sheet{Line: trail.points(), Clean: clean})
	trail.begin(e.m.mech.stylus())
}

// WipeByHand has somebody wipe the sheet clean, without the eraser board. The
// stylus stays where it is.
func (m *Machine) WipeByHand() {
	m.change(func() {
		m.eraser.rounds = 0
		m.eraser.lay(true)
	})
}
