package tty

import (
	"os"

	"golang.org/x/sys/unix"
)

// The requests that read and change what a terminal does with what is typed.
const (
	readTermios  = unix.TCGETS
	writeTermios = unix.TCSETS
)

// dropTyped drops what was typed at a terminal and not read yet.
func dropTyped(terminal *os.File) error {
	return unix.IoctlSetInt(int(terminal.Fd()), unix.TCFLSH, unix.TCIFLUSH)
}

// typedAhead is how many bytes of whole lines wait at a terminal.
func typedAhead(terminal *os.File) int {
	n, err := unix.IoctlGetInt(int(terminal.Fd()), unix.TIOCINQ)
	if err != nil {
		return 0
	}
	return n
}
