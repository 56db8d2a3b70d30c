//go:build linux || darwin || freebsd || netbsd || openbsd

package main

import (
	"errors"
	"os"
	"syscall"
)

// lockedFile opens a file that nobody else holds, and holds it until it is closed,
// or the process ends, however that ends. If somebody holds it the error is errHeld;
// where the file system has no locks, it is [errors.ErrUnsupported].
func lockedFile(name string) (*os.File, error) {
	file, err := os.OpenFile(name, os.O_RDONLY|syscall.O_NONBLOCK|syscall.O_NOFOLLOW, 0)
	if err != nil {
		return nil, err
	}
	switch err := syscall.Flock(int(file.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); {
	case err == nil:
		return file, nil
	case errors.Is(err, syscall.EWOULDBLOCK):
		return nil, errors.Join(errHeld, file.Close())
	default:
		return nil, errors.Join(errors.ErrUnsupported, err, file.Close())
	}
}
