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

// syncFolder has a new name reach the disk too. Some file systems cannot; the
// content is safe in either case.
func syncFolder(path string) {
	if folder, err := os.Open(path); err == nil {
		folder.Sync() //nolint:errcheck // see above
		folder.Close()
	}
}
