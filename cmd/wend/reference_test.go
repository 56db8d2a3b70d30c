package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/vocabulary"
	"wend/stdlib"
)

var fileOfAnExample = regexp.MustCompile(`"([^"]+\.[a-z]+)"`)

// The reference of the library shows what the example of each word draws, if it
// draws: the pictures lie in stdlib/pictures/words, no more and no fewer.
func TestTheReferenceShowsWhatTheWordsDraw(t *testing.T) {
	const pictures = "../../stdlib/pictures/words"
	folder := t.TempDir()
	if *update {
		require.NoError(t, os.RemoveAll(pictures))
		require.NoError(t, os.MkdirAll(pictures, 0o755))
	}
	var made []string
	for _, theme := range stdlib.Vocabulary().Themes() {
		for _, w := range theme.Words {
			if w.Sort >= vocabulary.Kind {
				continue // what values are has no picture, and shares names with words that have
			}
			for _, name := range fileOfAnExample.FindAllStringSubmatch(w.Example, -1) {
				if used, ok := stdlib.ExampleFile(name[1]); ok {
					require.NoError(t, os.WriteFile(filepath.Join(folder, name[1]), []byte(used), 0o644))
				}
			}
			program := filepath.Join(folder, w.Name+".wend")
			require.NoError(t, os.WriteFile(program, []byte(w.Example), 0o644))
			require.Zero(t, run(context.Background(), []string{"build", program, "--bare", "--pixels", "280", "--quiet"}, quietConsole(nil)), w.Name)
			name := w.Name + ".png"
			content, err := os.ReadFile(filepath.Join(folder, name))
			if os.IsNotExist(err) {
				continue // its example only says something
			}
			require.NoError(t, err)
			made = append(made, name)
			if *update {
				require.NoError(t, os.WriteFile(filepath.Join(pictures, name), content, 0o644))
			}
			shown, err := os.ReadFile(filepath.Join(pictures, name))
			require.NoError(t, err, "go test ./cmd/wend ./stdlib -run Reference -update")
			require.True(t, bytes.Equal(pixels(t, content), pixels(t, shown)), "%s: go test ./cmd/wend ./stdlib -run Reference -update", name)
		}
	}
	entries, err := os.ReadDir(pictures)
	require.NoError(t, err)
	var there []string
	for _, e := range entries {
		there = append(there, e.Name())
	}
	require.ElementsMatch(t, made, there)
}
