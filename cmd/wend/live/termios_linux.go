package live

import "golang.org/x/sys/unix"

// The requests that read and change what a terminal does with what is typed.
const (
	readTermios  = unix.TCGETS
	writeTermios = unix.TCSETS
)
