package format

import (
	"strings"
	"unicode/utf8"

	"wend/lang/ast"
	"wend/lang/source"
)

// lineWidth is how many characters a line has at most that holds a block.
const lineWidth = 80

// onOneLine writes a statement with blocks, which the source has on one line,
// on one line if it fits. If it does not, its blocks are broken open.
func (p *printer) onOneLine(s ast.Stmt) bool {
	span := s.Place()
	if p.inline || !p.flat(span) || !holdsBlock(s) {
		return false
	}
	if p.fits(func(q *printer) { q.statement(s) }) {
		p.last = span.End
		return true
	}
	return false
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

// flat tells whether the source has a span on one line.
func (p *printer) flat(span source.Span) bool {
	return !strings.ContainsAny(p.text[span.Start:span.End], "\n\r")
}

// fits writes something to the line at hand if there is room for it.
func (p *printer) fits(write func(q *printer)) bool {
	q := &printer{text: p.text, last: p.last, inline: true}
	write(q)
	text := q.lines.current.String()
	if utf8.RuneCountInString(p.lines.current.String())+utf8.RuneCountInString(text) > lineWidth {
		return false
	}
	p.write(text)
	return true
}

// holdsBlock tells whether a statement has a block of its own, or in a value.
func holdsBlock(s ast.Stmt) bool {
	found := false
	ast.Walk(s, func(n ast.Node) bool {
		if _, block := n.(*ast.Block); block {
			found = true
		}
		return !found
	})
	return found
}
