package parse

import "github.com/alecthomas/participle/v2/lexer"

// kind is what a token is. Keywords and operators have a kind each.
type kind uint8

const (
	kindEOF kind = iota
	kindEnd      // the end of a statement: a newline that counts, or ;
	kindName
	kindNumber
	kindTextOpen    // the opening quote
	kindTextPart    // plain text between quotes and inserts, escapes as written
	kindTextClose   // the closing quote
	kindInsertOpen  // { in a text
	kindInsertClose // } in a text
	kindGroupOpen   // ( with a space, an operator or a bracket before it
	kindCallOpen    // ( glued to a name, a text, ), ] or }
	kindGroupClose
	kindListOpen  // [ with a space, an operator or a bracket before it
	kindIndexOpen // [ glued to a name, a text, ), ] or }
	kindListClose
	kindBlockOpen
	kindBlockClose
	kindRecordOpen  // { with a field's name and : behind it
	kindRecordClose // its }; a kindBlockClose until brackets are matched
	kindComma
	kindColon
	kindAssign
	kindChange // += and its like
	kindDot
	kindRange
	kindPlus
	kindMinus
	kindStar
	kindSlash
	kindCaret
	kindEqual
	kindNotEqual
	kindLess
	kindLessEqual
	kindGreater
	kindGreaterEqual
	kindSemicolon // ; inside round or square brackets, where it means nothing

	kindLet
	kindFn
	kindFigure
	kindPath
	kindLoop
	kindWhile
	kindIn
	kindBy
	kindIf
	kindElse
	kindReturn
	kindBreak
	kindContinue
	kindAnd
	kindOr
	kindNot
	kindTrue
	kindFalse
	kindDraw
	kindAt
	kindBranch
	kindCurve
	kindUse
	kindAs

	kindNewline // in the raw stream only
)

// keywords are the words that cannot be names.
var keywords = map[string]kind{
	"let": kindLet, "fn": kindFn, "figure": kindFigure, "path": kindPath, "loop": kindLoop,
	"while": kindWhile, "in": kindIn, "by": kindBy, "if": kindIf, "else": kindElse,
	"return": kindReturn, "break": kindBreak, "continue": kindContinue, "and": kindAnd,
	"or": kindOr, "not": kindNot, "true": kindTrue, "false": kindFalse, "draw": kindDraw,
	"at": kindAt, "branch": kindBranch, "curve": kindCurve, "use": kindUse, "as": kindAs,
}

// symbols names the kinds for the grammar.
var symbols = map[string]lexer.TokenType{
	"EOF": lexer.EOF, "End": tokenType(kindEnd), "Name": tokenType(kindName), "Number": tokenType(kindNumber),
	"TextOpen": tokenType(kindTextOpen), "TextPart": tokenType(kindTextPart), "TextClose": tokenType(kindTextClose),
	"InsertOpen": tokenType(kindInsertOpen), "InsertClose": tokenType(kindInsertClose),
}

func tokenType(k kind) lexer.TokenType {
	if k == kindEOF {
		return lexer.EOF
	}
	return lexer.TokenType(k)
}

// token is one word, sign or piece of text; start and end are byte offsets.
type token struct {
	kind    kind
	tainted bool // a fault was reported here, so what follows from it stays unsaid
	virtual bool // stands for something missing in the text
	start   int32
	end     int32
	cut     int32 // offset, plus one, of a closing bracket after it that was reported and left out
	pair    int32 // for brackets, once laid out: index of the other one
}

func (k kind) keyword() bool { return k >= kindLet && k <= kindAs }

func (k kind) opens() bool {
	switch k {
	case kindGroupOpen, kindCallOpen, kindListOpen, kindIndexOpen, kindBlockOpen, kindRecordOpen, kindInsertOpen:
		return true
	}
	return false
}

func (k kind) closes() bool {
	switch k {
	case kindGroupClose, kindListClose, kindBlockClose, kindRecordClose, kindInsertClose:
		return true
	}
	return false
}

// closer is the kind that closes an opening bracket.
func (k kind) closer() kind {
	switch k {
	case kindGroupOpen, kindCallOpen:
		return kindGroupClose
	case kindListOpen, kindIndexOpen:
		return kindListClose
	case kindBlockOpen, kindRecordOpen:
		return kindBlockClose
	}
	return kindInsertClose
}

// asksForMore reports whether a line that ends with this kind goes on in the next.
func (k kind) asksForMore() bool {
	switch k {
	case kindComma, kindColon, kindAssign, kindChange, kindAnd, kindOr:
		return true
	}
	return k.infix()
}

// infix reports whether the kind is a sign that stands between two values.
func (k kind) infix() bool { return k >= kindRange && k <= kindGreaterEqual }

// startsValue reports whether an expression can begin with the kind.
func (k kind) startsValue() bool {
	switch k {
	case kindName, kindNumber, kindTextOpen, kindGroupOpen, kindCallOpen, kindListOpen, kindIndexOpen, kindRecordOpen,
		kindMinus, kindNot, kindTrue, kindFalse, kindFn, kindPath, kindCurve, kindIf:
		return true
	}
	return false
}

// startsStatement reports whether the kind is a keyword that begins a statement.
func (k kind) startsStatement() bool {
	switch k {
	case kindLet, kindFn, kindFigure, kindLoop, kindIf, kindReturn, kindBreak, kindContinue,
		kindDraw, kindBranch, kindUse:
		return true
	}
	return false
}
