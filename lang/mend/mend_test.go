package mend

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/lang/types"
)

// Rules look at a line many times, so one that nobody typed is left alone: a
// hundred thousand brackets would take minutes.
func TestALineThatNobodyTypedIsLeftAlone(t *testing.T) {
	file := source.New("deep.wend", "note "+strings.Repeat("(", 100_000)+"1"+strings.Repeat(")", 100_000)+"\n")
	list := diag.List{diag.New("nested-too-deep", source.Span{File: file, Start: 300, End: 301}, nil)}
	improved := Improve(file, list, Options{Library: &types.Library{}, Members: func(string) []string { return nil }, Try: func(string) diag.List {
		t.Error("an edit was tried")
		return nil
	}})
	require.Equal(t, list, improved)
}
