//go:build peers

package main

import (
	"bytes"
	"context"
	"fmt"
	"image"
	imagedraw "image/draw"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wend/lang/diag"
	"wend/runtime/machine"
)

// A general-purpose recogniser of printed text reads what wend writes, each row by
// itself, with capitals of 40 pixels and a quarter of one around. It takes the
// picture for a row as it is (--psm 13): its search for columns and rows takes the
// line between words for a ruled one. Letters alone are counted, without spaces and
// signs, at two widths of the line, since the recogniser is easily led astray.
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
	for face, least := range map[string]float64{"linden": 0.96, "brook": 0.87} {
		right, all := 0, 0
		for _, heightMM := range []float64{4, 6} {
			found := recognised(t, engine, face, heightMM, rows)
			for i, row := range rows {
				wanted, read := onlyLetters(row), onlyLetters(found[i])
				wrong := diag.EditDistance([]rune(wanted), []rune(read), len(wanted))
				right, all = right+len(wanted)-min(wrong, len(wanted)), all+len(wanted)
				t.Logf("%-6s %g mm, %2d wrong: %q as %q", face, heightMM, wrong, row, strings.TrimSpace(found[i]))
			}
		}
		share := float64(right) / float64(all)
		t.Logf("%s: %.1f %% of %d letters", face, 100*share, all)
		assert.GreaterOrEqual(t, share, least, face)
	}
}

// recognised is what the engine reads of each row.
func recognised(t *testing.T, engine, face string, heightMM float64, rows []string) []string {
	const capital, around = 40, 10 // px
	page := machine.DeskToy().Page()
	var list strings.Builder
	for _, row := range rows {
		folder := t.TempDir()
		var out, errs bytes.Buffer
		code := run(context.Background(), []string{
			"write", row, "--font", face, "--height", fmt.Sprint(heightMM), "--bare", "--pixels", fmt.Sprint(math.Round(page.Width() * capital / heightMM)),
			"--out", folder, "--quiet",
		}, console{stdin: new(bytes.Buffer), stdout: &out, stderr: &errs})
		require.Zero(t, code, errs.String())
		pictures, err := filepath.Glob(filepath.Join(folder, "*.png"))
		require.NoError(t, err)
		require.Len(t, pictures, 1)
		cutOut(t, pictures[0], around)
		fmt.Fprintln(&list, pictures[0])
	}
	names := filepath.Join(t.TempDir(), "rows.txt")
	require.NoError(t, os.WriteFile(names, []byte(list.String()), 0o600))
	read, err := exec.Command(engine, names, "-", "--psm", "13", "-l", "eng").Output()
	require.NoError(t, err)
	found := strings.Split(string(read), "\f")
	require.GreaterOrEqual(t, len(found), len(rows))
	return found
}

// cutOut leaves of a picture the part that is drawn on, and so many px around it.
func cutOut(t *testing.T, name string, around int) {
	f, err := os.Open(name)
	require.NoError(t, err)
	picture, err := png.Decode(f)
	require.NoError(t, f.Close())
	require.NoError(t, err)
	whole := picture.Bounds()
	paper, drawn := picture.At(whole.Min.X, whole.Min.Y), image.Rectangle{}
	for y := whole.Min.Y; y < whole.Max.Y; y++ {
		for x := whole.Min.X; x < whole.Max.X; x++ {
			if picture.At(x, y) != paper {
				drawn = drawn.Union(image.Rect(x, y, x+1, y+1))
			}
		}
	}
	part := image.NewRGBA(drawn.Inset(-around).Intersect(whole))
	imagedraw.Draw(part, part.Rect, picture, part.Rect.Min, imagedraw.Src)
	f, err = os.Create(name)
	require.NoError(t, err)
	require.NoError(t, png.Encode(f, part))
	require.NoError(t, f.Close())
}

func onlyLetters(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) {
			return r
		}
		return -1
	}, text)
}
