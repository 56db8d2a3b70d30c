//go:build unix && peers

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
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
	"wend/runtime/machine"
)

// Run with -peers 150 for the whole campaign; each drawing takes some seconds of
// real time.
var peerDrawings = flag.Int("peers", 4, "how many seeded drawings are sent to a board in another language")

// peerBoard is a board in another language, which shares nothing with the link.
type peerBoard struct {
	t      *testing.T
	folder string
	port   string
}

// newPeerBoard starts a board with some faults beside a drawing and its machine;
// the stylus stands at (60, 40).
func newPeerBoard(t *testing.T, program string, faults ...string) peerBoard {
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
	write("corner.wend", program)
	script, err := filepath.Abs("../../testdata/peers/board.py")
	require.NoError(t, err)
	board := exec.Command(python, append([]string{script, filepath.Join(folder, "trace")}, faults...)...)
	out, err := board.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, board.Start())
	t.Cleanup(func() {
		board.Process.Kill() //nolint:errcheck // it runs until then
		board.Wait()         //nolint:errcheck // it was killed
	})
	line, err := bufio.NewReader(out).ReadString('\n')
	require.NoError(t, err)
	said, err := wendProcess(t, folder, "machine", "here", "60", "40", "--machine", "peer.toml").CombinedOutput()
	require.NoError(t, err, string(said))
	return peerBoard{t, folder, strings.TrimSpace(strings.TrimPrefix(line, "board "))}
}

// send draws on it, and gives the exit code and what was said.
func (b peerBoard) send(more ...string) (int, string) {
	cmd := wendProcess(b.t, b.folder, append([]string{"send", "corner.wend", "--machine", "peer.toml", "--port", b.port, "--armed"}, more...)...)
	said, _ := cmd.CombinedOutput()
	return cmd.ProcessState.ExitCode(), string(said)
}

// trace is where its motors went, in machine mm.
func (b peerBoard) trace() []geom.Point {
	data, err := os.ReadFile(filepath.Join(b.folder, "trace"))
	require.NoError(b.t, err)
	line := []geom.Point{{X: 65, Y: 45}}
	for text := range strings.Lines(string(data)) {
		var p geom.Point
		_, err := fmt.Sscan(text, &p.X, &p.Y)
		require.NoError(b.t, err)
		line = append(line, p)
	}
	return line
}

// A board in another language refuses the first line that moves and answers late:
// the drawing is stopped, goes on from where the line was left, comes to every
// corner, and ends by saying what stays to be seen.
func TestABoardInAnotherLanguageIsDrawnOnInSpiteOfARefusedLine(t *testing.T) {
	t.Parallel()
	b := newPeerBoard(t, "ahead 12; turn 120; ahead 10; turn -100; ahead 8\n", "--refuse", "0", "--late", "0.3")
	code, first := b.send()
	require.Equal(t, exitMachine, code, first)
	require.Contains(t, first, "--resume` goes on")
	code, second := b.send("--resume")
	require.Equal(t, exitMachine, code, second)
	require.Contains(t, second, "the stylus is led back first to where the line was left, about (60.0, 40.0)")
	require.Contains(t, second, "the drawing is complete, with a stroke of up to")
	// The first corner, which was left out at first: 12 mm right of the start.
	require.Contains(t, b.trace(), geom.Point{X: 77, Y: 45})
}

// A board in another language refuses lines, loses and doubles answers, and is
// late: a drawing that ends with 0 is the planned line, and one that ends with a
// mark is whole and no farther off than the mark says.
func TestNoDrawingOnABoardInAnotherLanguageIsFinishedAndWrong(t *testing.T) {
	t.Parallel()
	const corners = 12
	var program strings.Builder
	plan, heading := []geom.Point{{X: 65, Y: 45}}, 0.0
	ahead := func(mm, turn float64) {
		fmt.Fprintf(&program, "ahead %g; turn %g\n", mm, turn)
		sin, cos := math.Sincos(heading)
		plan = append(plan, plan[len(plan)-1].Add(geom.Point{X: cos * mm, Y: sin * mm}))
		heading += turn * math.Pi / 180
	}
	for range corners {
		ahead(3, 120)
		ahead(2, -100)
	}
	p := machine.DeskToy()
	allowed := p.Drawing.ToleranceMM + math.Hypot(1/p.StepsPerMM().X, 1/p.StepsPerMM().Y)
	mark := regexp.MustCompile(`the drawing is complete, with a stroke of up to ([\d.]+) mm`)
	for seed := range *peerDrawings {
		t.Run(strconv.Itoa(seed), func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewPCG(uint64(seed), 61))
			some := func(most int) string {
				var lines []string
				for range r.IntN(most + 1) {
					lines = append(lines, strconv.Itoa(r.IntN(2*corners)))
				}
				return strings.Join(lines, ",")
			}
			faults := []string{"--refuse", some(3), "--lose", some(1), "--double", some(1), "--late", fmt.Sprint(0.2 * float64(seed%3))}
			b := newPeerBoard(t, program.String(), faults...)
			code, said := b.send()
			for again := 0; code == exitMachine && strings.Contains(said, "--resume` goes on") && again < 8; again++ {
				code, said = b.send("--resume")
			}
			told, complete := 0.0, code == exitDone
			if found := mark.FindStringSubmatch(said); found != nil {
				complete = true
				var err error
				told, err = strconv.ParseFloat(found[1], 64)
				require.NoError(t, err)
			}
			if !complete {
				require.Equal(t, exitMachine, code, said)
				return
			}
			trace := b.trace()
			require.LessOrEqual(t, farFrom(trace, plan), told+allowed, "%v\n%s", faults, said)
			require.LessOrEqual(t, farFrom(plan, trace), allowed, "%v\n%s", faults, said)
		})
	}
}

// farFrom is how far places on a line, a tenth of a mm apart, are from another line
// at most.
func farFrom(line, other []geom.Point) float64 {
	most := 0.0
	for i, a := range line {
		b := line[min(i+1, len(line)-1)]
		pieces := max(1, int(a.Distance(b)*10))
		for k := range pieces {
			p, least := a.Mix(b, float64(k)/float64(pieces)), math.Inf(1)
			for j, from := range other {
				least = min(least, geom.SegmentDistance(from, other[min(j+1, len(other)-1)], p))
			}
			most = max(most, least)
		}
	}
	return most
}
