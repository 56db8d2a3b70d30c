//go:build unix

package main

import (
	"bufio"
	"bytes"
	"context"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
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
	require.FileExists(t, strings.TrimSuffix(picture, ".png")+".sheet-2.png")
}
