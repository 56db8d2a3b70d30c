// Package format lays out a program in the one way there is for it.
//
// Two spaces an indent, one statement a line (but a block that the author wrote
// on one line stays there if that has at most 80 characters), one space around the signs that
// stand between two values (but none around ^ and ..), blank lines between
// statements kept but never two. Lists and arguments stay on one line or break
// where their author broke them. What would go beyond 80 characters is broken
// further: behind a sign, or in brackets, which then hold one item a line. Comments stay with what they are about: those
// on a line of their own, and those behind something, with the ones of
// neighbouring lines set under one another.
//
// The tree of the result is the tree of the source. Laying out twice changes
// nothing.
package format

import (
	"strings"

	"wend/lang/ast"
	"wend/lang/source"
)

// Source gives the text of a program as it should be laid out. The tree must
// be one that was read without faults.
func Source(f *ast.File) string {
	p := &printer{text: f.Source.Text, comments: f.Comments, fresh: true}
	for i, stmt := range f.Body {
		p.separate(0, stmt.Place().Start, i == 0)
		p.statement(stmt)
	}
	p.finish()
	return p.lines.String()
}

// printer writes a tree to lines.
type printer struct {
	text     string // of the source, for line breaks and comments
	comments []ast.Comment
	lines    lines

	last   int      // offset in the source up to which everything is written
	behind []string // comments that go to the end of the line at hand
	fresh  bool     // nothing is written yet in this block
	base   int      // indent of the statement or item at hand; it goes on one deeper
	indent int      // of the line at hand
	inline bool     // inside a text, or where all goes on one line: no line can end
	// endless says that lines are as long as they get, to find out how long.
	endless bool
	// opening says that the statement at hand is too long for the one line that
	// the source has it on, so that its blocks are broken open.
	opening bool
}

// write adds to the line at hand.
func (p *printer) write(text string) { p.lines.write(text) }

// broken reports whether the source has a line break between two offsets.
func (p *printer) broken(from, to int) bool {
	return !p.inline && from < to && strings.ContainsAny(p.text[from:to], "\n\r")
}

// blank reports whether the source has an empty line between two offsets.
func (p *printer) blank(from, to int) bool {
	gap := p.text[min(from, to):to]
	return strings.Count(gap, "\n")+strings.Count(gap, "\r")-strings.Count(gap, "\r\n") > 1
}

// pending reports whether a comment of the source before an offset is unwritten.
func (p *printer) pending(before int) bool {
	return len(p.comments) > 0 && p.comments[0].Span.Start < before
}

// take gives the next comment as it is written.
func (p *printer) take() string {
	c := p.comments[0]
	p.comments = p.comments[1:]
	p.last = c.Span.End
	return strings.TrimRight(c.Span.Text(), " \t")
}

// reach notes that what follows stands at an offset of the source. Comments
// before it for which there was no better place go to the end of the line.
func (p *printer) reach(offset int) {
	for p.pending(offset) {
		p.behind = append(p.behind, p.take())
	}
}

// breakLine ends the line at hand and begins one with an indent, for what
// stands at an offset of the source. Comments in between keep to the line they
// were on, or to their own.
func (p *printer) breakLine(indent, next int, closing bool) {
	for p.pending(next) && !p.broken(p.last, p.comments[0].Span.Start) {
		p.behind = append(p.behind, p.take())
	}
	p.endLine(indent)
	for p.pending(next) {
		start := p.comments[0].Span.Start
		if !p.fresh && p.blank(p.last, start) {
			p.lines.end()
		}
		p.fresh = false
		p.lines.write(spaces(indent))
		p.write(p.take())
		p.lines.end()
	}
	if !p.fresh && !closing && p.blank(p.last, next) {
		p.lines.end()
	}
	p.fresh = false
	p.indent = indent
	p.write(spaces(indent))
}

// endLine ends the line at hand. The first comment behind it stays there, the
// others get lines of their own.
func (p *printer) endLine(indent int) {
	for i, comment := range p.behind {
		if i == 0 {
			p.lines.comment(comment)
		} else {
			p.fresh = false
			p.write(spaces(indent) + comment)
		}
		p.lines.end()
	}
	if len(p.behind) == 0 {
		p.lines.end()
	}
	p.behind = p.behind[:0]
}

func spaces(indent int) string { return strings.Repeat("  ", indent) }

// separate goes to where the next statement of a block is written.
func (p *printer) separate(indent, next int, first bool) {
	switch {
	case p.inline && !first:
		p.write("; ")
	case p.inline:
	case first && indent == 0:
		p.openFile(next)
	default:
		p.breakLine(indent, next, false)
	}
	p.base = indent
}

// openFile writes the comments before the first statement.
func (p *printer) openFile(next int) {
	for p.pending(next) {
		start := p.comments[0].Span.Start
		if !p.fresh && p.blank(p.last, start) {
			p.lines.end()
		}
		p.fresh = false
		p.write(p.take())
		p.lines.end()
	}
	if !p.fresh && p.blank(p.last, next) {
		p.lines.end()
	}
	p.fresh = false
}

// finish writes the comments after the last statement, and ends the last line.
func (p *printer) finish() {
	if p.fresh {
		p.openFile(len(p.text))
		p.lines.dropBlankEnd()
		return
	}
	p.breakLine(0, len(p.text)+1, true)
}

// block writes statements in braces.
func (p *printer) block(b *ast.Block) {
	p.reach(b.Span.Start)
	if !p.inline && len(p.behind) == 0 && p.blockOnOneLine(b) {
		return
	}
	p.write("{")
	p.last = b.Span.Start + 1
	closer := b.Span.End - 1
	if p.inline {
		p.inlineRest(b)
		return
	}
	base, indent := p.base, p.indent
	if len(b.Stmts) == 0 && len(p.behind) == 0 && !p.pending(closer) {
		p.write("}")
		p.last = b.Span.End
		return
	}
	p.fresh = true
	for _, stmt := range b.Stmts {
		p.separate(indent+1, stmt.Place().Start, false)
		p.statement(stmt)
	}
	p.breakComments(indent+1, indent, closer)
	p.write("}")
	p.base, p.last = base, b.Span.End
}

// breakComments writes the comments before a closing bracket, indented as what
// is in it, and begins the line of the bracket.
func (p *printer) breakComments(inside, indent, closer int) {
	for p.pending(closer) && !p.broken(p.last, p.comments[0].Span.Start) {
		p.behind = append(p.behind, p.take())
	}
	p.endLine(inside)
	for p.pending(closer) {
		if !p.fresh && p.blank(p.last, p.comments[0].Span.Start) {
			p.lines.end()
		}
		p.fresh = false
		p.write(spaces(inside) + p.take())
		p.lines.end()
	}
	p.fresh = false
	p.indent = indent
	p.write(spaces(indent))
}

func (p *printer) inlineBlock(b *ast.Block) {
	p.write("{")
	p.inlineRest(b)
}

func (p *printer) inlineRest(b *ast.Block) {
	for i, stmt := range b.Stmts {
		if i == 0 {
			p.write(" ")
		}
		p.separate(p.base, stmt.Place().Start, i == 0)
		p.statement(stmt)
	}
	if len(b.Stmts) > 0 {
		p.write(" ")
	}
	p.write("}")
	p.last = b.Span.End
}

// around writes brackets around one thing that is in brackets itself, and lets
// the inner ones be broken open where the line is too long. It does not if the
// source has a line break or a comment between the two.
func (p *printer) around(opening, closing string, from, to int, inner source.Span, item func()) bool {
	closer := to - len(closing)
	if p.inline || p.endless || p.broken(from, inner.Start) || p.broken(inner.End, closer) || p.pending(inner.Start) {
		return false
	}
	p.write(opening)
	p.last = from + len(opening)
	item()
	p.reach(closer)
	p.write(closing)
	p.last = to
	return true
}

// items writes what stands in brackets with commas between: on one line, or
// broken where the author broke it and where a line gets too long.
func (p *printer) items(opening, closing string, from, to int, spans []source.Span, item func(q *printer, i int)) {
	open := p.tooLong(to, worthBreaking, func(q *printer) {
		q.items(opening, closing, from, to, spans, item)
	})
	p.write(opening)
	p.last = from + len(opening)
	closer := to - len(closing)
	breaks := make([]bool, len(spans)+1)
	any := false
	at := p.last
	for i, s := range spans {
		breaks[i] = open || p.broken(at, s.Start)
		any = any || breaks[i]
		at = s.End
	}
	any = any || p.broken(at, closer)
	if !any {
		for i := range spans {
			if i > 0 {
				p.write(", ")
			}
			item(p, i)
		}
		p.reach(closer)
		p.write(closing)
		p.last = to
		return
	}
	base, indent := p.base, p.indent
	for i, s := range spans {
		if i > 0 {
			p.write(",")
		}
		if i == 0 || breaks[i] || p.tooLong(s.End, 0, func(q *printer) { q.write(" "); item(q, i) }) {
			p.fresh = i == 0
			p.breakLine(indent+1, s.Start, false)
		} else {
			p.write(" ")
		}
		p.base = indent + 1
		item(p, i)
	}
	p.fresh = len(spans) == 0
	p.breakComments(indent+1, indent, closer)
	p.write(closing)
	p.base, p.last = base, to
}
