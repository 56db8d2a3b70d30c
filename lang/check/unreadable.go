package check

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"wend/lang/ast"
	"wend/lang/diag"
	"wend/lang/source"
)

// unreadable are the lines on which something could not be read. What the
// checker would find there follows from that, so it keeps silent about them.
type unreadable struct {
	lines map[line]bool
	names map[*source.File]map[string]bool // all words on those lines
}

type line struct {
	file   *source.File
	number int
}

// unread notes the lines of the errors in a list.
func (c *checker) unread(list diag.List) {
	u := &c.unreadable
	for _, d := range list {
		if d.Severity != diag.Error || !d.Span.Known() {
			continue
		}
		at := line{d.Span.File, d.Span.File.LineOf(d.Span.Start)}
		if u.lines[at] {
			continue
		}
		if u.lines == nil {
			u.lines, u.names = map[line]bool{}, map[*source.File]map[string]bool{}
		}
		u.lines[at] = true
		if u.names[at.file] == nil {
			u.names[at.file] = map[string]bool{}
		}
		words := strings.FieldsFunc(at.file.Line(at.number), func(r rune) bool {
			return r != '_' && !unicode.In(r, unicode.Letter, unicode.Mark, unicode.Digit)
		})
		for _, word := range words {
			u.names[at.file][norm.NFC.String(word)] = true
		}
	}
}

// at reports whether a span begins on an unreadable line.
func (u *unreadable) at(span source.Span) bool {
	return len(u.lines) > 0 && span.Known() && u.lines[line{span.File, span.File.LineOf(span.Start)}]
}

// begins reports whether a statement that goes on over several lines, without a
// block of its own, begins on an unreadable one.
func (u *unreadable) begins(stmt ast.Stmt) bool {
	switch stmt.(type) {
	case *ast.Do, *ast.Let, *ast.Assign, *ast.Draw, *ast.Return:
		return u.at(stmt.Place())
	}
	return false
}

// mentions reports whether an unreadable line of a file may define a name.
func (u *unreadable) mentions(file *source.File, name string) bool { return u.names[file][name] }
