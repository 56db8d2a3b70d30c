// Package parse reads a program's text into its tree.
//
// It goes in four steps, each of which makes the next one simple:
//
//   - scan cuts the text into words, signs and pieces of text;
//   - brackets are matched and, where one is missing or too many, mended, so
//     that every bracket after that has its partner;
//   - newlines become the ends of statements, or vanish;
//   - the grammar reads statement by statement. A statement that cannot be
//     read is reported once, and reading goes on with the next, in nested
//     blocks too.
//
// Statements are participle's: their shapes are grammar, and read as one.
// Expressions and recovery are written by hand beside it. Expressions, since
// precedence climbing needs one loop for all binary operators, since whether a
// space stands before a bracket or a sign decides what it means, and since
// nesting must be bounded before the stack is. Recovery, since participle stops
// at the first error and names the token that it did not expect, while a reader
// wants each statement's own error, what was probably meant, and a tree for the
// rest.
//
// A tree always comes back, with Bad nodes where nothing could be read. There
// is at most one diagnostic a line and one a statement.
package parse

import (
	"sync"

	"wend/lang/ast"
	"wend/lang/diag"
	"wend/lang/source"
)

// grammars keeps built grammars for reuse: building one takes as long as
// reading some fifty lines.
var grammars = sync.Pool{New: func() any { return newGrammar() }}

// File reads a text. The tree holds all that could be read; the list, in
// source order, what could not.
func File(src *source.File) (*ast.File, diag.List) {
	read := read(src)
	file := &ast.File{Source: src, Comments: read.comments}

	g := grammars.Get().(*grammar)
	defer grammars.Put(g)
	g.session = session{reading: read, g: g}
	defer func() { g.session = session{} }()

	file.Body = g.statements()
	return file, g.sorted()
}

// Incomplete reports whether a text stops where more lines are wanted: inside
// an open bracket, the innermost of which is given, or after a sign that asks
// for more. A text in quotes ends on its line, so an open one is not mended by
// more lines.
func Incomplete(src *source.File) (bracket string, more bool) {
	s := scan(src)
	last := kindEOF
	var open []string
	for _, t := range s.tokens {
		switch {
		case t.kind == kindNewline:
			continue
		case t.kind.opens():
			open = append(open, src.Text[t.start:t.end])
		case t.kind.closes() && len(open) == 0:
			return "", false
		case t.kind.closes():
			open = open[:len(open)-1]
		case t.kind == kindTextOpen && t.tainted:
			return "", false
		}
		last = t.kind
	}
	if len(open) > 0 {
		return open[len(open)-1], true
	}
	return "", last.asksForMore()
}
