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

// typedAhead is how many bytes of whole lines wait at a terminal.
func typedAhead(terminal *os.File) int {
	const waiting = 0x4004667f // FIONREAD, the same on all of these systems
	n, err := unix.IoctlGetInt(int(terminal.Fd()), waiting)
	if err != nil {
		return 0
	}
	return n
}
