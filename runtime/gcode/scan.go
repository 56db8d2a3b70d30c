package gcode

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"wend/lang/diag"
)

// block is one line of a file, taken apart into words.
type block struct {
	start, end  int // of the line, without its line end
	first, last int // of its words
	refusals    []refusal
	refused     bool // it holds a motion that this machine cannot make

	has     uint32 // which letters but G, M, N stand on the line, A = bit 0
	dropped uint32 // which of them this machine has no part for
	value   [26]float64
	at      [26]int32     // offset of each letter in the text
	gWords  int           // how many G words
	g       [groups]int16 // ten times the G word of each modal group, -1 if none
	gAt     [groups]int32 // its offset
	mWords  int
	m       [groups]int16 // the M word of each modal group, -1 if none
	mAt     [groups]int32

	message string // of a comment (MSG, …)
	cancel  bool   // G80 stands on the line
	skip    bool   // what follows on the line belongs to a word that was left out
}

func (b *block) word(letter byte) bool      { return b.has>>(letter-'A')&1 != 0 }
func (b *block) number(letter byte) float64 { return b.value[letter-'A'] }
func (b *block) axes() bool                 { return b.has&(1<<('X'-'A')|1<<('Y'-'A')) != 0 }

var noWords = func() (none [groups]int16) {
	for i := range none {
		none[i] = -1
	}
	return none
}()

func (b *block) reset(start, end int) {
	b.start, b.end, b.first, b.last = start, end, start, end
	b.has, b.dropped, b.refused = 0, 0, false
	b.refusals = b.refusals[:0]
	b.g, b.m = noWords, noWords
	b.gWords, b.mWords = 0, 0
	b.message, b.cancel, b.skip = "", false, false
}

// refusal is a word that the standard has and this machine has not.
type refusal struct {
	word     string
	from, to int
}

// longestLine is the standard's (section 3.3), without the line end.
const longestLine = 256

// scan takes a line apart after section 3.3 of the standard: an optional "/",
// an optional line number, then words and comments in any order. Blanks count
// nowhere outside comments, not even inside numbers. Beside the comments of the
// standard, a ";" begins one that goes to the end of the line (common practice,
// no source). It reports the first fault of the line and is false then.
//
// A file from elsewhere may have longer lines, and comments in comments, whose
// end is beyond doubt (common practice, no source).
func (r *reader) scan(b *block, start, end int) bool {
	b.reset(start, end)
	text := r.text[:end]
	if !r.anyones && end-start > longestLine {
		r.report("instruction-line-long", start, end, diag.Args{"length": end - start, "limit": longestLine})
		return false
	}
	i := start
	for i < end && blank(text[i]) {
		i++
	}
	if i < end && text[i] == '/' {
		for i++; i < end && blank(text[i]); {
			i++
		}
	}
	if i < end && text[i]|0x20 == 'n' {
		next, ok := r.lineNumber(i, end)
		if !ok {
			return false
		}
		i = next
	}
	b.first = -1
	for i < end {
		c := text[i]
		switch {
		case blank(c):
			i++
		case c == ';':
			i = end
		case c == '(':
			next, ok := r.comment(b, i, end)
			if !ok {
				return false
			}
			i = next
		case 'A' <= c&^0x20 && c&^0x20 <= 'Z' && c >= 'A':
			if b.first < 0 {
				b.first = i
			}
			next, ok := r.word(b, c&^0x20, i, end)
			if !ok {
				return false
			}
			i, b.last = next, next
			if b.skip {
				i, b.last = end, end
			}
		default:
			return r.strayCharacter(i, end)
		}
	}
	if b.first < 0 {
		b.first = start
	}
	return true
}

// comment passes over a comment in brackets (section 3.3.4).
func (r *reader) comment(b *block, i, end int) (int, bool) {
	text := r.text[i:end]
	deep, closing, second := 0, -1, -1
	for k := 0; k < len(text) && closing < 0; k++ {
		switch text[k] {
		case '(':
			if deep++; deep == 2 && second < 0 {
				second = k
			}
		case ')':
			if deep--; deep == 0 {
				closing = k
			}
		}
	}
	switch {
	case second >= 0 && (closing < 0 || !r.anyones):
		r.report("instruction-comment", i+second, i+second+1, diag.Args{"why": "a second ( stands inside it"})
		return 0, false
	case closing < 0:
		r.report("instruction-comment", i, end, diag.Args{"why": "its ) is missing on this line"})
		return 0, false
	}
	if inside := bytes.TrimSpace(text[1:closing]); len(inside) > 4 && bytes.EqualFold(inside[:4], []byte("MSG,")) {
		b.message = string(bytes.TrimSpace(inside[4:]))
	}
	return i + closing + 1, true
}

func blank(c byte) bool { return c == ' ' || c == '\t' }

// lineNumber reads N and one to five digits (section 3.3.1); files of many lines
// have more (common practice, no source).
func (r *reader) lineNumber(i, end int) (int, bool) {
	from, digits := i, 0
	for i++; i < end && (blank(r.text[i]) || '0' <= r.text[i] && r.text[i] <= '9'); i++ {
		if !blank(r.text[i]) {
			digits++
		}
	}
	if digits == 0 || digits > 5 && !r.anyones || i < end && (r.text[i] == '.' || r.text[i] == '-' || r.text[i] == '+') {
		r.report("instruction-line-number", from, i, nil)
		return 0, false
	}
	return i, true
}

func (r *reader) strayCharacter(i, end int) bool {
	c, size := utf8.DecodeRune(r.text[i:end])
	switch {
	case c == '#' || c == '[':
		r.refuse("parameters and expressions", i, i+1)
		return false
	case c == utf8.RuneError || c < ' ' || c == 0x7f:
		r.report("instruction-character", i, i+size, diag.Args{"what": fmt.Sprintf("with code %d", r.text[i])})
		return false
	}
	r.report("instruction-character", i, i+size, diag.Args{"what": strconv.Quote(string(c))})
	return false
}

// largestNumber keeps every sum and product of coordinates finite.
const largestNumber = 1e9

// word reads a letter and its number.
func (r *reader) word(b *block, letter byte, i, end int) (int, bool) {
	value, next, why := number(r.text, i+1, end)
	if why != "" {
		if next < end && (r.text[next] == '#' || r.text[next] == '[') {
			r.refuse("parameters and expressions", next, next+1)
		} else {
			r.report("instruction-number", i, max(next, i+1), diag.Args{"text": "the letter " + string(letter), "why": why})
		}
		return next, false
	}
	if math.Abs(value) >= largestNumber {
		r.report("instruction-number", i, next, diag.Args{"text": "the letter " + string(letter), "why": "it is too large for any machine"})
		return next, false
	}
	switch letter {
	case 'G':
		return next, r.gWord(b, value, i, next)
	case 'M':
		return next, r.mWord(b, value, i, next)
	case 'E':
		// Behind a digit it is an exponent, which would change the number before.
		if r.anyones && (i == 0 || r.text[i-1] < '0' || r.text[i-1] > '9') {
			r.noteAxis('E', i)
			b.has |= 1 << ('E' - 'A')
			return next, true
		}
		r.report("instruction-word-unknown", i, next, diag.Args{"word": "E"})
		r.hint("numbers have no exponents: 1e3 is written 1000")
		return next, false
	case 'O':
		// The number of a program (common practice, no source).
		if r.anyones {
			return next, true
		}
		r.report("instruction-word-unknown", i, next, diag.Args{"word": "O"})
		return next, false
	case 'U', 'V', 'W':
		r.report("instruction-word-unknown", i, next, diag.Args{"word": string(letter)})
		return next, false
	case 'N':
		r.report("instruction-line-number", i, next, nil)
		return next, false
	}
	if b.word(letter) {
		r.report("instruction-word-repeated", i, next, diag.Args{"word": string(letter)})
		return next, false
	}
	b.has |= 1 << (letter - 'A')
	b.value[letter-'A'] = value
	b.at[letter-'A'] = int32(i)
	return next, true
}

// number reads digits with an optional sign and an optional point, at least
// one digit (section 3.3.2.1); there are no exponents. It gives the offset
// after it and, if there is none, why. Up to fifteen digits the result is the
// nearest float64: one exact division of whole numbers.
func number(text []byte, i, end int) (value float64, next int, why string) {
	negative := false
	for i < end && blank(text[i]) {
		i++
	}
	from := i
	if i < end && (text[i] == '-' || text[i] == '+') {
		negative = text[i] == '-'
		i++
	}
	whole, significant, decimals := uint64(0), 0, 0
	digit, point := false, false
scan:
	for ; i < end; i++ {
		switch c := text[i]; {
		case '0' <= c && c <= '9':
			digit = true
			if whole != 0 || c != '0' {
				significant++
			}
			if significant <= 18 {
				whole = whole*10 + uint64(c-'0')
			}
			if point {
				decimals++
			}
		case c == '.':
			if point {
				return 0, i, "it has two decimal points"
			}
			point = true
		case c == ' ' || c == '\t':
		default:
			break scan
		}
	}
	if !digit {
		return 0, i, "no number follows it"
	}
	if significant <= 15 && decimals < len(powersOfTen) {
		value = float64(whole) / powersOfTen[decimals]
	} else {
		cleaned := strings.Map(func(c rune) rune {
			if c == ' ' || c == '\t' || c == '+' || c == '-' {
				return -1
			}
			return c
		}, string(text[from:i]))
		value, _ = strconv.ParseFloat(cleaned, 64)
	}
	if negative {
		value = -value
	}
	return value, i, ""
}

var powersOfTen = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}

// whole is a number that must be one within 0.0001 (section 3.3.2.1).
func whole(value float64) (int, bool) {
	near := math.Round(value)
	return int(near), math.Abs(value-near) <= 0.0001 && math.Abs(near) < 1<<30
}
