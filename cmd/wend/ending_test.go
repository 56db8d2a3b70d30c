//go:build unix

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// longWork is a program whose instructions are too long to be made in memory.
const longWork = `let unit = 0.04 * sqrt(2)
figure dragon(order, side) {
  if order == 0 {
    ahead unit
    return
  }
  dragon order - 1, 90
  turn side
  dragon order - 1, -90
}
begin page.center
dragon 19, 90
`

// endedBy holds a process to having ended by a signal, not by an exit code.
func endedBy(t *testing.T, cmd *exec.Cmd, want syscall.Signal) {
	t.Helper()
	require.Error(t, cmd.Wait())
	status := cmd.ProcessState.Sys().(syscall.WaitStatus)
	require.True(t, status.Signaled(), "%s", cmd.ProcessState)
	require.Equal(t, want, status.Signal())
}

// endedAsTold holds a process to how it ends when it was told to: Ctrl-C has an exit
// code, and the others are what ends it.
func endedAsTold(t *testing.T, cmd *exec.Cmd, told syscall.Signal) {
	t.Helper()
	if told != syscall.SIGINT {
		endedBy(t, cmd, told)
		return
	}
	require.Error(t, cmd.Wait())
	require.Equal(t, exitStopped, cmd.ProcessState.ExitCode())
}

// halted begins a build and halts it while an output is in a file beside its place.
func halted(t *testing.T, folder string, cmd *exec.Cmd) {
	t.Helper()
	before := inFolder(t, folder)
	require.NoError(t, cmd.Start())
	require.Eventually(t, func() bool {
		return slices.ContainsFunc(inFolder(t, folder), func(name string) bool { return !slices.Contains(before, name) })
	}, 60*time.Second, time.Millisecond)
	require.NoError(t, cmd.Process.Signal(syscall.SIGSTOP))
}

// unlessHungUp runs a command as nohup does: a terminal that is closed is nothing to it.
func unlessHungUp(t *testing.T, cmd *exec.Cmd) *exec.Cmd {
	t.Helper()
	link := filepath.Join(t.TempDir(), "wend")
	require.NoError(t, os.Symlink(cmd.Path, link))
	cmd.Args = append([]string{"sh", "-c", `trap "" HUP; exec "$@"`, "sh", link}, cmd.Args[1:]...)
	cmd.Path, cmd.Err = exec.LookPath("sh")
	return cmd
}

func tell(t *testing.T, cmd *exec.Cmd, signals ...syscall.Signal) {
	t.Helper()
	for _, s := range signals {
		require.NoError(t, cmd.Process.Signal(s))
	}
}

func TestABuildThatIsToldToEndClearsUpAndEndsByThatSignal(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "long.wend"), []byte(longWork), 0o600))
	build := []string{"build", "long.wend", "--limits", "high"}
	for _, told := range []syscall.Signal{syscall.SIGTERM, syscall.SIGHUP} {
		cmd := wendProcess(t, folder, build...)
		halted(t, folder, cmd)
		tell(t, cmd, told, syscall.SIGCONT)
		endedBy(t, cmd, told)
		require.Equal(t, []string{"long.wend"}, inFolder(t, folder))
	}
	// What is to outlive its terminal does.
	cmd := unlessHungUp(t, wendProcess(t, folder, append(build, "--watch")...))
	halted(t, folder, cmd)
	tell(t, cmd, syscall.SIGHUP, syscall.SIGTERM, syscall.SIGCONT)
	endedBy(t, cmd, syscall.SIGTERM)
	require.Equal(t, []string{"long.wend"}, inFolder(t, folder))
}

func TestASiteThatIsToldToEndLeavesNothing(t *testing.T) {
	t.Parallel()
	site := filepath.Join(t.TempDir(), "site")
	cmd := wendProcess(t, ".", "open", "--export", site)
	require.NoError(t, cmd.Start())
	eventuallyThere(t, site)
	tell(t, cmd, syscall.SIGTERM)
	endedBy(t, cmd, syscall.SIGTERM)
	require.NoDirExists(t, site)
}

// What a killed process left is cleared away by the next build in that folder, and
// what a living one is writing is not, nor what only looks like it.
func TestWhatAKilledBuildLeftIsClearedAway(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	for name, text := range map[string]string{"long.wend": longWork, "short.wend": "ahead 10\n", ".wend-1.unfinished~": "mine", ".wend-mine.unfinished": "mine"} {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(text), 0o600))
	}
	require.NoError(t, os.Mkdir(filepath.Join(folder, ".wend-2.unfinished"), 0o700))
	require.NoError(t, os.Symlink("long.wend", filepath.Join(folder, ".wend-3.unfinished")))
	at := inFolder(t, folder)
	killed := wendProcess(t, folder, "build", "long.wend", "--limits", "high")
	halted(t, folder, killed)
	tell(t, killed, syscall.SIGKILL)
	endedBy(t, killed, syscall.SIGKILL)
	require.Greater(t, len(inFolder(t, folder)), len(at))

	living := wendProcess(t, folder, "build", "long.wend", "--limits", "high")
	halted(t, folder, living)
	built, err := wendProcess(t, folder, "build", "short.wend").CombinedOutput()
	require.NoError(t, err, string(built))
	require.FileExists(t, filepath.Join(folder, "short.gcode"))
	require.Len(t, inFolder(t, folder), len(at)+3, "short.png, short.gcode, and what is being written")
	tell(t, living, syscall.SIGCONT)
	require.NoError(t, living.Wait())
	for _, name := range at {
		_, err := os.Lstat(filepath.Join(folder, name))
		require.NoError(t, err)
	}
	require.Len(t, inFolder(t, folder), len(at)+4)
}
