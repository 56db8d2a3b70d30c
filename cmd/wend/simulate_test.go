//go:build unix

package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"wend/runtime/calibrate"
	"wend/runtime/machine"
)

// Any serial client: it opens the port by its name, waits for the greeting,
// and sends line by line.
func TestASerialClientDrawsOnTheSimulatedMachine(t *testing.T) {
	ctx, stop := context.WithTimeout(context.Background(), 20*time.Second)
	defer stop()
	picture := filepath.Join(t.TempDir(), "drawn.png")
	read, write := io.Pipe()
	var stderr bytes.Buffer
	ended := make(chan int, 1)
	go func() {
		ended <- run(ctx, []string{"simulate", "--eraser", "--picture", picture}, console{
			stdout: write, stderr: &stderr,
			environment: func(string) string { return "" },
			terminal:    func(int) bool { return false },
			columns:     func() int { return 0 },
		})
		write.Close()
	}()
	said := bufio.NewScanner(read)
	require.True(t, said.Scan())
	name, found := strings.CutPrefix(said.Text(), "board ")
	require.True(t, found, said.Text())
	require.True(t, said.Scan())
	eraser, found := strings.CutPrefix(said.Text(), "eraser ")
	require.True(t, found, said.Text())

	port, err := os.OpenFile(name, os.O_RDWR, 0)
	require.NoError(t, err)
	defer port.Close()
	heard := bufio.NewReader(port)
	until := func(r *bufio.Reader, text string) {
		for {
			line, err := r.ReadString('\n')
			require.NoError(t, err)
			if strings.Contains(line, text) {
				return
			}
		}
	}
	until(heard, "simulated]")
	for _, line := range []string{"G21 G90", "G92 X5 Y5", "G1 X8 F3000", "G1 X-2"} {
		_, err := port.WriteString(line + "\n")
		require.NoError(t, err)
		until(heard, "ok")
	}
	for moving := true; moving; {
		_, err := port.WriteString("?")
		require.NoError(t, err)
		line, err := heard.ReadString('>')
		require.NoError(t, err)
		moving = !strings.Contains(line, "<Idle")
	}
	board, err := os.OpenFile(eraser, os.O_RDWR, 0)
	require.NoError(t, err)
	defer board.Close()
	_, err = board.WriteString("ERASE")
	require.NoError(t, err)
	until(bufio.NewReader(board), "DONE")

	stop()
	rest, err := io.ReadAll(read)
	require.NoError(t, err)
	require.Zero(t, <-ended, stderr.String())
	require.Contains(t, string(rest), "on 2 sheets")
	require.Contains(t, string(rest), "ran into the left wall")
	require.FileExists(t, picture)
	require.FileExists(t, strings.TrimSuffix(picture, ".png")+".sheet-1.png")
}

// client is any serial client: it opens a port by its name and sends line by
// line.
type client struct {
	t     *testing.T
	port  *os.File
	heard *bufio.Reader
}

func clientOf(t *testing.T, name string) *client {
	t.Helper()
	port, err := os.OpenFile(name, os.O_RDWR, 0)
	require.NoError(t, err)
	t.Cleanup(func() { port.Close() })
	c := &client{t, port, bufio.NewReader(port)}
	c.sends("", "simulated]\r\n") // before its greeting a board hears nothing
	return c
}

// sends sends a text and gives everything up to an answer, within a time that
// is long for a wire.
func (c *client) sends(text, answer string) string {
	c.t.Helper()
	heard := make(chan string, 1)
	go func() {
		var all strings.Builder
		for !strings.Contains(all.String(), answer) {
			b, err := c.heard.ReadByte()
			if err != nil {
				break
			}
			all.WriteByte(b)
		}
		heard <- all.String()
	}()
	_, err := c.port.WriteString(text)
	require.NoError(c.t, err)
	select {
	case all := <-heard:
		require.Contains(c.t, all, answer)
		return all
	case <-time.After(10 * time.Second):
		require.FailNow(c.t, "the board did not answer", "%q wants %q", text, answer)
		return ""
	}
}

// Somebody types beside the machine while a client draws: the board answers
// also while a line is half typed, and the picture follows by itself.
func TestAPersonStandsBesideTheSimulatedMachine(t *testing.T) {
	folder := t.TempDir()
	x := open(t, 100, 40, folder, nil, "simulate", "--seed", "7", "--board-steps", "80,100", "--board-speed", "40,50", "--board-reversed", "y", "--picture", "bench.png")
	x.sees("simulate>")
	screen := x.text()
	_, name, _ := strings.Cut(screen, "board ")
	name, _, _ = strings.Cut(name, "\n")
	board := clientOf(t, strings.TrimSpace(name))
	set := board.sends("$$\n", "ok")
	for _, setting := range []string{"$100=80.000", "$101=100.000", "$110=2400.000", "$111=3000.000", "$3=2"} {
		require.Contains(t, set, setting)
	}

	picture := filepath.Join(folder, "bench.png")
	blank, err := os.ReadFile(picture)
	require.NoError(t, err)
	x.types("bring 20 1")
	board.sends("G21 G90\nG92 X70 Y50\nG1 X90 F1800\n", "ok\r\nok\r\nok")
	require.Eventually(t, func() bool {
		now, err := os.ReadFile(picture)
		return err == nil && string(now) != string(blank)
	}, patience, 20*time.Millisecond, "the picture stays blank")
	require.NotContains(t, x.text(), "stylus stands")
	for !strings.Contains(board.sends("?", ">"), "Idle") {
	}
	x.types("5\r")
	x.sees("the stylus stands at (20.00, 15.00)")
	x.types("turn x -60\r")
	x.sees("the left wall holds it: the stylus stands at (-5.00, 15.00)")
	x.types("wip\t\r")
	x.sees("wiped; what was drawn is kept in bench.sheet-1.png")
	x.types("\x1b[A\x1b[A\r") // the order before the last
	x.until("the wall again", func(screen string) bool { return strings.Count(screen, "the left wall holds it") == 2 })
	drawn, err := os.ReadFile(filepath.Join(folder, "bench.sheet-1.png"))
	require.NoError(t, err)
	require.NotEqual(t, blank, drawn)
	board.sends("?", "Idle")
	x.types("quit\r")
	require.Equal(t, exitDone, x.ends())
	x.sees("on 2 sheets")
	x.sees("ran into the left wall")
	h := hide(machine.DeskToy(), calibrate.Parts(), 7)
	x.sees(fmt.Sprintf("x slack    %.2f mm", h.setup.Mechanics.SlackMM[0]))
	x.sees("wrote bench.sheet-1.png")
}

func TestCtrlCAndTheEndOfWhatIsTypedEndTheSimulatedMachine(t *testing.T) {
	for name, key := range map[string]string{"Ctrl-C": "\x03", "Ctrl-D": "\x04"} {
		t.Run(name, func(t *testing.T) {
			x := open(t, 100, 40, t.TempDir(), nil, "simulate")
			x.sees("simulate>")
			x.types(key)
			require.Equal(t, exitDone, x.ends())
			x.sees("touched no wall")
		})
	}
}

// Orders come from a pipe too, and the machine runs on when that ends.
func TestOrdersFromAPipeAreObeyedAndItsEndEndsNothing(t *testing.T) {
	folder := t.TempDir()
	sim := wendProcess(t, folder, "simulate", "--seed", "7", "--json")
	in, err := sim.StdinPipe()
	require.NoError(t, err)
	out, err := sim.StdoutPipe()
	require.NoError(t, err)
	var said bytes.Buffer
	sim.Stderr = &said
	require.NoError(t, sim.Start())
	lines := bufio.NewReader(out)
	first, err := lines.ReadString('\n')
	require.NoError(t, err)
	board := clientOf(t, strings.TrimSpace(strings.TrimPrefix(first, "board ")))
	_, err = io.WriteString(in, "bring 30, 40\nwhere\nturn y\nbring 30 400\npicture now\nwpie\n")
	require.NoError(t, err)
	require.NoError(t, in.Close())
	board.sends("$X\n", "ok")
	time.Sleep(50 * time.Millisecond)
	board.sends("$X\n", "ok")
	require.NoError(t, sim.Process.Signal(os.Interrupt))
	rest, err := io.ReadAll(lines)
	require.NoError(t, err)
	require.NoError(t, sim.Wait(), said.String())
	for _, text := range []string{
		"the stylus stands at (30.00, 40.00); the board",
		"`turn` takes a knob and how many mm of string",
		"(30, 400) is behind a wall",
		"`picture` stands alone",
		"did you mean `wipe`?",
	} {
		require.Contains(t, said.String(), text)
	}
	require.NotContains(t, said.String(), "simulate>")
	var told simulatedJSON
	require.NoError(t, json.Unmarshal(rest, &told))
	require.Equal(t, []string{"simulated.png"}, told.Pictures)
	require.EqualValues(t, 7, told.Hidden.Seed)
	require.Len(t, told.Hidden.Figures, 5)
}
