package mend

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// A faulty text has no tree. What can be said of it is said of its words, as
// they stand on a line; so this scanner knows nothing of the grammar.

type class uint8

const (
	name class = iota
	number
	quote
	sign
)

type word struct {
	class
	text       string
	start, end int // bytes of the whole text
}

// signs of several characters, longest first.
var signs = []string{"===", "!==", "...", "..", "==", "!=", "<=", ">=", "=>", "->", ":=", "+=", "-=", "*=", "/=", "++", "--", "**", "&&", "||", "<>"}

// scan cuts a stretch of text into words, signs, numbers and texts; spaces and
// comments are left out.
func scan(text string, from, to int) []word {
	var out []word
	for i := from; i < to; {
		rest := text[i:to]
		r, size := utf8.DecodeRuneInString(rest)
		n := size
		switch {
		case unicode.IsSpace(r):
			i += size
			continue
		case r == '#' || strings.HasPrefix(rest, "//"):
			return out
		case r == '"' || r == '\'':
			n = quoted(rest, byte(r))
			out = append(out, word{quote, rest[:n], i, i + n})
		case unicode.IsDigit(r):
			n = digits(rest)
			out = append(out, word{number, rest[:n], i, i + n})
		case r == '_' || r == '°' || unicode.IsLetter(r):
			for n < len(rest) {
				r, size := utf8.DecodeRuneInString(rest[n:])
				if r != '_' && !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.Is(unicode.Mn, r) {
					break
				}
				n += size
			}
			out = append(out, word{name, rest[:n], i, i + n})
		default:
			for _, s := range signs {
				if strings.HasPrefix(rest, s) {
					n = len(s)
					break
				}
			}
			out = append(out, word{sign, rest[:n], i, i + n})
		}
		i += n
	}
	return out
}

// quoted is the length of a text with its quotes; one that does not end goes to
// the end of the line.
func quoted(rest string, mark byte) int {
	for i := 1; i < len(rest); i++ {
		switch rest[i] {
		case '\\':
			i++
		case mark:
			return i + 1
		}
	}
	return len(rest)
}

// digits is the length of a number: one point in it, but not the two of a range.
func digits(rest string) int {
	point := false
	for i := 0; i < len(rest); i++ {
		c := rest[i]
		switch {
		case c >= '0' && c <= '9' || c == '_':
		case c == '.' && !point && i+1 < len(rest) && rest[i+1] >= '0' && rest[i+1] <= '9':
			point = true
		case (c == 'e' || c == 'E') && i+1 < len(rest) && rest[i+1] >= '0' && rest[i+1] <= '9':
		default:
			return i
		}
	}
	return len(rest)
}

// lineAround is the line that holds an offset, without its end.
func lineAround(text string, at int) (start, end int) {
	at = min(max(at, 0), len(text))
	start = strings.LastIndexByte(text[:at], '\n') + 1
	end = len(text)
	if i := strings.IndexByte(text[at:], '\n'); i >= 0 {
		end = at + i
	}
	return start, end
}

func indentOf(line string) int { return len(line) - len(strings.TrimLeft(line, " \t")) }
