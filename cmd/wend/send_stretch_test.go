//go:build unix

package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
	"wend/runtime/machine"
)

// simulateProcess is a simulated machine in a process of its own, at the end of
// which the test ends it, and what it says line by line.
func simulateProcess(t *testing.T, folder string, args ...string) (*exec.Cmd, *bufio.Reader) {
	t.Helper()
	sim := wendProcess(t, folder, append([]string{"simulate"}, args...)...)
	out, err := sim.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, sim.Start())
	t.Cleanup(func() { sim.Process.Kill() }) //nolint:errcheck // it has ended when all went well
	return sim, bufio.NewReader(out)
}

// portSaid is the port that a simulated machine says, such as "board /dev/pts/3".
func portSaid(t *testing.T, said *bufio.Reader, what string) string {
	t.Helper()
	line, err := said.ReadString('\n')
	require.NoError(t, err)
	port, found := strings.CutPrefix(strings.TrimSpace(line), what+" ")
	require.True(t, found, line)
	return port
}

// simulated ends a simulated machine, and gives what it says then.
func simulated(t *testing.T, sim *exec.Cmd, said io.Reader) (drew simulatedJSON) {
	t.Helper()
	require.NoError(t, sim.Process.Signal(syscall.SIGINT))
	text, err := io.ReadAll(said)
	require.NoError(t, err)
	require.NoError(t, sim.Wait())
	require.NoError(t, json.Unmarshal(text, &drew), string(text))
	return drew
}

// After a stop without braking a picture shows where the stylus may stand. A
// place that somebody says then, near several rows, is never taken for one of
// them in silence.
func TestAfterAHardStopSomebodySaysOnWhichRowTheStylusStands(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	profile := machine.DeskToy()
	profile.Name, profile.Calibrated, profile.BuiltIn = "bench toy", true, false
	require.NoError(t, os.WriteFile(filepath.Join(folder, "bench.toml"), machine.Marshal(profile), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "rows.wend"),
		[]byte("loop 8 { ahead 8; turn 90; ahead 0.7; turn 90; ahead 8; turn -90; ahead 0.7; turn -90 }\n"), 0o600))
	_, said := simulateProcess(t, folder, "--machine", "bench.toml", "--json")
	port := portSaid(t, said, "board")
	run := func(args ...string) (int, string) {
		cmd := wendProcess(t, folder, append(args, "--machine", "bench.toml")...)
		said, _ := cmd.CombinedOutput() // the code says it
		return cmd.ProcessState.ExitCode(), string(said)
	}
	code, text := run("machine", "here", "60", "40")
	require.Zero(t, code, text)
	first := wendProcess(t, folder, "send", "rows.wend", "--machine", "bench.toml", "--port", port, "--armed")
	var out strings.Builder
	first.Stdout, first.Stderr = &out, &out
	require.NoError(t, first.Start())
	require.Eventually(t, func() bool {
		names, _ := filepath.Glob(filepath.Join(folder, "state", "wend", "*.journal"))
		return len(names) == 1
	}, 20*time.Second, 5*time.Millisecond)
	time.Sleep(1500 * time.Millisecond)
	for range 2 {
		require.NoError(t, first.Process.Signal(syscall.SIGINT))
		time.Sleep(20 * time.Millisecond)
	}
	require.Error(t, first.Wait())
	require.Equal(t, exitStopped, first.ProcessState.ExitCode(), out.String())
	require.Contains(t, out.String(), "nobody knows where the stylus is now")
	require.Contains(t, out.String(), "rows.stopped.png shows the stretch of the line on which the stylus may stand")
	picture := filepath.Join(folder, "rows.stopped.png")
	require.FileExists(t, picture)
	require.NoError(t, os.Remove(picture))

	resume := []string{"send", "rows.wend", "--port", port, "--armed", "--resume"}
	code, text = run(resume...)
	require.Equal(t, exitMachine, code, text)
	require.FileExists(t, picture)
	between := regexp.MustCompile(`between \(([\d.]+), ([\d.]+)\) and \(([\d.]+), ([\d.]+)\)`).FindStringSubmatch(text)
	require.NotNil(t, between, text)
	var a, b geom.Point
	_, err := fmt.Sscan(strings.Join(between[1:], " "), &a.X, &a.Y, &b.X, &b.Y)
	require.NoError(t, err)

	// Between two rows: they are 0.7 mm apart.
	row := math.Floor(((a.Y+b.Y)/2 - 40) / 0.7)
	where := fmt.Sprintf("%.2f", 40+0.7*row+0.3)
	code, text = run("machine", "here", "64", where)
	require.Zero(t, code, text)
	code, text = run(resume...)
	require.Equal(t, exitMachine, code, text)
	require.Contains(t, text, "it is not plain where on the line")
	passes := regexp.MustCompile(`--resume=([\d.]+)`).FindAllStringSubmatch(text, -1)
	require.GreaterOrEqual(t, len(passes), 2, text)
	require.Contains(t, text, "which goes to the right")
	require.Contains(t, text, "which goes to the left")
	code, text = run("send", "rows.wend", "--port", port, "--armed", "--resume=here")
	require.Equal(t, exitUsage, code, text)
	require.Contains(t, text, "--resume takes mm along the line, or nothing after it, not `here`")

	// A person is asked.
	cmd := wendProcess(t, folder, "send", "rows.wend", "--machine", "bench.toml", "--port", port, "--resume")
	term := sitDown(t, cmd)
	term.sees("times near (64, ")
	term.sees("type the number of the one on which it stands")
	term.types("9\r")
	term.sees("that is none of the numbers")
	term.sees("type the number of the one on which it stands")
	term.types("2\r")
	term.sees("mm off the line: it goes on at (64.00, ")
	term.types("\x03")
	require.Error(t, cmd.Wait())
	require.Equal(t, exitStopped, cmd.ProcessState.ExitCode())

	code, text = run("machine", "here", "64", where)
	require.Zero(t, code, text)
	code, text = run(append(resume[:len(resume)-1], "--resume="+passes[0][1])...)
	require.Zero(t, code, text)
	require.Contains(t, text, "mm off the line: it goes on at (64.00, ")
	require.NoFileExists(t, picture)
}
