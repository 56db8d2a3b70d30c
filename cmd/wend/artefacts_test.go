package main

import (
	"bytes"
	"context"
	"encoding/json"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// Every kind that is accepted is written, is named in the JSON and in the help,
// and counts as an output where old ones are cleared away.
func TestEveryKindOfOutputIsWholeByItsRow(t *testing.T) {
	folder := t.TempDir()
	program := filepath.Join(folder, "line.wend")
	require.NoError(t, os.WriteFile(program, []byte("ahead 30\nturn 90\nahead 20\n"), 0o644))
	var stdout, stderr, help bytes.Buffer
	require.Zero(t, run(context.Background(), []string{"build", program, "--also", "svg,gif,csv,html", "--as-drawn", "--json", "--bare", "--pixels", "640"},
		console{stdin: new(bytes.Buffer), stdout: &stdout, stderr: &stderr}), stderr.String())
	var told struct{ Sheets []map[string]any }
	require.NoError(t, json.Unmarshal(stdout.Bytes(), &told))
	require.Len(t, told.Sheets, 1)
	require.Zero(t, run(context.Background(), []string{"build", "--help"}, console{stdin: new(bytes.Buffer), stdout: &help, stderr: &stderr}))
	for _, a := range artefacts {
		require.NotEmpty(t, a.kind)
		require.NotNil(t, a.write, a.kind)
		require.NotEqual(t, a.about == "", a.asked == nil, "%s: either --also asks for it or a flag does", a.kind)
		name := filepath.Join(folder, "line."+a.kind)
		data, err := os.ReadFile(name)
		require.NoError(t, err, "%s is written", a.kind)
		require.NotEmpty(t, data, a.kind)
		require.Regexp(t, staleName(), "."+a.kind)
		if a.about != "" {
			require.Contains(t, help.String(), a.kind+": "+a.about)
			require.Contains(t, furtherKinds(), a.kind)
		}
		if !a.late {
			require.Equal(t, filepath.ToSlash(name), told.Sheets[0][a.kind])
		}
		if a.kind == "png" {
			im, err := png.Decode(bytes.NewReader(data))
			require.NoError(t, err)
			require.Equal(t, 640, im.Bounds().Dx())
		}
	}
}
