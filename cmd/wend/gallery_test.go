package main

import (
	"bytes"
	"context"
	"fmt"
	"image/gif"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/gcode"
)

// A piece of the gallery, as examples/README.md tells of it.
type piece struct {
	name, idea      string
	lineMM, addedMM float64
	seconds         float64
}

// idea is the first sentence of the comment at the top of a program.
func idea(text string) string {
	var about []string
	for line := range strings.Lines(text) {
		comment, ok := strings.CutPrefix(line, "#")
		if !ok {
			break
		}
		about = append(about, strings.TrimSpace(comment))
	}
	first, _, _ := strings.Cut(strings.Join(about, " "), ". ")
	return strings.TrimSuffix(first, ".") + "."
}

// galleryPage shows all pieces, three to a row.
func galleryPage(pieces []piece) string {
	const across = 3
	var out strings.Builder
	out.WriteString("# Gallery\n\nEvery picture is one line. Below each stand its length, how long the built-in desk toy draws, and how much of the line was added to reach separate parts. " +
		"`wend new NAME.wend --from PIECE` starts from one. This page and its pictures are made by `go test ./cmd/wend -run SameBytes -update`; where the pictures and data that some pieces use come from: [SOURCE.md](SOURCE.md).\n\n")
	out.WriteString("|" + strings.Repeat(" |", across) + "\n|" + strings.Repeat(" --- |", across) + "\n")
	for i, p := range pieces {
		added := "nothing added"
		if p.addedMM >= 0.5 {
			added = fmt.Sprintf("%.0f mm added", p.addedMM)
		}
		fmt.Fprintf(&out, "| ![%s](%s.png)<br>[**%s**](%s.wend) %s<br>%.1f m, %s, %s ", p.name, p.name, p.name, p.name, p.idea, p.lineMM/1000, gcode.Duration(p.seconds), added)
		if i%across == across-1 || i == len(pieces)-1 {
			out.WriteString(strings.Repeat("| ", across-1-i%across) + "|\n")
		}
	}
	return out.String()
}

// The README shows a piece as it grows, and a sheet of its seeds.
func TestTheReadmeShowsAPieceGrowingAndItsSeeds(t *testing.T) {
	const example = "../../examples/winter.wend"
	folder := t.TempDir()
	require.Zero(t, run(context.Background(), []string{"build", example, "--out", folder, "--also", "gif", "--quiet"}, quietConsole(nil)))
	require.Zero(t, run(context.Background(), []string{"build", example, "--out", folder, "--seeds", "1..12", "--quiet"}, quietConsole(nil)))
	readme, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	for _, name := range []string{"winter.gif", "winter.seeds.png"} {
		require.Contains(t, string(readme), "](examples/"+name+")")
		made, err := os.ReadFile(filepath.Join(folder, name))
		require.NoError(t, err)
		if *update {
			require.NoError(t, os.WriteFile("../../examples/"+name, made, 0o644))
		}
		shown, err := os.ReadFile("../../examples/" + name)
		require.NoError(t, err)
		if strings.HasSuffix(name, ".gif") {
			require.Equal(t, frames(t, made), frames(t, shown), "go test ./cmd/wend -run Readme -update")
		} else {
			require.True(t, bytes.Equal(pixels(t, made), pixels(t, shown)), "go test ./cmd/wend -run Readme -update")
		}
	}
}

// frames are the sizes of the frames of a moving picture, and the pixels of the last.
func frames(t *testing.T, content []byte) string {
	t.Helper()
	moving, err := gif.DecodeAll(bytes.NewReader(content))
	require.NoError(t, err)
	var out strings.Builder
	for _, frame := range moving.Image {
		fmt.Fprintln(&out, frame.Rect)
	}
	return out.String() + string(moving.Image[len(moving.Image)-1].Pix)
}
