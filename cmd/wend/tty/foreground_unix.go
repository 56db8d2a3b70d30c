//go:build linux || darwin || freebsd || netbsd || openbsd

package tty

import (
	"os"

	"golang.org/x/sys/unix"
)

// Foreground reports whether this process may read from a terminal: one that
// runs in the background would be stopped for it (POSIX.1-2017, XBD 11.1.4).
func Foreground(terminal *os.File) bool {
	group, err := unix.IoctlGetInt(int(terminal.Fd()), unix.TIOCGPGRP)
	return err == nil && group == unix.Getpgrp()
}
