package main

import (
	"context"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Whoever calls `wend check -` by mistake sits before a command that waits for
// a program, and must get out of it.
func TestAStopEndsACommandThatWaitsForItsInput(t *testing.T) {
	for _, args := range [][]string{{"check", "-"}, {"build", "-"}, {"format", "-"}, {"check", "--machine", "-", "a.wend"}} {
		ctx, stop := context.WithCancel(t.Context())
		reader, writer := io.Pipe()
		var said strings.Builder
		done := make(chan int)
		go func() {
			done <- run(ctx, args, console{
				stdin: reader, stdout: io.Discard, stderr: &said,
				environment: func(string) string { return "" },
				terminal:    func(int) bool { return false },
				now:         time.Now,
			})
		}()
		// Taken by the command: it is reading now.
		_, err := writer.Write([]byte(" "))
		require.NoError(t, err)
		stop()
		require.Equal(t, exitStopped, <-done, args)
		require.Equal(t, "stopped\n", said.String(), args)
		require.NoError(t, writer.Close())
	}
}
