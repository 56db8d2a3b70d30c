//go:build unix

package main

import (
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A drawing that was stopped is not overwritten by the way: the next one is refused
// until somebody says what becomes of it. Dropped, it leaves the position as it is.
func TestADrawingThatWasCutOffIsDroppedOnPurposeOnly(t *testing.T) {
	t.Parallel()
	folder, _ := rowsAt(t, nil, map[string]string{"long.wend": "ahead 100; turn 90; ahead 20\n", "short.wend": "turn 180; ahead 3\n"})
	sim, said := simulateProcess(t, folder, "--machine", "bench.toml", "--json")
	board := portSaid(t, said, "board")
	defer sim.Process.Kill() //nolint:errcheck // it draws nothing any more
	wend := func(args ...string) (string, int) {
		cmd := wendProcess(t, folder, append(args, "--machine", "bench.toml")...)
		out, _ := cmd.CombinedOutput()
		return strings.Join(strings.Fields(string(out)), " "), cmd.ProcessState.ExitCode()
	}
	out, code := wend("machine", "here", "10", "10")
	require.Zero(t, code, out)
	first := wendProcess(t, folder, "send", "long.wend", "--machine", "bench.toml", "--port", board, "--armed")
	require.NoError(t, first.Start())
	eventuallyThere(t, folder, "state", "wend", "*.journal")
	time.Sleep(1500 * time.Millisecond)
	require.NoError(t, first.Process.Signal(syscall.SIGINT))
	require.Error(t, first.Wait())
	require.Equal(t, exitStopped, first.ProcessState.ExitCode())
	where, _ := wend("machine", "here")

	out, code = wend("send", "short.wend", "--port", board, "--armed")
	require.Equal(t, exitMachine, code, out)
	require.Contains(t, out, "long.wend was cut off after ")
	require.Contains(t, out, "--abandon drops what is left of it")
	out, code = wend("send", "--abandon", "--port", board)
	require.Zero(t, code, out)
	require.Contains(t, out, "long.wend is dropped")
	still, _ := wend("machine", "here")
	require.Contains(t, where, "assumed at")
	require.Contains(t, where, firstWords(still), "the position stays")
	out, code = wend("send", "--abandon", "--port", board)
	require.Equal(t, exitMachine, code, out)
	out, code = wend("send", "short.wend", "--port", board, "--armed")
	require.Zero(t, code, out)
	require.Contains(t, out, "drawn: 1 sheet")
}

// firstWords is a text up to its first semicolon.
func firstWords(text string) string {
	before, _, _ := strings.Cut(text, ";")
	return before
}
