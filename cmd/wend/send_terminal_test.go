//go:build unix

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/require"
)

// person sits before a pseudo-terminal: what was shown, and keys.
type person struct {
	t     *testing.T
	tty   *os.File
	shown chan string
	text  string
}

func sitDown(t *testing.T, cmd *exec.Cmd) *person {
	cmd.Env = append(cmd.Env, "TERM=xterm")
	tty, err := pty.StartWithSize(cmd, &pty.Winsize{Rows: 40, Cols: 160})
	require.NoError(t, err)
	term := &person{t: t, tty: tty, shown: make(chan string, 100)}
	go func() {
		defer close(term.shown)
		buffer := make([]byte, 4096)
		for {
			n, err := tty.Read(buffer)
			if n > 0 {
				term.shown <- string(buffer[:n])
			}
			if err != nil {
				return
			}
		}
	}()
	return term
}

// sees waits until a text is shown, and forgets what was shown up to it.
func (term *person) sees(text string) {
	term.t.Helper()
	limit := time.After(20 * time.Second)
	for !strings.Contains(term.text, text) {
		select {
		case more, open := <-term.shown:
			if !open {
				term.t.Fatalf("it ended without %q:\n%s", text, term.text)
			}
			term.text += more
		case <-limit:
			term.t.Fatalf("%q was not shown:\n%s", text, term.text)
		}
	}
	_, term.text, _ = strings.Cut(term.text, text)
}

func (term *person) types(keys string) {
	term.t.Helper()
	_, err := term.tty.WriteString(keys)
	require.NoError(term.t, err)
}

func TestAPersonIsAskedAndHoldsAndStops(t *testing.T) {
	folder := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "row.wend"), []byte("ahead 100; turn 90; ahead 40\n"), 0o600))
	start := func(t *testing.T) (*exec.Cmd, *person) {
		cmd := wendProcess(t, folder, "send", "row.wend", "--port", "sim")
		return cmd, sitDown(t, cmd)
	}
	code := func(cmd *exec.Cmd) int {
		cmd.Wait() //nolint:errcheck // the code says it
		return cmd.ProcessState.ExitCode()
	}
	armed := func(term *person) {
		term.sees("does the stylus stand at (0.0, 0.0)")
		term.types("there\r")
		term.sees("no emergency stop")
		term.sees("to draw: 140.0 mm in 3 s")
		term.sees("type `draw`")
		term.types("draw\r")
		term.sees("space holds, s stops")
	}
	t.Run("hold and resume", func(t *testing.T) {
		t.Parallel()
		cmd, term := start(t)
		armed(term)
		term.types(" ")
		term.sees("held at (")
		term.sees("space resumes")
		term.types(" ")
		term.sees("drawn: 1 sheet; the stylus stands at (100.0, 40.0), confirmed")
		require.Equal(t, exitDone, code(cmd))
	})
	t.Run("stop", func(t *testing.T) {
		t.Parallel()
		cmd, term := start(t)
		armed(term)
		term.types("s")
		term.sees("the position is confirmed")
		require.Equal(t, exitStopped, code(cmd))
	})
	t.Run("Ctrl-C twice", func(t *testing.T) {
		t.Parallel()
		cmd, term := start(t)
		armed(term)
		term.types("\x03\x03")
		term.sees("nobody knows where the stylus is now")
		require.Equal(t, exitStopped, code(cmd))
	})
	t.Run("another word than the one asked for", func(t *testing.T) {
		t.Parallel()
		cmd, term := start(t)
		term.sees("does the stylus stand at")
		term.types("yes\r")
		term.sees("not done")
		require.Equal(t, exitStopped, code(cmd))
	})
	t.Run("what was typed ahead answers nothing", func(t *testing.T) {
		t.Parallel()
		cmd, term := start(t)
		term.types("there\rdraw\r")
		term.sees("does the stylus stand at")
		time.Sleep(100 * time.Millisecond)
		term.types("\x03")
		term.sees("not done")
		require.Equal(t, exitStopped, code(cmd))
	})
}
