package simulator

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"wend/runtime/geom"
)

// system obeys a `$` line.
func (m *Machine) system(line string) {
	busy := m.motion.count > 0 || m.jogging || m.homing
	if m.alarmed && line != "$X" {
		m.answer(errLocked)
		return
	}
	switch {
	case line == "$":
		m.say("[ASKS ? $$ $# $G $N $I; WRITES $10=3 $N0=; MOVES $J= $H; ELSE ! ~ $X $C]")
	case line == "$$":
		for _, n := range settingNumbers() {
			m.say("$" + strconv.Itoa(n) + "=" + m.set.text(n))
		}
	case line == "$#":
		m.say("[G54:0.000,0.000,0.000]")
		m.say("[G92:" + m.coordinates(m.modes.offset) + "]")
	case line == "$G":
		m.say(m.modesText())
	case line == "$I":
		m.say("[VER:bench board, simulated:]")
		m.say(fmt.Sprintf("[OPT:V,%d,%d]", m.board.QueueMoves, m.board.ReceiveBytes))
	case line == "$N":
		for i, text := range m.startUp {
			m.say(fmt.Sprintf("$N%d=%s", i, text))
		}
	case line == "$X":
		m.alarmed = false
		m.modes.at = m.place()
	case strings.HasPrefix(line, "$J="):
		m.jog(line[len("$J="):])
		return
	case busy:
		m.answer(errBusy)
		return
	case line == "$C":
		if m.check {
			m.answer(0)
			m.softReset()
			return
		}
		m.check = true
	case line == "$H":
		m.home()
		return
	case strings.HasPrefix(line, "$N"):
		m.answer(m.storeStartUp(line[len("$N"):]))
		return
	default:
		n, value, ok := readSetting(line[1:])
		if !ok {
			m.answer(errStatement)
			return
		}
		m.answer(m.store(n, value))
		return
	}
	m.answer(0)
}

// store changes a setting. The board keeps its count of steps, so another
// scale puts it at another place.
func (m *Machine) store(n int, value float64) int {
	fault := m.set.set(n, value)
	if fault == 0 {
		m.mech.direct(int(m.set[setDirections]))
		m.modes.at = m.place()
	}
	return fault
}

// startUpBytes is the longest start-up line that a board can store.
const startUpBytes = 70

func (m *Machine) storeStartUp(text string) int {
	place, line, found := strings.Cut(text, "=")
	n := slices.Index([]string{"0", "1"}, place)
	if !found || n < 0 {
		return errStatement
	}
	if len(line) > startUpBytes {
		return errStartUpLong
	}
	if line != "" {
		if _, _, fault := m.modes.interpret(line, m.set); fault != 0 {
			return fault
		}
	}
	m.startUp[n] = line
	return 0
}

// jog moves by a line of its own modes, when nothing but jogs is under way.
func (m *Machine) jog(line string) {
	m.settle()
	if m.motion.count > 0 && !m.jogging || m.check || m.homing {
		m.answer(errBusy)
		return
	}
	local := m.modes
	local.motion, local.inverse, local.feed = straight, false, 0
	o, after, fault := local.interpret(line, m.set)
	switch {
	case fault != 0:
		m.answer(fault)
		return
	case !o.moves || o.arc != nil || o.rapid || o.drain || after.inverse || after.offset != local.offset:
		m.answer(errJog)
		return
	case m.set.on(setSoftLimits) && m.beyond(m.modes.at, o):
		m.answer(errJogTravel)
		return
	}
	m.modes.at = o.target
	m.jogging, m.order = true, &o
}

// home turns both motors towards switches that are not there, as far as boards
// search: one and a half times the travel.
func (m *Machine) home() {
	if !m.set.on(setHoming) {
		m.answer(errHomingOff)
		return
	}
	target := m.place().Add(geom.Point{X: m.set[setTravel], Y: m.set[setTravel+1]}.Times(1.5))
	m.homing = true
	m.order = &order{moves: true, target: target, feed: homingMMS, drain: true}
}

// homingMMS is how fast the board searches its switches, mm/s.
const homingMMS = 10

// state is the word of a status report.
func (m *Machine) state() string {
	q := m.motion
	switch {
	case m.alarmed:
		return "Alarm"
	case m.check:
		return "Check"
	case m.homing:
		return "Home"
	case m.door && q.hold == braking:
		return "Door:2"
	case m.door:
		return "Door:0"
	case m.jogging && (q.count > 0 || m.order != nil):
		return "Jog"
	case q.hold == standing:
		return "Hold:0"
	case q.hold == braking:
		return "Hold:1"
	case q.count > 0:
		return "Run"
	}
	return "Idle"
}

// offsetEvery is in how many reports the offset is told once.
const offsetEvery = 10

// status is a status report.
func (m *Machine) status() string {
	var b strings.Builder
	b.WriteString("<" + m.state())
	if m.set.bit(setReportMask, reportMachine) {
		b.WriteString("|MPos:" + m.coordinates(m.place()))
	} else {
		b.WriteString("|WPos:" + m.coordinates(m.place().Sub(m.modes.offset)))
	}
	if m.set.bit(setReportMask, reportBuffer) {
		fmt.Fprintf(&b, "|Bf:%d,%d", m.board.QueueMoves-m.motion.count, m.board.ReceiveBytes-len(m.waiting))
	}
	speed := m.motion.speed * 60
	if m.set.on(setReportInches) {
		speed /= mmPerInch
	}
	fmt.Fprintf(&b, "|FS:%.0f,0", speed)
	switch m.reports % offsetEvery {
	case 0:
		b.WriteString("|WCO:" + m.coordinates(m.modes.offset))
	case 1:
		fmt.Fprintf(&b, "|Ov:%.0f,%.0f,100", m.motion.feedPart*100, m.motion.rapidPart*100)
	}
	m.reports++
	b.WriteString(">")
	return b.String()
}

func (m *Machine) coordinates(p geom.Point) string {
	if m.set.on(setReportInches) {
		p = p.Times(1 / mmPerInch)
		return fmt.Sprintf("%.4f,%.4f,0.0000", p.X+0, p.Y+0)
	}
	return fmt.Sprintf("%.3f,%.3f,0.000", p.X+0, p.Y+0)
}

func (m *Machine) modesText() string {
	pick := func(on bool, yes, no string) string {
		if on {
			return yes
		}
		return no
	}
	feed := m.modes.feed / m.modes.unit()
	return fmt.Sprintf("[GC:G%d G54 G17 %s %s %s M5 M9 T0 F%s S0]", m.modes.motion,
		pick(m.modes.inches, "G20", "G21"), pick(m.modes.relative, "G91", "G90"), pick(m.modes.inverse, "G93", "G94"),
		strconv.FormatFloat(feed, 'f', -1, 64))
}
