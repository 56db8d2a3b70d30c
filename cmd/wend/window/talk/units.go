package talk

import (
	"unicode/utf8"

	"wend/lang/source"
)

// units converts between bytes of a text and UTF-16 code units.
type units struct {
	text  string
	ascii bool
	at    []int32 // code units before each byte; nil for a text in ASCII
}

func unitsOf(text string) *units {
	u := &units{text: text, ascii: true}
	for i := range len(text) {
		if text[i] >= utf8.RuneSelf {
			u.ascii = false
			break
		}
	}
	if u.ascii {
		return u
	}
	u.at = make([]int32, len(text)+1)
	n := int32(0)
	for i, r := range text {
		// A byte that is no text counts as the one sign that stands for it.
		size := 1
		if r != utf8.RuneError {
			size = utf8.RuneLen(r)
		} else if _, s := utf8.DecodeRuneInString(text[i:]); s > 1 {
			size = s
		}
		for k := range size {
			u.at[i+k] = n
		}
		n++
		if r >= 0x10000 {
			n++
		}
	}
	u.at[len(text)] = n
	return u
}

// of is a byte offset in code units.
func (u *units) of(offset int) int {
	offset = max(0, min(offset, len(u.text)))
	if u.ascii {
		return offset
	}
	return int(u.at[offset])
}

// offset is the byte at which a code unit stands; within a sign, where the next begins.
func (u *units) offset(unit int) int {
	if u.ascii {
		return max(0, min(unit, len(u.text)))
	}
	low, high := 0, len(u.text)
	for low < high {
		middle := (low + high) / 2
		if int(u.at[middle]) < unit {
			low = middle + 1
		} else {
			high = middle
		}
	}
	for low > 0 && low < len(u.text) && !utf8.RuneStart(u.text[low]) {
		low--
	}
	return low
}

func (u *units) span(s source.Span) (from, to int) { return u.of(s.Start), u.of(s.End) }
