package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/cmd/wend/engine"
	"wend/lang/source"
	"wend/runtime/machine"
	"wend/runtime/preview"
)

// Pictures of large sheets, whose ink is laid while the program runs, are those that
// are made of the whole line.
func TestPicturesOfLargeSheetsAreThoseOfTheirLine(t *testing.T) {
	const coil = "begin 70, 50\nloop i in 1..40000 { reach polar(i / 1000, 7 * i) + (70, 50) }\n"
	for _, c := range []struct {
		name, text string
		args       []string
		options    preview.Options
		pictures   map[string]int // sheet
	}{
		{"one sheet", coil, nil, preview.Options{}, map[string]int{"large.png": 0}},
		{"bare", coil, []string{"--bare", "--pixels", "700"}, preview.Options{Bare: true, Length: 700}, map[string]int{"large.png": 0}},
		{"with what was added", coil, []string{"--mark-added"}, preview.Options{MarkAdded: true}, map[string]int{"large.png": 0}},
		{"two sheets", coil + "erase\n" + coil, nil, preview.Options{}, map[string]int{"large.png": 0, "large.sheet-2.png": 1}},
		{"off the page in the end", coil + "ahead 200\n", nil, preview.Options{}, map[string]int{"large.off-page.png": 0}},
		{"wrong in the end", coil + "ahead 1 / 0\n", nil, preview.Options{}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			folder := t.TempDir()
			name := filepath.Join(folder, "large.wend")
			require.NoError(t, os.WriteFile(name, []byte(c.text), 0o644))
			var stdout, stderr bytes.Buffer
			run(context.Background(), append([]string{"build", name, "--quiet"}, c.args...), console{
				stdout: &stdout, stderr: &stderr,
				environment: func(string) string { return "" },
				terminal:    func(int) bool { return false },
				columns:     func() int { return 0 },
			})
			written, err := filepath.Glob(filepath.Join(folder, "*.png"))
			require.NoError(t, err)
			require.Len(t, written, len(c.pictures), stderr.String())
			program, list := engine.Load(source.New(name, c.text), engine.Settings{Profile: machine.DeskToy()})
			require.NotNil(t, program, list)
			drawn, _ := program.Draw(context.Background())
			for file, sheet := range c.pictures {
				var png bytes.Buffer
				require.NoError(t, preview.PNG(context.Background(), &png, program.Picture(drawn, sheet), c.options))
				was, err := os.ReadFile(filepath.Join(folder, file))
				require.NoError(t, err)
				require.True(t, bytes.Equal(png.Bytes(), was), file)
			}
		})
	}
}
