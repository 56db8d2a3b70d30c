package parse

import (
	"cmp"
	"slices"

	"wend/lang/ast"
	"wend/lang/source"
)

// Tokens cuts a text into its words and signs, comments among them, in source
// order. No two of them overlap, and what lies between them is blank or could
// not be read. There is one wherever a text holds anything, however faulty.
func Tokens(src *source.File) []ast.Token {
	read := read(src)
	all := make([]ast.Token, 0, len(read.tokens)+len(read.comments))
	for _, t := range read.tokens {
		if t.start == t.end && t.kind != kindEnd {
			continue
		}
		span := read.span(int(t.start), int(t.end))
		all = append(all, ast.Token{Spanned: ast.Spanned{Span: span}, Kind: t.kind.shown()})
	}
	for _, c := range read.comments {
		all = append(all, ast.Token{Spanned: c.Spanned, Kind: ast.CommentToken})
	}
	slices.SortStableFunc(all, func(a, b ast.Token) int {
		return cmp.Or(cmp.Compare(a.Span.Start, b.Span.Start), cmp.Compare(a.Span.End, b.Span.End))
	})
	return all
}

// shown is what a token of the kind looks like to a reader.
func (k kind) shown() ast.TokenKind {
	switch {
	case k.keyword():
		return ast.KeywordToken
	case k == kindName:
		return ast.NameToken
	case k == kindNumber:
		return ast.NumberToken
	case k == kindTextOpen, k == kindTextPart, k == kindTextClose:
		return ast.TextToken
	case k == kindCallOpen, k == kindIndexOpen:
		return ast.CallToken
	case k == kindBlockOpen:
		return ast.BlockToken
	case k.opens():
		return ast.OpenToken
	case k.closes():
		return ast.CloseToken
	case k == kindEnd, k == kindNewline:
		return ast.EndToken
	}
	return ast.SignToken
}
