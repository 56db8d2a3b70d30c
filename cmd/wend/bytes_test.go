package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/json"
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
	sum := func(name string, content []byte) {
		fmt.Fprintf(&sums, "%x  %s\n", sha256.Sum256(content), name)
	}
	var shown []piece
	for _, example := range examples {
		built := builtBare(t, example, folder, "csv,svg")
		for _, kind := range []string{"gcode", "csv", "svg"} {
			content, err := os.ReadFile(filepath.Join(folder, built.name+"."+kind))
			require.NoError(t, err)
			sum(built.name+"."+kind, content)
		}
		sum(built.name+".png", thePictureShown(t, example, filepath.Join(folder, built.name+".png")))
		shown = append(shown, built)
	}
	// With rulers, letters and marks, as without --bare.
	require.Zero(t, run(context.Background(), []string{"build", "../../examples/fern.wend", "--out", folder, "--quiet"}, quietConsole(nil)))
	content, err := os.ReadFile(filepath.Join(folder, "fern.png"))
	require.NoError(t, err)
	sum("fern.png with rulers", pixels(t, content))

	const golden = "testdata/same_bytes.txt"
	const gallery = "../../examples/README.md"
	if *update {
		require.NoError(t, os.WriteFile(golden, []byte(sums.String()), 0o644))
		require.NoError(t, os.WriteFile(gallery, []byte(galleryPage(shown)), 0o644))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	require.Equal(t, string(want), sums.String())
	page, err := os.ReadFile(gallery)
	require.NoError(t, err)
	require.Equal(t, galleryPage(shown), string(page), "go test ./cmd/wend -run SameBytes -update")
}

// quietConsole is one without terminal or environment.
func quietConsole(stdout *bytes.Buffer) console {
	if stdout == nil {
		stdout = &bytes.Buffer{}
	}
	return console{
		stdout: stdout, stderr: &bytes.Buffer{},
		environment: func(string) string { return "" },
		terminal:    func(int) bool { return false },
		columns:     func() int { return 0 },
	}
}

// builtBare builds an example as its picture beside it shows it.
func builtBare(t *testing.T, example, folder, also string) piece {
	t.Helper()
	var stdout bytes.Buffer
	code := run(context.Background(), []string{"build", example, "--bare", "--pixels", "900", "--out", folder, "--also", also, "--json"}, quietConsole(&stdout))
	require.Zero(t, code, "%s: %s", example, &stdout)
	p := piece{name: strings.TrimSuffix(filepath.Base(example), ".wend")}
	var told struct {
		Diagnostics []any `json:"diagnostics"`
		Sheets      []struct {
			Line    float64 `json:"line_mm"`
			Added   float64 `json:"link_mm"`
			Seconds float64 `json:"seconds"`
		} `json:"sheets"`
	}
	require.NoError(t, json.Unmarshal(stdout.Bytes(), &told))
	require.Empty(t, told.Diagnostics, "%s has a warning", example)
	for _, sheet := range told.Sheets {
		p.lineMM += sheet.Line
		p.addedMM += sheet.Added
		p.seconds += sheet.Seconds
	}
	text, err := os.ReadFile(example)
	require.NoError(t, err)
	p.idea = idea(string(text))
	return p
}

// thePictureShown holds the picture that stands beside an example, for those who
// read and do not build, against the one that was built. It returns its pixels.
func thePictureShown(t *testing.T, example, built string) []byte {
	t.Helper()
	content, err := os.ReadFile(built)
	require.NoError(t, err)
	beside := strings.TrimSuffix(example, ".wend") + ".png"
	if *update {
		require.NoError(t, os.WriteFile(beside, content, 0o644))
	}
	shown, err := os.ReadFile(beside)
	require.NoError(t, err)
	made := pixels(t, content)
	require.True(t, bytes.Equal(made, pixels(t, shown)), "%s shows another drawing than its program draws: go test ./cmd/wend -run SameBytes -update", beside)
	return made
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
