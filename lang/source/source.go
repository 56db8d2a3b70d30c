// Package source holds program texts and the places in them.
//
// A place is a half-open range of bytes. Lines and columns are computed only
// when a person is shown one: columns count user-perceived characters
// (grapheme clusters, UAX #29) from 1, so a caret stands under the character
// that is meant, whatever the script.
package source

import (
	"sort"
	"strings"
	"unicode/utf8"

	"github.com/rivo/uniseg"
)

// File is one text with a name to show. It never changes once made.
type File struct {
	// Name is what people are shown: the path as they typed it, or a name in
	// angle brackets for text that has no file.
	Name string
	Text string
	// Library says that it is a part of wend: nobody else can mend it.
	Library bool

	lineStarts []int // byte offset of each line's first byte; never empty
}

// New makes a file of a text. CR LF, lone LF and lone CR all end a line.
func New(name, text string) *File {
	f := &File{Name: name, Text: text, lineStarts: []int{0}}
	for i := 0; i < len(text); i++ {
		if text[i] == '\n' || text[i] == '\r' && (i+1 == len(text) || text[i+1] != '\n') {
			f.lineStarts = append(f.lineStarts, i+1)
		}
	}
	return f
}

// Position is a place as a person counts it.
type Position struct {
	Line   int // from 1
	Column int // grapheme clusters from 1
	Offset int // bytes from 0
}

// Position finds the line and column of a byte offset. An offset outside the
// text is moved to its nearest end.
func (f *File) Position(offset int) Position {
	offset = max(0, min(offset, len(f.Text)))
	line := f.LineOf(offset)
	column := 1 + graphemes(f.Text[f.lineStarts[line-1]:offset])
	return Position{Line: line, Column: column, Offset: offset}
}

// LineOf is the number, from 1, of the line that holds a byte offset.
func (f *File) LineOf(offset int) int {
	return sort.SearchInts(f.lineStarts, offset+1)
}

// Lines is how many lines the text has; an empty text has one.
func (f *File) Lines() int { return len(f.lineStarts) }

// LineStart is the byte offset at which line n (from 1) begins.
func (f *File) LineStart(n int) int { return f.lineStarts[n-1] }

// Line is the text of line n (from 1) without its line end.
func (f *File) Line(n int) string {
	if n < 1 || n > len(f.lineStarts) {
		return ""
	}
	end := len(f.Text)
	if n < len(f.lineStarts) {
		end = f.lineStarts[n]
	}
	return strings.TrimRight(f.Text[f.lineStarts[n-1]:end], "\r\n")
}

// Span is the part of a file from byte Start up to, not including, byte End.
type Span struct {
	File       *File
	Start, End int
}

// Text is what the span covers.
func (s Span) Text() string {
	if s.File == nil {
		return ""
	}
	return s.File.Text[s.Start:s.End]
}

// Known reports whether the span names a place at all.
func (s Span) Known() bool { return s.File != nil }

// To is the span from the start of s to the end of t, both in one file.
func (s Span) To(t Span) Span { return Span{s.File, s.Start, max(s.End, t.End)} }

// Head is the empty span at the start of s, Tail the one at its end.
func (s Span) Head() Span { return Span{s.File, s.Start, s.Start} }

// Tail is the empty span just after s.
func (s Span) Tail() Span { return Span{s.File, s.End, s.End} }

// From and Until are the positions of the span's ends.
func (s Span) From() Position { return s.File.Position(s.Start) }

// Until is the position just after the span's last character.
func (s Span) Until() Position { return s.File.Position(s.End) }

func graphemes(text string) int {
	// Most lines are ASCII, where every byte is a character of its own.
	for i := 0; i < len(text); i++ {
		if text[i] >= utf8.RuneSelf {
			return uniseg.GraphemeClusterCount(text)
		}
	}
	return len(text)
}
