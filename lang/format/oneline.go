package format

import (
	"strings"
	"unicode/utf8"

	"wend/lang/ast"
	"wend/lang/source"
)

// lineWidth is how many characters a line has at most, if it can be broken.
const lineWidth = 80

// worthBreaking is how many characters brackets and what is in them have at
// least that are broken open: shorter ones would leave the line hardly shorter.
const worthBreaking = 20

// onOneLine writes a statement that the source has on one line on one line if
// it fits. If it does not, its blocks are broken open, and other lines where
// they are too long.
func (p *printer) onOneLine(s ast.Stmt) bool {
	span := s.Place()
	if p.inline || !p.flat(span) {
		return false
	}
	if p.fits(func(q *printer) { q.statement(s) }) {
		p.last = span.End
		return true
	}
	return false
}

// oneLine reports whether a statement would be laid out on one line if that had
// no end.
func (p *printer) oneLine(s ast.Stmt) bool {
	_, flat := p.endlessly(func(q *printer) { q.statement(s) })
	return flat
}

// blockOnOneLine does the same for a block of a statement that goes over several
// lines.
func (p *printer) blockOnOneLine(b *ast.Block) bool {
	if p.opening || !p.flat(b.Span) || len(b.Stmts) == 0 {
		return false
	}
	if !p.fits(func(q *printer) { q.inlineBlock(b) }) {
		return false
	}
	p.last = b.Span.End
	return true
}

// flat reports whether the source has a span on one line.
func (p *printer) flat(span source.Span) bool {
	return !strings.ContainsAny(p.text[span.Start:span.End], "\n\r")
}

// fits writes something to the line at hand if there is room for it.
func (p *printer) fits(write func(q *printer)) bool {
	q := &printer{text: p.text, last: p.last, inline: true}
	write(q)
	text := q.lines.current.String()
	if !p.endless && utf8.RuneCountInString(p.lines.current.String())+utf8.RuneCountInString(text) > lineWidth {
		return false
	}
	p.write(text)
	return true
}

// tooLong reports whether a part of a value, which would be laid out on one line
// and has some length at least, goes beyond the end of the line at hand.
func (p *printer) tooLong(end, least int, write func(q *printer)) bool {
	if p.inline || p.endless {
		return false
	}
	text, flat := p.endlessly(write)
	width := utf8.RuneCountInString(text)
	column := utf8.RuneCountInString(p.lines.current.String())
	return flat && width > least && column+width+p.clinging(end) > lineWidth
}

// fitsAlone reports whether what is written behind a space fits on one line that
// goes on with the statement.
func (p *printer) fitsAlone(end int, write func(q *printer)) bool {
	text, flat := p.endlessly(write)
	return flat && len(spaces(p.base+1))+utf8.RuneCountInString(text)-1+p.clinging(end) <= lineWidth
}

// endlessly is how something would be laid out if lines had no end, and whether
// that takes one line alone.
func (p *printer) endlessly(write func(q *printer)) (text string, flat bool) {
	q := &printer{text: p.text, comments: p.comments, last: p.last, base: p.base, indent: p.indent, fresh: p.fresh, endless: true}
	write(q)
	return q.lines.current.String(), len(q.lines.done) == 0
}

// clinging is how many characters stay on the line of what ends at an offset:
// closing brackets and commas, the sign of an operator, the brace of a block.
func (p *printer) clinging(offset int) int {
	rest, _, _ := strings.Cut(p.text[offset:], "\n")
	count := 0
	for {
		rest = strings.TrimLeft(rest, " \t\r")
		switch {
		case rest == "":
			return count
		case strings.IndexByte(")],", rest[0]) >= 0:
			count, rest = count+1, rest[1:]
			continue
		case rest[0] == '{' || rest[0] == '}':
			return count + 2
		case strings.IndexByte("+-*/<>=!", rest[0]) >= 0:
			return count + 3
		case strings.HasPrefix(rest, "and ") || strings.HasPrefix(rest, "or "):
			return count + 4
		}
		return count
	}
}
