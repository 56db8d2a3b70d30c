package parse_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/ast"
	"wend/lang/parse"
	"wend/lang/source"
)

func TestTokensAreWhatTheTextIsMadeOf(t *testing.T) {
	letters := map[ast.TokenKind]string{
		ast.KeywordToken: "k", ast.NameToken: "n", ast.NumberToken: "0", ast.TextToken: "t", ast.CommentToken: "#",
		ast.SignToken: "s", ast.CallToken: "c", ast.OpenToken: "o", ast.BlockToken: "b", ast.CloseToken: "x", ast.EndToken: "e",
	}
	for text, want := range map[string]string{
		"ahead 20mm # go":        "n:ahead 0:20mm #:# go e:",
		"draw p.rotate(3)":       "k:draw n:p s:. n:rotate c:( 0:3 x:) e:",
		"loop 4 { turn 90; a }":  "k:loop 0:4 b:{ n:turn 0:90 e:; n:a x:} e:",
		"note \"a {n}\"":         "n:note t:\" t:a  o:{ n:n x:} t:\" e:",
		"let r = {a: 1}":         "k:let n:r s:= o:{ n:a s:: 0:1 x:} e:",
		"reach (1, 2)\nx[1] = 2": "n:reach o:( 0:1 s:, 0:2 x:) e:\n n:x c:[ 0:1 x:] s:= 0:2 e:",
		"draw rotate(p, ":        "k:draw n:rotate c:( n:p s:, e:",
		"":                       "",
		"note \"open":            "n:note t:\" t:open e:",
	} {
		var shown []string
		for _, token := range parse.Tokens(source.New("", text)) {
			shown = append(shown, fmt.Sprintf("%s:%s", letters[token.Kind], token.Span.Text()))
		}
		require.Equal(t, want, strings.Join(shown, " "), text)
	}
}

func FuzzTokens(f *testing.F) {
	for _, text := range []string{"ahead 20", "note \"a {b {c}\"", "draw (", "{1}{1}", "\uFEFFlet ä = 1", "a\r\nb\rc", "} ) ]", "/* x */ 1"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 10_000 {
			return
		}
		at := 0
		for _, token := range parse.Tokens(source.New("", text)) {
			require.GreaterOrEqual(t, token.Span.Start, at, "tokens overlap or are out of order")
			require.LessOrEqual(t, token.Span.End, len(text))
			require.LessOrEqual(t, token.Span.Start, token.Span.End)
			at = token.Span.End
		}
	})
}
