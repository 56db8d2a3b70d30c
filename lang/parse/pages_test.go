package parse_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/diag"
	"wend/lang/parse"
	"wend/lang/source"
)

// syntaxCodes are the codes this package gives.
var syntaxCodes = []diag.Code{
	"stray-character", "curly-quotes", "single-quotes", "odd-space", "hidden-character",
	"not-text", "unclosed-text", "unclosed-insert", "empty-insert", "unknown-escape",
	"faulty-code-point", "unknown-unit", "faulty-number", "number-too-large", "decimal-comma",
	"foreign-sign", "percent-sign", "compound-assignment", "step-sign", "loop-names", "loop-three-names", "record-for-block", "empty-record", "field-colon", "field-name", "field-name-insert", "list-in-braces", "brace-in-text", "choice-without-else", "choice-value", "if-of-values", "foreign-comment", "unclosed-bracket",
	"extra-bracket", "crossed-brackets", "empty-brackets", "point-size", "spaced-call",
	"spaced-index", "glued-call", "semicolon-in-brackets", "missing-block", "block-word",
	"stray-block", "nested-too-deep", "chain-too-long", "missing-value", "side-by-side",
	"stray-comma", "stray-colon", "stray-equals", "assign-in-condition", "named-argument",
	"mixed-chain", "range-of-range", "by-without-range", "not-inside", "unary-plus",
	"keyword-as-value", "named-fn-value", "expected", "keyword-as-name", "misspelt-word",
	"foreign-word", "else-if-word", "lone-else", "missing-line-break", "line-starts-with-sign",
	"line-asks-for-more", "loose-value", "loose-path", "let-without-equals", "let-without-value", "fn-without-name",
	"missing-params", "parameter-not-name", "loop-without-end", "use-with-insert",
}

func TestEachPagesExamplesGiveExactlyItsCodeAndNone(t *testing.T) {
	for _, code := range syntaxCodes {
		t.Run(string(code), func(t *testing.T) {
			page, ok := diag.Lookup(code)
			require.True(t, ok)
			_, list := parse.File(source.New("bad", page.Bad))
			require.Len(t, list, 1, "%v", list)
			require.Equal(t, page.Code, list[0].Code, list[0].Message)
			_, list = parse.File(source.New("good", page.Good))
			require.Empty(t, list)
		})
	}
}

func TestExamplesOfOtherPagesCanBeRead(t *testing.T) {
	for _, page := range diag.Pages() {
		if page.Subject != diag.Program || slices.Contains(syntaxCodes, page.Code) {
			continue
		}
		for _, text := range []string{page.Bad, page.Good} {
			_, list := parse.File(source.New(string(page.Code), text))
			require.Empty(t, list, "%s: %s", page.Code, text)
		}
	}
}
