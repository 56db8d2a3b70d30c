package main

import (
	"io"
	"strings"
	"unicode/utf8"
)

// widest is how many columns a text that is read at length takes at most.
const widest = 78

// paragraph is a text as a stream shows it, without a line end: on a terminal
// broken at the ends of words where its lines end, elsewhere on one line. Each
// line begins with the indent.
func (c console) paragraph(stream io.Writer, indent, text string) string {
	columns := c.columnsOf(stream)
	if columns == 0 {
		return indent + text
	}
	return strings.TrimSuffix(filled(text, indent, columns), "\n")
}

// textColumns is how wide a text that is read at length is set on a stream.
func (c console) textColumns(stream io.Writer) int {
	if columns := c.columnsOf(stream); columns > 0 {
		return min(columns-1, widest) // some terminals break a line that is full
	}
	return widest
}

// columnsOf is how wide a terminal is, 0 for a stream that is none. Very narrow
// ones are left to break lines themselves.
func (c console) columnsOf(stream io.Writer) int {
	if !c.onTerminal(stream) {
		return 0
	}
	columns := c.columns()
	if stream == c.stdout {
		columns, _ = c.window()
	}
	if columns < 20 {
		return 0
	}
	return columns
}

// filled breaks a text into lines of at most so many columns, at the ends of
// words; a longer word has a line of its own.
func filled(text, indent string, columns int) string {
	var out strings.Builder
	width := 0
	for i, word := range strings.Fields(text) {
		length := utf8.RuneCountInString(word)
		switch {
		case i == 0:
			out.WriteString(indent)
			width = utf8.RuneCountInString(indent)
		case width+1+length > columns:
			out.WriteString("\n" + indent)
			width = utf8.RuneCountInString(indent)
		default:
			out.WriteByte(' ')
			width++
		}
		out.WriteString(word)
		width += length
	}
	out.WriteByte('\n')
	return out.String()
}
