package tty

import (
	"os"

	"golang.org/x/sys/windows"
)

// dropTyped drops what was typed at a console and not read yet.
func dropTyped(terminal *os.File) error {
	return windows.FlushConsoleInputBuffer(windows.Handle(terminal.Fd()))
}
