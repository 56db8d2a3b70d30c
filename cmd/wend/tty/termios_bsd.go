//go:build darwin || freebsd || netbsd || openbsd

package tty

import (
	"os"

	"golang.org/x/sys/unix"
)

// The requests that read and change what a terminal does with what is typed.
const (
	readTermios  = unix.TIOCGETA
	writeTermios = unix.TIOCSETA
)

// dropTyped drops what was typed at a terminal and not read yet.
func dropTyped(terminal *os.File) error {
	const input = 1 // FREAD
	return unix.IoctlSetPointerInt(int(terminal.Fd()), unix.TIOCFLUSH, input)
}
