package talk

import (
	"sort"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"wend/lang/source"
)

// units converts between bytes of a text and UTF-16 code units.
type units struct {
	text string
	at   []int32 // code units before each byte; nil for a text in ASCII
}

func unitsOf(text string) *units {
	u := &units{text: text}
	if !strings.ContainsFunc(text, func(r rune) bool { return r >= utf8.RuneSelf }) {
		return u
	}
	u.at = make([]int32, len(text)+1)
	n := int32(0)
	for i := 0; i < len(text); {
		// A byte that is no text counts as the one sign that stands for it.
		r, size := utf8.DecodeRuneInString(text[i:])
		for range size {
			u.at[i] = n
			i++
		}
		n += int32(utf16.RuneLen(r))
	}
	u.at[len(text)] = n
	return u
}

// of is a byte offset in code units.
func (u *units) of(offset int) int {
	offset = max(0, min(offset, len(u.text)))
	if u.at == nil {
		return offset
	}
	return int(u.at[offset])
}

// offset is the byte at which a code unit stands; within a sign, where the next begins.
func (u *units) offset(unit int) int {
	if u.at == nil {
		return max(0, min(unit, len(u.text)))
	}
	low := sort.Search(len(u.text), func(i int) bool { return int(u.at[i]) >= unit })
	for low > 0 && low < len(u.text) && !utf8.RuneStart(u.text[low]) {
		low--
	}
	return low
}

func (u *units) span(s source.Span) (from, to int) { return u.of(s.Start), u.of(s.End) }
