package simulator

import (
	"math"
	"strconv"
	"strings"
)

// largestNumber is the largest that the numbers of a board can hold, in mm.
const largestNumber = 1e6

// words are what one line of instructions says.
type words struct {
	value [26]float64
	has   uint32 // bit 0 is A
	g     []int
}

func (w *words) said(letter byte) bool { return w.has>>(letter-'A')&1 == 1 }

func (w *words) of(letter byte) float64 { return w.value[letter-'A'] }

// take is said, and counts the word as used.
func (w *words) take(letter byte) bool {
	said := w.said(letter)
	w.has &^= 1 << (letter - 'A')
	return said
}

// bare is a line without blanks.
func bare(line []byte) string {
	out := make([]byte, 0, len(line))
	for _, b := range line {
		if b > ' ' {
			out = append(out, b)
		}
	}
	return string(out)
}

// readWords reads a bare line and gives 0 or the number of an error.
func readWords(line string) (words, int) {
	var w words
	for line != "" {
		letter := line[0]
		if letter < 'A' || letter > 'Z' {
			return w, errLetter
		}
		value, rest, ok := readNumber(line[1:])
		if !ok {
			return w, errNumber
		}
		line = rest
		switch letter {
		case 'G':
			code := int(value)
			if value != float64(code) {
				return w, errWord
			}
			w.g = append(w.g, code)
		case 'F', 'P', 'X', 'Y':
			if w.said(letter) {
				return w, errRepeated
			}
			w.has |= 1 << (letter - 'A')
			w.value[letter-'A'] = value
		default:
			return w, errWord
		}
	}
	return w, 0
}

// readNumber reads a sign, digits and a point: there are no exponents.
func readNumber(text string) (value float64, rest string, ok bool) {
	end := 0
	if end < len(text) && (text[end] == '+' || text[end] == '-') {
		end++
	}
	digits := 0
	for point := false; end < len(text); end++ {
		switch c := text[end]; {
		case c >= '0' && c <= '9':
			digits++
			continue
		case c == '.' && !point:
			point = true
			continue
		}
		break
	}
	if digits == 0 {
		return 0, text, false
	}
	value, err := strconv.ParseFloat(text[:end], 64)
	return value, text[end:], err == nil && math.Abs(value) <= largestNumber
}

// readSetting reads `100=12.5`.
func readSetting(text string) (number int, value float64, ok bool) {
	left, right, found := strings.Cut(text, "=")
	number, err := strconv.Atoi(left)
	if !found || err != nil {
		return 0, 0, false
	}
	value, rest, ok := readNumber(right)
	return number, value, ok && rest == ""
}
