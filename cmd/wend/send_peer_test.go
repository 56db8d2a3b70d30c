//go:build unix && peers

package main

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/machine"
)

// A board in another language, which shares nothing with the link, refuses the
// first line that moves and answers late: the drawing is stopped, goes on from
// where the line was left, comes to every corner, and ends by saying what stays
// to be seen.
func TestABoardInAnotherLanguageIsDrawnOnInSpiteOfARefusedLine(t *testing.T) {
	t.Parallel()
	python, err := exec.LookPath("python3")
	require.NoError(t, err, "this test drives a board that is written in Python")
	folder := t.TempDir()
	profile := machine.DeskToy()
	profile.Name, profile.Calibrated, profile.BuiltIn = "peer", true, false
	profile.X.SlackMM, profile.Y.SlackMM = 0, 0
	write := func(name, text string) {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(text), 0o600))
	}
	write("peer.toml", string(machine.Marshal(profile)))
	write("corner.wend", "ahead 12; turn 120; ahead 10; turn -100; ahead 8\n")
	script, err := filepath.Abs("../../testdata/peers/board.py")
	require.NoError(t, err)
	board := exec.Command(python, script, filepath.Join(folder, "trace"), "--refuse", "0", "--late", "0.3")
	out, err := board.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, board.Start())
	defer func() {
		board.Process.Kill() //nolint:errcheck // it runs until then
		board.Wait()         //nolint:errcheck // it was killed
	}()
	line, err := bufio.NewReader(out).ReadString('\n')
	require.NoError(t, err)
	port := strings.TrimSpace(strings.TrimPrefix(line, "board "))
	said, err := wendProcess(t, folder, "machine", "here", "60", "40", "--machine", "peer.toml").CombinedOutput()
	require.NoError(t, err, string(said))
	send := func(more ...string) (int, string) {
		cmd := wendProcess(t, folder, append([]string{"send", "corner.wend", "--machine", "peer.toml", "--port", port, "--armed"}, more...)...)
		said, _ := cmd.CombinedOutput()
		return cmd.ProcessState.ExitCode(), string(said)
	}
	code, first := send()
	require.Equal(t, exitMachine, code, first)
	require.Contains(t, first, "--resume` goes on")
	code, second := send("--resume")
	require.Equal(t, exitMachine, code, second)
	require.Contains(t, second, "the stylus is led back first to where the line was left, about (60.0, 40.0)")
	require.Contains(t, second, "the drawing is complete, with a stroke of up to")
	trace, err := os.ReadFile(filepath.Join(folder, "trace"))
	require.NoError(t, err)
	// The first corner, which was left out at first: 12 mm right of the start.
	require.Contains(t, string(trace), fmt.Sprintf("%.4f %.4f\n", 77.0, 45.0))
}
