// Package assist answers what an editor, the prompt or the window asks about a
// program while somebody writes it: how a word goes on, what it means, how it is
// called, where it comes from.
//
// Every answer is a pure function of a Document: a text with its words and
// signs, its tree and what the checker found out. The text may be faulty
// anywhere, as it is while it is typed: what can be told is told, from the words
// and signs where the tree has a gap. Places are byte offsets; who speaks to an
// editor converts them.
//
// It reads no files, runs no program, and knows no protocol.
package assist

import (
	"sort"
	"strings"

	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/source"
	"wend/lang/types"
	"wend/lang/vocabulary"
)

// Document is a text with all that reading and checking found out about it.
type Document struct {
	// Tree is the tree of the text.
	Tree *ast.File
	// Scan gives the words and signs of the text. They are asked for often, and
	// not at all where only messages are wanted: it keeps what it found.
	Scan func() []ast.Token
	// Program is the checked program that the text is a part of: the text itself
	// is its main file, or, at the prompt, the last of several texts that are one
	// main file together.
	Program *check.Program
	// Words is the table of all words.
	Words *vocabulary.Table
}

func (d *Document) tokens() []ast.Token { return d.Scan() }

func (d *Document) source() *source.File { return d.Tree.Source }

// ours reports whether a place is in the text itself.
func (d *Document) ours(s source.Span) bool { return s.File == d.Tree.Source }

// clamped is an offset moved into the text.
func (d *Document) clamped(at int) int { return max(0, min(at, len(d.source().Text))) }

// before is the index of the last token that begins before an offset, or -1. The
// end of a statement on a line above counts, wherever it is kept.
func (d *Document) before(at int) int {
	i := sort.Search(len(d.tokens()), func(i int) bool { return d.tokens()[i].Span.Start >= at }) - 1
	if next := i + 1; next < len(d.tokens()) && d.tokens()[next].Kind == ast.EndToken && d.tokens()[next].Span.Start == at {
		switch d.kind(i) {
		case ast.SignToken, ast.OpenToken, ast.CallToken, ast.BlockToken, ast.EndToken:
			return i // the statement goes on
		}
		if strings.ContainsAny(d.source().Text[d.tokens()[i].Span.End:at], "\r\n") {
			return next
		}
	}
	return i
}

// text is the text of a token; empty where there is none.
func (d *Document) text(i int) string {
	if i < 0 || i >= len(d.tokens()) {
		return ""
	}
	return d.tokens()[i].Span.Text()
}

// kind is the kind of a token; that of a statement's end where there is none.
func (d *Document) kind(i int) ast.TokenKind {
	if i < 0 || i >= len(d.tokens()) {
		return ast.EndToken
	}
	return d.tokens()[i].Kind
}

// isWord reports whether a token can be the name of a field or a member: after a
// dot a keyword is a name too.
func (d *Document) isWord(i int) bool {
	k := d.kind(i)
	return k == ast.NameToken || k == ast.KeywordToken
}

// holds reports whether a node is around an offset. While it is typed, a node that
// is not closed yet goes on over the blanks behind it.
func (d *Document) holds(n ast.Node, at int) bool {
	s := n.Place()
	if !d.ours(s) || at <= s.Start {
		return false
	}
	if at <= s.End {
		return true
	}
	text := d.source().Text
	if at > len(text) || s.End > s.Start && strings.ContainsRune("})]", rune(text[s.End-1])) {
		return false
	}
	blanks := " \t"
	if opened(n) {
		blanks = " \t\r\n"
	}
	return strings.Trim(text[s.End:at], blanks) == ""
}

// opened reports whether a node holds a block, so that one without its closing
// bracket goes on in the next line.
func opened(n ast.Node) bool {
	found := false
	ast.Walk(n, func(n ast.Node) bool {
		_, block := n.(*ast.Block)
		found = found || block
		return !found
	})
	return found
}

// around are the nodes around an offset, outermost first, beginning with a
// statement.
func (d *Document) around(at int) []ast.Node {
	var path []ast.Node
	children := ast.Children(d.Tree)
	for {
		next := -1
		// The last one counts: where two touch, the later is being typed.
		for i, child := range children {
			if d.holds(child, at) {
				next = i
			}
		}
		if next < 0 {
			return path
		}
		path = append(path, children[next])
		children = ast.Children(children[next])
	}
}

// kindsOf are the kinds that an expression can have; unknown where nothing is
// known.
func (d *Document) kindsOf(e ast.Expr) types.Kind {
	if p, ok := e.(*ast.Paren); ok {
		return d.kindsOf(p.X)
	}
	if k := d.Program.Kinds[e]; k != types.Unknown {
		return k
	}
	if obj := d.Program.Refs[e]; obj != nil {
		return kindsOfObject(obj)
	}
	return types.Unknown
}

// kindsOfObject are the kinds of the value that a name stands for.
func kindsOfObject(obj *check.Object) types.Kind {
	switch obj.Kind {
	case check.Function, check.Figure:
		return types.Function
	case check.Builtin:
		if obj.Builtin.Value {
			return obj.Builtin.Forms[0].Result
		}
		return types.Function
	case check.ModuleRef:
		return types.Unknown
	}
	return obj.Kinds
}
