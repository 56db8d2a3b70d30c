package format

import (
	"strings"
	"unicode/utf8"
)

// lines collects a text line by line, to set comments of neighbouring lines
// under one another at the end.
type lines struct {
	done    []line
	current strings.Builder
	behind  string
}

type line struct{ code, comment string }

// alike reports whether the comments of two lines belong under one another:
// both lines have the same indent, and neither opens or closes a bracket.
func (l line) alike(before line) bool {
	return l.indent() == before.indent() && !l.bracket() && !before.bracket()
}

func (l line) indent() int { return len(l.code) - len(strings.TrimLeft(l.code, " ")) }

func (l line) bracket() bool {
	code := strings.TrimLeft(l.code, " ")
	return code != "" && (strings.IndexByte("([{", code[len(code)-1]) >= 0 || strings.IndexByte(")]}", code[0]) >= 0)
}

func (l *lines) write(text string) { l.current.WriteString(text) }

// comment sets the comment behind the line at hand.
func (l *lines) comment(text string) { l.behind = text }

// end ends the line at hand.
func (l *lines) end() {
	l.done = append(l.done, line{strings.TrimRight(l.current.String(), " "), l.behind})
	l.current.Reset()
	l.behind = ""
}

// dropBlankEnd takes empty lines off the end.
func (l *lines) dropBlankEnd() {
	for n := len(l.done); n > 0 && l.done[n-1] == (line{}); n-- {
		l.done = l.done[:n-1]
	}
}

// String is the whole text. Every line ends with a line feed.
func (l *lines) String() string {
	l.dropBlankEnd()
	var b strings.Builder
	for i := 0; i < len(l.done); {
		width, end := 0, i
		for ; end < len(l.done) && l.done[end].comment != "" && (end == i || l.done[end].alike(l.done[end-1])); end++ {
			width = max(width, utf8.RuneCountInString(l.done[end].code))
		}
		if end == i {
			b.WriteString(l.done[i].code)
			b.WriteByte('\n')
			i++
			continue
		}
		for ; i < end; i++ {
			code := l.done[i].code
			b.WriteString(code)
			b.WriteString(strings.Repeat(" ", width-utf8.RuneCountInString(code)+2))
			b.WriteString(l.done[i].comment)
			b.WriteByte('\n')
		}
	}
	return b.String()
}
