//go:build peers

package main

import (
	"bytes"
	"context"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wend/lang/diag"
)

// A general-purpose recogniser of printed text reads what wend writes, row by row,
// with capitals of 40 pixels; letters alone are counted, without spaces and signs.
// Debian's tesseract-ocr with its English data; .ci/run installs it.
func TestARecogniserReadsTheLetters(t *testing.T) {
	engine, err := exec.LookPath("tesseract")
	require.NoError(t, err, "apt-get install tesseract-ocr")
	rows := []string{
		"The quick brown fox jumps over", "the lazy dog and finds a quiet", "place under the fern to sleep",
		"Pack my box with five dozen", "liquor jugs before the evening", "Sphinx of black quartz judge",
		"A gentle river runs below", "Happy Birthday dear Tilda", "Please knock twice and wait",
		"Every drawing is a single line", "Moss and stones beside the path", "Winter came early that year",
	}
	for face, least := range map[string]float64{"linden": 0.95, "brook": 0.5} {
		right, all := 0, 0
		for _, row := range rows {
			folder := t.TempDir()
			var out, errs bytes.Buffer
			code := run(context.Background(), []string{"write", row, "--font", face, "--height", "4", "--bare", "--pixels", "1500", "--out", folder, "--quiet"},
				console{stdin: new(bytes.Buffer), stdout: &out, stderr: &errs})
			require.Zero(t, code, errs.String())
			pictures, err := filepath.Glob(filepath.Join(folder, "*.png"))
			require.NoError(t, err)
			require.Len(t, pictures, 1)
			read, err := exec.Command(engine, pictures[0], "-", "--psm", "7", "-l", "eng").Output()
			require.NoError(t, err)
			wanted, found := onlyLetters(row), onlyLetters(string(read))
			wrong := diag.EditDistance([]rune(wanted), []rune(found), len(wanted))
			right, all = right+len(wanted)-min(wrong, len(wanted)), all+len(wanted)
			t.Logf("%-6s %2d wrong: %q as %q", face, wrong, row, strings.TrimSpace(string(read)))
		}
		share := float64(right) / float64(all)
		t.Logf("%s: %.1f %% of %d letters", face, 100*share, all)
		assert.GreaterOrEqual(t, share, least, face)
	}
}

func onlyLetters(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) {
			return r
		}
		return -1
	}, text)
}
