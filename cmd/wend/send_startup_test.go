//go:build unix

package main

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/require"

	"wend/runtime/machine"
	"wend/runtime/simulator"
)

// rowsAt is a folder with a calibrated profile and some programs.
func rowsAt(t *testing.T, change func(*machine.Profile), programs map[string]string) (string, *machine.Profile) {
	t.Helper()
	folder, profile := t.TempDir(), machine.DeskToy()
	profile.Name, profile.Calibrated, profile.BuiltIn = "bench toy", true, false
	if change != nil {
		change(profile)
	}
	require.NoError(t, os.WriteFile(filepath.Join(folder, "bench.toml"), machine.Marshal(profile), 0o600))
	for name, text := range programs {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(text), 0o600))
	}
	return folder, profile
}

// eventuallyThere waits for a file that matches.
func eventuallyThere(t *testing.T, parts ...string) {
	t.Helper()
	require.Eventually(t, func() bool {
		names, _ := filepath.Glob(filepath.Join(parts...))
		return len(names) > 0
	}, 20*time.Second, 5*time.Millisecond)
}

// A board that never answers: while it is waited for, another process that keeps
// its state elsewhere, and so knows nothing of the first, does not get the port,
// whoever runs it; and the signals that end a process end the waiting.
func TestAPortBelongsToOneProcessAndWaitingForItCanBeEnded(t *testing.T) {
	t.Parallel()
	folder, _ := rowsAt(t, nil, map[string]string{"row.wend": "ahead 10\n"})
	for k, sig := range []syscall.Signal{syscall.SIGTERM, syscall.SIGINT, syscall.SIGHUP} {
		near, far, err := pty.Open()
		require.NoError(t, err)
		defer near.Close() //nolint:errcheck // nothing is written to it
		defer far.Close()  //nolint:errcheck // likewise
		args := []string{"send", "row.wend", "--machine", "bench.toml", "--port", far.Name(), "--armed"}
		first := wendProcess(t, folder, args...)
		var out strings.Builder
		first.Stdout, first.Stderr = &out, &out
		require.NoError(t, first.Start())
		// It has the port once the board is asked something.
		require.NoError(t, near.SetReadDeadline(time.Now().Add(20*time.Second)))
		_, err = near.Read(make([]byte, 256))
		require.NoError(t, err)
		if k == 0 {
			second := wendProcess(t, folder, args...)
			second.Env = append(second.Env, "XDG_STATE_HOME="+filepath.Join(folder, "elsewhere"))
			said, err := second.CombinedOutput()
			require.Error(t, err)
			require.Equal(t, exitMachine, second.ProcessState.ExitCode(), string(said))
			require.Contains(t, string(said), "another program has the port")
			require.Contains(t, string(said), far.Name())
		}
		tell(t, first, sig)
		endedAsTold(t, first, sig)
		require.NotContains(t, out.String(), "cannot be read")
	}
}

// A list whose process is killed in its first drawing goes on there, and then
// with the others, the sheet wiped in between: each is drawn once and whole.
func TestAListThatWasKilledGoesOnWhereItStood(t *testing.T) {
	t.Parallel()
	folder, profile := rowsAt(t, nil, map[string]string{
		"a.wend": "ahead 70; turn 90; ahead 3; turn 90; ahead 70\n", "b.wend": "ahead 30\n", "c.wend": "turn 90; ahead 20\n",
	})
	sim, said := simulateProcess(t, folder, "--machine", "bench.toml", "--eraser", "--json")
	board, eraser := portSaid(t, said, "board"), portSaid(t, said, "eraser")
	profile.Eraser = machine.Eraser{Kind: machine.EraserSerial, Port: eraser, Baud: 115200, Send: simulator.EraserSend, Done: simulator.EraserDone, TimeoutS: 60, Rounds: 1}

	require.NoError(t, os.WriteFile(filepath.Join(folder, "bench.toml"), machine.Marshal(profile), 0o600))
	here, err := wendProcess(t, folder, "machine", "here", "10", "10", "--machine", "bench.toml").CombinedOutput()
	require.NoError(t, err, string(here))
	list := []string{"send", "a.wend", "b.wend", "c.wend", "--machine", "bench.toml", "--port", board, "--armed"}
	first := wendProcess(t, folder, list...)
	require.NoError(t, first.Start())
	eventuallyThere(t, folder, "state", "wend", "*.journal")
	time.Sleep(time.Second)
	require.NoError(t, first.Process.Kill())
	require.Error(t, first.Wait())

	other, err := wendProcess(t, folder, "send", "b.wend", "--machine", "bench.toml", "--port", board, "--armed", "--resume").CombinedOutput()
	require.Error(t, err)
	require.Contains(t, string(other), "a.wend, of a list of 3")
	rest, err := wendProcess(t, folder, append(list, "--resume")...).CombinedOutput()
	require.NoError(t, err, string(rest))
	for _, name := range []string{"a.wend", "b.wend", "c.wend"} {
		require.Equal(t, 1, strings.Count(string(rest), name+" drawn: 1 sheet"), string(rest))
	}
	again, err := wendProcess(t, folder, append(list, "--resume")...).CombinedOutput()
	require.Error(t, err)
	require.Contains(t, string(again), "no drawing to go on with")

	drew := simulated(t, sim, said)
	require.Empty(t, drew.Contacts)
	require.Len(t, drew.Pictures, 3)
	// With the strokes that take up slack, at the beginning and between.
	require.InDelta(t, 143+30+20, drew.LineMM, 4*profile.X.SlackMM+4*profile.Y.SlackMM+0.5)
}
