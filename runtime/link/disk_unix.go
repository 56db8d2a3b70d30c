//go:build unix

package link

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

func lockFile(file *os.File) error {
	err := unix.Flock(int(file.Fd()), unix.LOCK_EX|unix.LOCK_NB)
	if errors.Is(err, unix.EWOULDBLOCK) {
		return ErrLocked
	}
	return err
}

// lockPort keeps other processes from a serial port, also those of a superuser,
// whom the system's own lock does not keep out.
func lockPort(name string) (*os.File, error) {
	file, err := os.OpenFile(name, os.O_RDONLY|unix.O_NOCTTY|unix.O_NONBLOCK, 0)
	if err != nil {
		return nil, err
	}
	if err := lockFile(file); err != nil {
		file.Close()
		return nil, err
	}
	return file, nil
}

// syncFolder has a new name reach the disk too. Some file systems cannot; the
// content is safe in either case.
func syncFolder(path string) {
	if folder, err := os.Open(path); err == nil {
		folder.Sync() //nolint:errcheck // see above
		folder.Close()
	}
}
