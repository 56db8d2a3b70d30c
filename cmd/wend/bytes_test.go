package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The same program and seed give the same bytes on every platform: the golden
// sums below were written on one processor and are compared on another too
// (.ci/run runs this test under arm64). Pictures are compared by their pixels,
// since the packing of a PNG is the business of the Go release.
func TestExamplesGiveTheSameBytesEverywhere(t *testing.T) {
	examples, err := filepath.Glob("../../examples/*.wend")
	require.NoError(t, err)
	require.NotEmpty(t, examples)
	folder := t.TempDir()
	var sums strings.Builder
	for _, example := range examples {
		var stdout, stderr bytes.Buffer
		code := run(context.Background(), []string{"build", example, "--out", folder, "--also", "csv,svg", "--quiet"}, console{
			stdout: &stdout, stderr: &stderr,
			environment: func(string) string { return "" },
			terminal:    func(int) bool { return false },
			columns:     func() int { return 0 },
		})
		require.Zero(t, code, "%s: %s", example, &stderr)
		base := strings.TrimSuffix(filepath.Base(example), ".wend")
		for _, kind := range []string{"gcode", "csv", "svg", "png"} {
			content, err := os.ReadFile(filepath.Join(folder, base+"."+kind))
			require.NoError(t, err)
			if kind == "png" {
				content = thePictureShown(t, example, content)
			}
			fmt.Fprintf(&sums, "%x  %s.%s\n", sha256.Sum256(content), base, kind)
		}
	}
	const golden = "testdata/same_bytes.txt"
	if *update {
		require.NoError(t, os.WriteFile(golden, []byte(sums.String()), 0o644))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	require.Equal(t, string(want), sums.String())
}

// thePictureShown holds the picture that stands beside an example, for those who
// read and do not build, against the one that was built. It returns its pixels.
func thePictureShown(t *testing.T, example string, built []byte) []byte {
	t.Helper()
	beside := strings.TrimSuffix(example, ".wend") + ".png"
	if *update {
		require.NoError(t, os.WriteFile(beside, built, 0o644))
	}
	shown, err := os.ReadFile(beside)
	require.NoError(t, err)
	content := pixels(t, built)
	require.True(t, bytes.Equal(content, pixels(t, shown)), "%s shows another drawing than its program draws: go test ./cmd/wend -run SameBytes -update", beside)
	return content
}

// pixels are the colours of a picture, row by row.
func pixels(t *testing.T, content []byte) []byte {
	t.Helper()
	picture, err := png.Decode(bytes.NewReader(content))
	require.NoError(t, err)
	var out bytes.Buffer
	b := picture.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			r, g, b, a := picture.At(x, y).RGBA()
			out.Write([]byte{byte(r >> 8), byte(g >> 8), byte(b >> 8), byte(a >> 8)})
		}
	}
	return out.Bytes()
}
