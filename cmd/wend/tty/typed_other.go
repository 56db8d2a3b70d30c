//go:build !(linux || darwin || freebsd || netbsd || openbsd || windows)

package tty

import "os"

// dropTyped cannot be done on this system: what was read ahead is dropped all
// the same.
func dropTyped(*os.File) error { return nil }

// typedAhead is how many bytes of whole lines wait at a terminal, as far as that
// can be asked: on this system it cannot.
func typedAhead(*os.File) int { return 0 }
