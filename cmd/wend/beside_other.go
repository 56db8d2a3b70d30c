//go:build !(linux || darwin || freebsd || netbsd || openbsd)

package main

import (
	"errors"
	"os"
)

// lockedFile is not there: a file that is open cannot be renamed everywhere. So
// leftovers of processes that were killed stay.
func lockedFile(string) (*os.File, error) { return nil, errors.ErrUnsupported }
