package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Every example goes the whole way: through the checks, the gate and the link
// to the simulated machine.
func TestEveryExampleIsDrawnOnTheSimulatedMachine(t *testing.T) {
	// Pictures are written beside them.
	folder := t.TempDir()
	require.NoError(t, os.CopyFS(folder, os.DirFS("../../examples")))
	names, err := filepath.Glob(filepath.Join(folder, "*.wend"))
	require.NoError(t, err)
	require.NotEmpty(t, names)
	for _, name := range names {
		t.Run(filepath.Base(name), func(t *testing.T) {
			t.Parallel()
			var stdout, stderr bytes.Buffer
			code := run(context.Background(), []string{"send", name, "--port", "sim", "--armed", "--fast", "--json"}, console{
				stdout: &stdout, stderr: &stderr,
				environment: func(string) string { return "" },
				terminal:    func(int) bool { return false },
				columns:     func() int { return 0 },
				now:         time.Now,
			})
			require.Zero(t, code, stderr.String())
			var sent sentJSON
			require.NoError(t, json.Unmarshal(stdout.Bytes(), &sent))
			require.True(t, sent.OK && sent.Complete)
			require.Zero(t, sent.Mended)
			require.Zero(t, sent.Starved)
			require.NotEmpty(t, sent.Pictures)
			for _, picture := range sent.Pictures {
				require.FileExists(t, picture)
			}
		})
	}
}
