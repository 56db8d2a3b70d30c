package svg

import (
	"math"
	"strconv"
	"strings"
)

// scanner goes through the text of an attribute.
type scanner struct {
	text string
	at   int
}

func isBlank(c byte) bool { return c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == '\f' }

func (s *scanner) blanks() {
	for s.at < len(s.text) && isBlank(s.text[s.at]) {
		s.at++
	}
}

// separator passes over blanks with at most one comma among them, and reports
// whether there was a comma.
func (s *scanner) separator() bool {
	s.blanks()
	if !s.next(',') {
		return false
	}
	s.blanks()
	return true
}

// next reports whether a character comes next, and takes it.
func (s *scanner) next(c byte) bool {
	if s.at < len(s.text) && s.text[s.at] == c {
		s.at++
		return true
	}
	return false
}

func (s *scanner) done() bool { return s.at == len(s.text) }

func (s *scanner) digits() bool {
	from := s.at
	for s.at < len(s.text) && '0' <= s.text[s.at] && s.text[s.at] <= '9' {
		s.at++
	}
	return s.at > from
}

// number takes a number: a sign, digits with at most one point among them, an
// exponent (CSS Syntax 3, section 4.3.12; a point behind the digits was allowed
// by SVG 1.1 and still is here). It ends where the next cannot go on, so "1-2"
// and "1.5.5" are two numbers each. One that is too large to hold is infinite.
func (s *scanner) number() (float64, bool) {
	from := s.at
	if !s.next('-') {
		s.next('+')
	}
	whole := s.digits()
	if point := s.at; s.next('.') && !s.digits() && !whole {
		s.at = point
	} else if !whole {
		whole = s.at > point
	}
	if !whole {
		s.at = from
		return 0, false
	}
	if mark := s.at; s.at < len(s.text) && s.text[s.at]|0x20 == 'e' {
		s.at++
		if !s.next('-') {
			s.next('+')
		}
		if !s.digits() {
			s.at = mark // of a unit, such as em
		}
	}
	x, _ := strconv.ParseFloat(s.text[from:s.at], 64)
	return x + 0, true
}

// numbers are all numbers of a list with commas or blanks between them.
func numbers(text string) ([]float64, bool) {
	s := scanner{text: text}
	var list []float64
	s.blanks()
	for !s.done() {
		x, ok := s.number()
		if !ok || math.Abs(x) > hugest {
			return list, false
		}
		list = append(list, x)
		if s.separator() && s.done() {
			return list, false
		}
	}
	return list, true
}

// hugest is the largest number that a drawing may hold: a kilometre has a
// million mm.
const hugest = 1e9

// word takes letters and hyphens.
func (s *scanner) word() string {
	from := s.at
	for s.at < len(s.text) && (s.text[s.at]|0x20 >= 'a' && s.text[s.at]|0x20 <= 'z' || s.text[s.at] == '-') {
		s.at++
	}
	return s.text[from:s.at]
}

// direction says what a length in percent is a part of.
type direction int

const (
	across  direction = iota // the width of the viewport
	upward                   // its height
	slanted                  // its diagonal over the square root of 2
)

// measures is what lengths are relative to, in user units.
type measures struct {
	width, height float64 // of the nearest viewport
	font, root    float64 // sizes of letters: here, and at the root
}

// unitsPerMM: CSS Values 4, section 6.2: an inch is 25.4 mm and 96 px.
const unitsPerMM = 96 / 25.4

// length reads a length in user units. What percent are of is said by towards.
func (m measures) length(text string, towards direction) (float64, bool) {
	s := scanner{text: strings.TrimSpace(text)}
	x, ok := s.number()
	if !ok {
		return 0, false
	}
	switch strings.ToLower(s.text[s.at:]) {
	case "", "px":
	case "mm":
		x = float64(x * unitsPerMM)
	case "cm":
		x = float64(x * 10 * unitsPerMM)
	case "q":
		x = float64(x * unitsPerMM / 4)
	case "in":
		x = float64(x * 96)
	case "pt":
		x = float64(x * 96 / 72)
	case "pc":
		x = float64(x * 16)
	case "em":
		x = float64(x * m.font)
	case "rem":
		x = float64(x * m.root)
	case "ex", "ch":
		x = float64(x * m.font / 2) // where the font is not known: CSS Values 4, section 6.1.1
	case "%":
		whole := m.width
		switch towards {
		case upward:
			whole = m.height
		case slanted: // SVG 2, section 8.9
			whole = math.Sqrt((float64(m.width*m.width) + float64(m.height*m.height)) / 2)
		}
		x = float64(x * whole / 100)
	default:
		return 0, false
	}
	return x, math.Abs(x) <= hugest
}
