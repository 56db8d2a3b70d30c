package parse

import (
	"io"

	"github.com/alecthomas/participle/v2/lexer"

	"wend/lang/source"
)

// definition makes participle read wend's tokens: scanned, brackets matched
// and newlines judged before the grammar sees the first of them.
type definition struct{}

func (definition) Symbols() map[string]lexer.TokenType { return symbols }

func (definition) Lex(name string, r io.Reader) (lexer.Lexer, error) {
	text, err := io.ReadAll(r)
	if err != nil {
		return nil, err
	}
	return &stream{text: string(text), tokens: read(source.New(name, string(text))).tokens}, nil
}

// stream hands finished tokens to participle one by one.
type stream struct {
	text   string
	tokens []token
	next   int
}

func (s *stream) Next() (lexer.Token, error) {
	index := s.next
	if index == len(s.tokens) {
		return lexer.EOFToken(lexer.Position{Line: index}), nil
	}
	s.next++
	t := s.tokens[index]
	// The grammar counts in tokens; lines are found when a place is shown. So
	// Line carries the index of the token.
	return lexer.Token{
		Type:  tokenType(t.kind),
		Value: tokenText(s.text, t),
		Pos:   lexer.Position{Offset: int(t.start), Line: index},
	}, nil
}

// tokenText is a token as the grammar compares it: what was written, or for a
// bracket that is missing in the text, the bracket.
func tokenText(text string, t token) string {
	if t.virtual {
		return bracketText(t.kind)
	}
	if t.kind == kindAssign {
		return "=" // whatever sign was written for it
	}
	return text[t.start:t.end]
}

func bracketText(k kind) string {
	switch k {
	case kindGroupOpen, kindCallOpen:
		return "("
	case kindGroupClose:
		return ")"
	case kindListOpen, kindIndexOpen:
		return "["
	case kindListClose:
		return "]"
	case kindBlockOpen, kindRecordOpen, kindInsertOpen:
		return "{"
	case kindBlockClose, kindRecordClose, kindInsertClose:
		return "}"
	}
	return ""
}
