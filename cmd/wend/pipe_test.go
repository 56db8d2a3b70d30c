//go:build unix

package main

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// checked runs `wend check` of a file.
func checked(t *testing.T, name string) (code int, said string) {
	t.Helper()
	var out strings.Builder
	code = run(context.Background(), []string{"check", name}, console{
		stdout: &out, stderr: &out,
		environment: func(string) string { return "" },
		terminal:    func(int) bool { return false },
		now:         time.Now,
	})
	return code, out.String()
}

func TestAPipeIsReadOnceSomebodyWritesToIt(t *testing.T) {
	t.Parallel()
	name := filepath.Join(t.TempDir(), "leaf.wend")
	require.NoError(t, syscall.Mkfifo(name, 0o600))
	go func() {
		time.Sleep(100 * time.Millisecond)
		writer, err := os.OpenFile(name, os.O_WRONLY, 0)
		if err == nil {
			writer.WriteString("ahead 20\n") //nolint:errcheck // the reader says what came of it
			time.Sleep(50 * time.Millisecond)
			writer.WriteString("turn 90\nahead 5\n") //nolint:errcheck // likewise
			writer.Close()
		}
	}()
	code, said := checked(t, name)
	require.Zero(t, code, said)
	require.Contains(t, said, "no errors")
}

func TestAPipeThatNobodyWritesToIsNotWaitedForForever(t *testing.T) {
	t.Parallel()
	name := filepath.Join(t.TempDir(), "leaf.wend")
	require.NoError(t, syscall.Mkfifo(name, 0o600))
	code, said := checked(t, name)
	require.Equal(t, exitErrors, code)
	require.Contains(t, said, "nobody writes to the pipe")
}

// The drawing is judged first and drawn then, of one reading.
func TestADrawingThatComesThroughAPipeIsSent(t *testing.T) {
	t.Parallel()
	name := filepath.Join(t.TempDir(), "leaf.wend")
	require.NoError(t, syscall.Mkfifo(name, 0o600))
	go os.WriteFile(name, []byte("ahead 20\n"), 0o600) //nolint:errcheck // the reader says what came of it
	var out strings.Builder
	code := run(context.Background(), []string{"send", name, "--port", "sim", "--fast", "--armed"}, console{
		stdout: &out, stderr: &out, stdin: strings.NewReader(""),
		environment: func(string) string { return "" },
		terminal:    func(int) bool { return false },
		columns:     func() int { return 0 },
		now:         time.Now,
	})
	require.Zero(t, code, out.String())
}
