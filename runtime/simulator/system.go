package simulator

import (
	"fmt"
	"strconv"
	"strings"

	"wend/runtime/geom"
)

// system obeys a `$` line.
func (m *Machine) system(line string) {
	if m.alarmed && line != "$X" {
		m.answer(errLocked)
		return
	}
	switch {
	case line == "$$":
		for _, n := range settingNumbers() {
			m.say("$" + strconv.Itoa(n) + "=" + m.set.text(n))
		}
	case line == "$G":
		m.say(m.modesText())
	case line == "$N":
		for i, text := range m.startUp {
			m.say(fmt.Sprintf("$N%d=%s", i, text))
		}
	case line == "$X":
		m.alarmed = false
		m.modes.at = m.place()
	case m.motion.count > 0:
		m.answer(errBusy)
		return
	case line == "$N0=", line == "$N1=":
		m.startUp[line[2]-'0'] = ""
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

// state is the word of a status report.
func (m *Machine) state() string {
	q := m.motion
	switch {
	case m.alarmed:
		return "Alarm"
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
		b.WriteString("|Ov:100,100,100") // shares of feed and speed, which nobody changes here
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

// modesText tells the modes of the motion, in brackets.
func (m *Machine) modesText() string {
	motion := "G1"
	if m.modes.rapid {
		motion = "G0"
	}
	return fmt.Sprintf("[GC:%s G21 G90 G94 G17 F%s]", motion, strconv.FormatFloat(m.modes.feed, 'f', -1, 64))
}
