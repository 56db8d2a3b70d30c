package parse

import "strings"

// A { begins a record if a name, a keyword or a plain text and then : follow,
// whatever stands around it; every other { begins a block. That is decided here,
// where nothing is known yet of brackets that are missing.

// recordFollows reports whether the { here begins a record.
func (s *scanner) recordFollows() bool {
	at := s.pastGaps(s.at + 1)
	switch {
	case at >= len(s.text):
		return false
	case s.text[at] == '"':
		at = s.pastPlainText(at)
	default:
		start := at
		if at = s.nameEnd(at); at == start || !startsName(firstRune(s.text[start:])) {
			return false
		}
	}
	at = s.pastGaps(at)
	return at < len(s.text) && s.text[at] == ':' && !strings.HasPrefix(s.text[at:], ":=")
}

// pastGaps is the first offset from one on at which no space, line break or
// comment stands.
func (s *scanner) pastGaps(at int) int {
	for at < len(s.text) {
		switch s.text[at] {
		case ' ', '\t', '\n', '\r':
			at++
		case '#':
			at = s.lineEnd(at)
		default:
			return at
		}
	}
	return at
}

// pastPlainText is the offset after a text in quotes without inserts, or the
// end of everything if there is no such text.
func (s *scanner) pastPlainText(at int) int {
	for at++; at < len(s.text); at++ {
		switch s.text[at] {
		case '\\':
			at++
		case '"':
			return at + 1
		case '{', '\n', '\r':
			return len(s.text)
		}
	}
	return len(s.text)
}
