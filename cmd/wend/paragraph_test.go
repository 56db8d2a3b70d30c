package main

import (
	"bytes"
	"os"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"pgregory.net/rapid"
	"wend/cmd/wend/operate"
	_ "wend/internal/repeatable"
)

func TestLinesBreakAtTheEndsOfWordsAlone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.SliceOfN(rapid.StringMatching(`[a-zé]{1,30}`), 1, 30).Draw(t, "words")
		indent := rapid.SampledFrom([]string{"", "  ", "    "}).Draw(t, "indent")
		columns := rapid.IntRange(20, 90).Draw(t, "columns")
		text := filled(strings.Join(words, " "), indent, columns)
		require.Equal(t, words, strings.Fields(text))
		lines := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
		for i, line := range lines {
			require.True(t, strings.HasPrefix(line, indent))
			// At most so wide, and no narrower than the next word makes it.
			width := utf8.RuneCountInString(line)
			require.True(t, width <= columns || len(strings.Fields(line)) == 1, line)
			if i+1 < len(lines) {
				next := strings.Fields(lines[i+1])[0]
				require.Greater(t, width+1+utf8.RuneCountInString(next), columns)
			}
		}
	})
}

func TestAParagraphIsBrokenOnATerminalOnly(t *testing.T) {
	var plain bytes.Buffer
	c := console{
		stdout: os.Stdout, stderr: os.Stderr,
		terminal: func(fd int) bool { return true },
		columns:  func() int { return 40 },
		window:   func() (columns, rows int) { return 60, 24 },
	}
	caution := operate.Cautions()[1]
	require.Equal(t, "  "+caution, c.paragraph(&plain, "  ", caution))
	for stream, columns := range map[*os.File]int{os.Stdout: 60, os.Stderr: 40} {
		shown := c.paragraph(stream, "  ", caution)
		require.Equal(t, strings.Fields(caution), strings.Fields(shown))
		for _, line := range strings.Split(shown, "\n") {
			require.LessOrEqual(t, len(line), columns)
			require.True(t, strings.HasPrefix(line, "  "))
		}
	}
	c.terminal = func(fd int) bool { return false }
	require.Equal(t, "  "+caution, c.paragraph(os.Stderr, "  ", caution))
}
