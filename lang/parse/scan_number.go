package parse

import (
	"strings"

	"wend/lang/ast"
	"wend/lang/diag"
)

// units are those that may be glued to a number.
var units = map[string]ast.Unit{
	"mm": ast.Millimetre, "cm": ast.Centimetre, "in": ast.Inch, "deg": ast.Degree, "rad": ast.Radian,
}

// unitSpellings are other ways in which people write the units.
var unitSpellings = map[string]ast.Unit{
	"millimeter": ast.Millimetre, "millimeters": ast.Millimetre, "millimetre": ast.Millimetre, "millimetres": ast.Millimetre,
	"centimeter": ast.Centimetre, "centimeters": ast.Centimetre, "centimetre": ast.Centimetre, "centimetres": ast.Centimetre,
	"inch": ast.Inch, "inches": ast.Inch, "degree": ast.Degree, "degrees": ast.Degree, "degs": ast.Degree,
	"radian": ast.Radian, "radians": ast.Radian, "rads": ast.Radian,
}

func (s *scanner) digits() {
	for c := s.peek(0); '0' <= c && c <= '9' || c == '_'; c = s.peek(0) {
		s.at++
	}
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

func (s *scanner) scanNumber() {
	start := s.at
	s.digits()
	if s.peek(0) == '.' && isDigit(s.peek(1)) {
		s.at++
		s.digits()
		if s.peek(0) == '.' && isDigit(s.peek(1)) {
			for s.peek(0) == '.' && isDigit(s.peek(1)) {
				s.at++
				s.digits()
			}
			s.faultyNumber(start, "", "a number has one point, as in `12.5`")
			s.finishNumber(start)
			return
		}
	} else if s.peek(0) == '.' && s.peek(1) != '.' && !startsName(rune(s.peek(1))) {
		s.at++
		s.faultyNumber(start, s.text[start:s.at]+"0", "")
	}
	s.finishNumber(start)
}

// scanPointNumber reads a number that begins with its point.
func (s *scanner) scanPointNumber() {
	start := s.at
	s.at++
	s.digits()
	s.faultyNumber(start, "0"+s.text[start:s.at], "")
	s.finishNumber(start)
}

// faultyNumber reports a number read since start that is not written as
// numbers are, with what was meant if that is clear, else with a hint.
func (s *scanner) faultyNumber(start int, meant, hint string) {
	span := s.span(start, s.at)
	d := diag.New("faulty-number", span, diag.Args{"found": span.Text()})
	if meant != "" {
		d = d.WithHint("write `%s`", meant).WithEdit(span, meant, true)
	} else {
		d.Hint = hint
	}
	s.add(rankGrammar, d)
}

// finishNumber reads exponent and unit, and emits the token.
func (s *scanner) finishNumber(start int) {
	if c := s.peek(0); c == 'e' || c == 'E' {
		next := s.peek(1)
		switch {
		case isDigit(next):
			s.at++
			s.digits()
		case (next == '+' || next == '-') && isDigit(s.peek(2)):
			s.at += 2
			s.digits()
		}
	}
	if digits := s.text[start:s.at]; strings.Contains(digits, "_") {
		if strings.Contains(digits, "__") || strings.HasSuffix(digits, "_") || strings.Contains(digits, "_.") || strings.Contains(digits, "._") || strings.Contains(digits, "_e") {
			meant := strings.ReplaceAll(digits, "_", "")
			s.faultyNumber(start, meant, "")
		}
	}
	end := s.at
	wordEnd := s.nameEnd(end)
	if wordEnd == end {
		s.emit(kindNumber, start, end)
		return
	}
	word := s.text[end:wordEnd]
	if _, ok := units[word]; ok {
		s.at = wordEnd
		s.emit(kindNumber, start, wordEnd)
		return
	}
	s.emit(kindNumber, start, end)
	s.wordAfterNumber(end, wordEnd)
}

// wordAfterNumber reports a word that touches a number and is no unit.
func (s *scanner) wordAfterNumber(start, end int) {
	span := s.span(start, end)
	word := span.Text()
	number := s.text[s.tokens[len(s.tokens)-1].start:start]
	d := diag.New("unknown-unit", span, diag.Args{"found": word})
	if _, keyword := keywords[word]; keyword {
		s.add(rankGrammar, d.WithHint("put a space before `%s`", word).WithEdit(span.Head(), " ", true))
		return // the word is read next, as the keyword it is
	}
	s.at = end
	if unit, ok := units[strings.ToLower(word)]; ok {
		d = d.WithHint("units are written in small letters: `%s%s`", number, unit).WithEdit(span, string(unit), true)
	} else if unit, ok := unitSpellings[strings.ToLower(word)]; ok {
		d = d.WithHint("write `%s%s`", number, unit).WithEdit(span, string(unit), true)
	} else {
		d = d.WithEdit(span.Head(), " * ", false)
	}
	s.add(rankGrammar, d)
}
