package link

import (
	"math"
	"strconv"
	"strings"

	"wend/runtime/geom"
)

// heardKind is what a line from the board is.
type heardKind int

const (
	heardBlank heardKind = iota
	heardOK
	heardError
	heardAlarm
	heardGreeting
	heardReport
	heardSetting
	heardStartUp    // a stored start-up line, listed
	heardStartUpRan // a stored start-up line, obeyed after a reset
	heardMessage
	heardUnknown
)

// heard is one line from the board.
type heard struct {
	kind   heardKind
	number int // of an error, alarm, setting or start-up line
	value  float64
	text   string
	report report
}

// report is a status report.
type report struct {
	state       string // with its part, as in Hold:0
	machine     bool   // at is in the board's own coordinates, not the program's
	at          geom.Point
	offset      geom.Point // of the program's zero
	hasOffset   bool
	freePlaces  int // in the queue of moves; -1 when not told
	freeBytes   int // in the receive buffer; -1 when not told
	speedMMMin  float64
	hasPosition bool
	feedPart    int // feed override in percent, 100 where it is not told
}

// is reports whether the state is one word, whatever its part.
func (r *report) is(word string) bool { return strings.HasPrefix(r.state, word) }

// interpret takes a line from the board apart. What is not understood whole is
// unknown: on a wire without a checksum, half a report is no report.
func interpret(line string) heard {
	line = strings.Trim(line, " \r")
	number := func(prefix string) (int, bool) {
		n, err := strconv.Atoi(line[len(prefix):])
		return n, err == nil && n >= 0 && n < 1000
	}
	switch {
	case line == "":
		return heard{kind: heardBlank}
	case line == wireOK:
		return heard{kind: heardOK}
	case strings.HasPrefix(line, wireError):
		if n, ok := number(wireError); ok {
			return heard{kind: heardError, number: n}
		}
	case strings.HasPrefix(line, wireAlarm):
		if n, ok := number(wireAlarm); ok {
			return heard{kind: heardAlarm, number: n}
		}
	case line[0] == '<' && line[len(line)-1] == '>':
		if r, ok := readReport(line[1 : len(line)-1]); ok {
			return heard{kind: heardReport, report: r}
		}
	case strings.HasPrefix(line, "$N"):
		if place, text, found := strings.Cut(line[2:], "="); found && (place == "0" || place == "1") {
			return heard{kind: heardStartUp, number: int(place[0] - '0'), text: text}
		}
	case line[0] == '$':
		left, right, found := strings.Cut(line[1:], "=")
		n, err := strconv.Atoi(left)
		right, _, _ = strings.Cut(right, " ") // some boards add a remark
		value, wrong := strconv.ParseFloat(right, 64)
		if found && err == nil && wrong == nil && n >= 0 && n < 1000 && !math.IsNaN(value) && !math.IsInf(value, 0) {
			return heard{kind: heardSetting, number: n, value: value}
		}
	case line[0] == '>':
		return heard{kind: heardStartUpRan, text: line[1:]}
	case line[0] == '[' && line[len(line)-1] == ']':
		return heard{kind: heardMessage, text: line[1 : len(line)-1]}
	case line[len(line)-1] == ']' && strings.Contains(line, " ["):
		return heard{kind: heardGreeting, text: line}
	}
	return heard{kind: heardUnknown, text: line}
}

func readReport(text string) (report, bool) {
	fields := strings.Split(text, "|")
	r := report{state: fields[0], freePlaces: -1, freeBytes: -1, feedPart: 100}
	word, _, _ := strings.Cut(r.state, ":")
	switch word {
	case stateIdle, stateRun, stateHold, stateAlarm, stateDoor:
	default:
		return r, false
	}
	for _, field := range fields[1:] {
		name, value, found := strings.Cut(field, ":")
		if !found {
			return r, false
		}
		switch name {
		case "MPos", "WPos":
			at, ok := readPair(value)
			if !ok || r.hasPosition {
				return r, false
			}
			r.at, r.machine, r.hasPosition = at, name == "MPos", true
		case "WCO":
			offset, ok := readPair(value)
			if !ok {
				return r, false
			}
			r.offset, r.hasOffset = offset, true
		case "Bf":
			places, rest, found := strings.Cut(value, ",")
			n, err := strconv.Atoi(places)
			bytes, wrong := strconv.Atoi(rest)
			if !found || err != nil || wrong != nil || n < 0 || bytes < 0 {
				return r, false
			}
			r.freePlaces, r.freeBytes = n, bytes
		case "FS", "F":
			speed, _, _ := strings.Cut(value, ",")
			v, err := strconv.ParseFloat(speed, 64)
			if err != nil || !(v >= 0) || v > 1e7 {
				return r, false
			}
			r.speedMMMin = v
		case "Ov":
			part, _, _ := strings.Cut(value, ",")
			n, err := strconv.Atoi(part)
			if err != nil || n < 0 || n > 1000 {
				return r, false
			}
			r.feedPart = n
		case "Ln", "Pn", "A":
		default:
			return r, false
		}
	}
	return r, r.hasPosition
}

// readPair reads the first two of three coordinates.
func readPair(text string) (geom.Point, bool) {
	parts := strings.Split(text, ",")
	if len(parts) < 2 || len(parts) > 6 {
		return geom.Point{}, false
	}
	var v [6]float64
	for i, part := range parts {
		n, err := strconv.ParseFloat(part, 64)
		if err != nil || math.IsNaN(n) || math.Abs(n) > 1e6 || strings.ContainsAny(part, "eExXpPiInN_") {
			return geom.Point{}, false
		}
		v[i] = n
	}
	return geom.Point{X: v[0], Y: v[1]}, true
}
