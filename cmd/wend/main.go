// Command wend turns programs that draw one continuous line into checked
// pictures and machine instructions. Each command is one file of this folder,
// a thin layer over the packages.
package main

import (
	"os"
	"runtime"
	"runtime/debug"
	"time"

	"golang.org/x/term"

	"wend/runtime/link"
)

func main() {
	if os.Getenv("GOGC") == "" {
		boundGarbage()
	}
	ctx, end := untilStopped()
	code := run(ctx, os.Args[1:], console{
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
	})
	end.asTold()
	os.Exit(code)
}

// boundGarbage says when garbage is collected: first when the heap comes to 16 MB,
// which most runs never do, and from then on at more than half of what is in use.
// A drawing lives in a few large arrays: letting garbage grow to their size would
// double the memory and save next to no time.
func boundGarbage() {
	debug.SetGCPercent(400) // of the 4 MB that an empty heap counts as (package runtime)
	first := new([64]byte)  // in use until the first collection
	runtime.AddCleanup(first, func(percent int) { debug.SetGCPercent(percent) }, 60)
}
