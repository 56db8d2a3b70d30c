//go:build unix

package main

import (
	"bufio"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"wend/runtime/machine"
)

// Run with -processes 12 for the whole campaign.
var processRuns = flag.Int("processes", 2, "how often a sending process is killed or told to end while it draws")

// wendProcess is this very binary, called as `wend`.
func wendProcess(t *testing.T, folder string, args ...string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	require.NoError(t, err)
	cmd := exec.Command(self)
	cmd.Args = append([]string{"wend"}, args...)
	cmd.Dir = folder
	cmd.Env = append(os.Environ(), "XDG_STATE_HOME="+filepath.Join(folder, "state"), "NO_COLOR=1")
	return cmd
}

// A machine of its own process on a pseudo-terminal, a sending process that is
// killed without a word while the motors turn, and another one that goes on.
func TestADrawingSurvivesTheEndOfItsProcess(t *testing.T) {
	for k := range *processRuns {
		t.Run(fmt.Sprint(k), func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewPCG(uint64(k), 11))
			folder := t.TempDir()
			profile := machine.DeskToy()
			profile.Name, profile.Calibrated, profile.BuiltIn = "bench toy", true, false
			write := func(name, text string) {
				require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(text), 0o600))
			}
			write("bench.toml", string(machine.Marshal(profile)))
			write("rows.wend", "ahead 100; turn 90; ahead 4; turn 90; ahead 100\n")

			sim := wendProcess(t, folder, "simulate", "--machine", "bench.toml", "--json")
			out, err := sim.StdoutPipe()
			require.NoError(t, err)
			require.NoError(t, sim.Start())
			defer sim.Process.Kill() //nolint:errcheck // it has ended when all went well
			said := bufio.NewReader(out)
			line, err := said.ReadString('\n')
			require.NoError(t, err)
			port, found := strings.CutPrefix(strings.TrimSpace(line), "board ")
			require.True(t, found, line)

			here, err := wendProcess(t, folder, "machine", "here", "0", "0", "--machine", "bench.toml").CombinedOutput()
			require.NoError(t, err, string(here))
			send := func(more ...string) *exec.Cmd {
				return wendProcess(t, folder, append([]string{"send", "rows.wend", "--machine", "bench.toml", "--port", port, "--armed"}, more...)...)
			}
			first := send()
			require.NoError(t, first.Start())
			require.Eventually(t, func() bool {
				names, _ := filepath.Glob(filepath.Join(folder, "state", "wend", "*.journal"))
				return len(names) == 1
			}, 20*time.Second, 5*time.Millisecond)
			time.Sleep(time.Duration(r.IntN(3000)) * time.Millisecond)
			if k%2 == 0 {
				require.NoError(t, first.Process.Kill())
				require.Error(t, first.Wait())
			} else {
				// Told to end, it stops on the line first.
				told := []syscall.Signal{syscall.SIGINT, syscall.SIGTERM, syscall.SIGHUP}[k/2%3]
				tell(t, first, told)
				endedAsTold(t, first, told)
				where, err := wendProcess(t, folder, "machine", "here", "--machine", "bench.toml").CombinedOutput()
				require.NoError(t, err)
				require.Contains(t, string(where), "assumed at")
			}

			second, err := send("--resume").CombinedOutput()
			require.NoError(t, err, string(second))
			require.Contains(t, string(second), "drawn")
			third, err := send("--resume").CombinedOutput()
			require.Error(t, err)
			require.Contains(t, string(third), "no drawing to go on with")

			drew := simulated(t, sim, said)
			require.Empty(t, drew.Contacts)
			require.Len(t, drew.Pictures, 1)
			// Two rows and their link, after the stroke that takes up the slack of
			// both axes: none is missing, and none drawn twice.
			slack := math.Hypot(profile.X.SlackMM, profile.Y.SlackMM)
			require.InDelta(t, 204+slack, drew.LineMM, 0.5)
		})
	}
}
