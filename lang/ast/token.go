package ast

// TokenKind is what a token looks like, before anybody knows what it means.
type TokenKind uint8

// The kinds of tokens.
const (
	KeywordToken TokenKind = iota
	NameToken
	NumberToken
	TextToken    // quotes, and the plain text between them
	CommentToken //
	SignToken    // an operator, a comma, a dot, a colon
	CallToken    // an opening bracket that is glued to what is called or indexed
	OpenToken    // any other opening bracket of a group, a list or a record
	BlockToken   // the { of a block
	CloseToken   // a closing bracket
	EndToken     // the end of a statement: a line break that counts, or ;
)

// Token is one word, sign or piece of text as it is written. A text that holds
// values has a token for each part of it, and those of the values between.
type Token struct {
	Spanned
	Kind TokenKind
}
