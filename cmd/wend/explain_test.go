package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/stdlib"
)

// Each theme of words stands under exactly one purpose, or is one of the drawings that
// are ready to take.
func TestEachThemeServesOnePurpose(t *testing.T) {
	served := map[string]int{}
	for _, p := range purposes {
		for _, theme := range p.themes {
			served[theme]++
		}
	}
	taken, known := ready(), 0
	for _, theme := range stdlib.Vocabulary().Themes() {
		if strings.Contains(theme.Words[0].Name[1:], ".") {
			require.Contains(t, taken, strings.ToLower(theme.Title))
			continue
		}
		require.Equal(t, 1, served[theme.Title], theme.Title)
		known++
	}
	require.Len(t, served, known)
}
