package link

import (
	"errors"
	"os"
	"path/filepath"
)

// Disk is a folder that keeps Files. It is made when it is first written to.
type Disk string

// Read gives a file's content.
func (d Disk) Read(name string) ([]byte, error) { return os.ReadFile(filepath.Join(string(d), name)) }

// Replace writes beside the file, has that reach the disk, and gives it the
// name.
func (d Disk) Replace(name string, content []byte) error {
	if err := os.MkdirAll(string(d), 0o755); err != nil {
		return err
	}
	file, err := os.CreateTemp(string(d), ".new-*")
	if err != nil {
		return err
	}
	_, err = file.Write(content)
	err = errors.Join(err, file.Sync(), file.Close())
	if err == nil {
		err = os.Rename(file.Name(), filepath.Join(string(d), name))
	}
	if err != nil {
		return errors.Join(err, os.Remove(file.Name()))
	}
	syncFolder(string(d))
	return nil
}

// Remove deletes a file.
func (d Disk) Remove(name string) error { return os.Remove(filepath.Join(string(d), name)) }

// Lock locks a file of that name; the system releases it when the process ends,
// however it ends.
func (d Disk) Lock(name string) (func(), error) {
	if err := os.MkdirAll(string(d), 0o755); err != nil {
		return nil, err
	}
	file, err := os.OpenFile(filepath.Join(string(d), name), os.O_CREATE|os.O_RDWR, 0o644)
	if err != nil {
		return nil, err
	}
	if err := lockFile(file); err != nil {
		file.Close()
		return nil, err
	}
	return func() { file.Close() }, nil
}
