package parse

import (
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/vocabulary"
	"wend/stdlib"
)

func TestTheTableOfWordsHoldsEveryKeywordAndNoOther(t *testing.T) {
	var explained []string
	for _, w := range stdlib.Vocabulary().Words(vocabulary.Keyword) {
		explained = append(explained, w.Name)
	}
	var kept []string
	for word := range keywords {
		kept = append(kept, word)
	}
	require.ElementsMatch(t, kept, explained)
}

func TestTheTableOfWordsHoldsEveryUnit(t *testing.T) {
	var explained []string
	for _, w := range stdlib.Vocabulary().Words(vocabulary.Unit) {
		explained = append(explained, w.Name)
	}
	var known []string
	for word := range units {
		known = append(known, word)
	}
	require.ElementsMatch(t, known, explained)
}
