// Command wend turns programs that draw one continuous line into checked
// pictures and machine instructions. Each command is one file of this folder,
// a thin layer over the packages.
package main

import (
	"context"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"
	"time"

	"golang.org/x/term"

	"wend/runtime/link"
)

func main() {
	if os.Getenv("GOGC") == "" {
		// A drawing lives in a few large arrays: letting garbage grow to their
		// size would double the memory and save next to no time.
		debug.SetGCPercent(60)
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	os.Exit(run(ctx, os.Args[1:], console{
		stdin: os.Stdin, stdout: os.Stdout, stderr: os.Stderr,
		environment: os.Getenv,
		terminal:    func(fd int) bool { return term.IsTerminal(fd) },
		columns: func() int {
			width, _, err := term.GetSize(int(os.Stderr.Fd()))
			if err != nil {
				return 0
			}
			return width
		},
		window: func() (columns, rows int) {
			columns, rows, err := term.GetSize(int(os.Stdout.Fd()))
			if err != nil {
				return 80, 24
			}
			return columns, rows
		},
		now:  time.Now,
		port: link.OpenPort,
	}))
}
