package mend

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/lang/types"
	"wend/stdlib"
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

// options are the library's, with what is said of a text.
func options(try func(string) diag.List) Options {
	return Options{Library: stdlib.Library(), Members: stdlib.Members, Try: try}
}

// A program that is right is in wend's own manner, so nothing of it is put into
// other words.
func TestAProgramThatIsRightIsNotPutIntoOtherWords(t *testing.T) {
	names, err := filepath.Glob("../../examples/*.wend")
	require.NoError(t, err)
	require.NotEmpty(t, names)
	programs := map[string]string{}
	for _, name := range names {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		programs[name] = string(text)
	}
	for _, b := range stdlib.Library().Builtins {
		if b.Example != "" {
			programs["the example of "+b.Name] = strings.TrimSuffix(b.Example, "\n") + "\n"
		}
	}
	for name, text := range programs {
		opts := options(nil)
		m := &mender{Options: opts, heads: headsOf(text, opts)}
		require.Equal(t, text, m.paraphrased(text), name)
	}
}
