package desk

import (
	"sort"
	"unicode/utf16"
	"unicode/utf8"

	"wend/lang/source"
)

// units counts the places of a text as a browser does: in UTF-16.
type units struct {
	file *source.File
	at   []int32 // of each byte; nil where all is ASCII and both counts are one
}

func unitsOf(file *source.File) *units {
	u := &units{file: file}
	for i := range len(file.Text) {
		if file.Text[i] >= 0x80 {
			u.count()
			break
		}
	}
	return u
}

func (u *units) count() {
	text := u.file.Text
	u.at = make([]int32, len(text)+1)
	units := int32(0)
	for i := 0; i < len(text); {
		r, size := utf8.DecodeRuneInString(text[i:])
		for range size {
			u.at[i] = units
			i++
		}
		units += int32(utf16.RuneLen(r))
	}
	u.at[len(text)] = units
}

// of is a byte offset in units.
func (u *units) of(offset int) int {
	offset = max(0, min(offset, len(u.file.Text)))
	if u.at == nil {
		return offset
	}
	return int(u.at[offset])
}

// offset is the byte offset of a place in units; one outside is moved to an end.
func (u *units) offset(unit int) int {
	if u.at == nil {
		return max(0, min(unit, len(u.file.Text)))
	}
	return sort.Search(len(u.file.Text), func(i int) bool { return int(u.at[i]) >= unit })
}

// span is a span of the text in units; -1 for one of another text.
func (u *units) span(span source.Span) (from, to int) {
	if span.File != u.file {
		return -1, -1
	}
	return u.of(span.Start), u.of(span.End)
}
