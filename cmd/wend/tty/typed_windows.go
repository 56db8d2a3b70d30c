package tty

import (
	"os"

	"golang.org/x/sys/windows"
)

// dropTyped drops what was typed at a console and not read yet.
func dropTyped(terminal *os.File) error {
	return windows.FlushConsoleInputBuffer(windows.Handle(terminal.Fd()))
}

// typedAhead is how many bytes of whole lines wait at a terminal, as far as that
// can be asked: on this system it cannot.
func typedAhead(*os.File) int { return 0 }
