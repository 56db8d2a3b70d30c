package main

import (
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"

	"wend/internal/expression"
)

// unfinished is a file that is written beside the place of an output, and is to be
// renamed to it. It is held until then, so that nobody takes it for a leftover.
type unfinished struct {
	*os.File
	hold *os.File // nil where files cannot be locked
}

var unfinishedName = expression.Of(`^\.wend-\d+\.unfinished$`)

// createBeside makes a file of a new name in the folder of another. Unlike
// [os.CreateTemp] it leaves the permissions to the person's umask. What processes
// that are dead left of this kind in that folder is removed.
func createBeside(place string) (*unfinished, error) {
	folder := filepath.Dir(place)
	removeLeftovers(folder)
	for {
		name := filepath.Join(folder, fmt.Sprintf(".wend-%d.unfinished", rand.Uint64()))
		file, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil {
			return nil, err
		}
		made := &unfinished{File: file}
		made.hold, err = lockedFile(name)
		if err == nil && !isAt(name, file) {
			err = fs.ErrNotExist
		}
		switch {
		case err == nil, errors.Is(err, errors.ErrUnsupported):
			return made, nil
		case !errors.Is(err, errHeld) && !errors.Is(err, fs.ErrNotExist):
			made.drop()
			return nil, err
		}
		made.drop() // another process took it for a leftover before it was held
	}
}

// errHeld says that another process holds a file.
var errHeld = errors.New("another process holds it")

func isAt(name string, file *os.File) bool {
	there, err := os.Stat(name)
	if err != nil {
		return false
	}
	info, err := file.Stat()
	return err == nil && os.SameFile(there, info)
}

// end ends the writing of a file that is to take a place, with the permissions of
// what stands there.
func (u *unfinished) end(place string) error {
	var err error
	if info, before := os.Stat(place); before == nil {
		err = u.Chmod(info.Mode().Perm())
	}
	return errors.Join(err, u.Close())
}

// release says that it has its place.
func (u *unfinished) release() {
	if u.hold != nil {
		u.hold.Close() //nolint:errcheck // nothing was written to it
	}
}

// drop removes a file that is not to be. One that has its place has another name.
func (u *unfinished) drop() {
	u.Close()           //nolint:errcheck // it may be closed already
	os.Remove(u.Name()) //nolint:errcheck // it may be renamed already
	u.release()
}

// removeLeftovers removes the files in a folder that processes began and could not
// finish, nor remove, since they were killed or the power went. One that is held
// has a process that lives.
func removeLeftovers(folder string) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return
	}
	for _, e := range entries {
		if !e.Type().IsRegular() || !unfinishedName.MatchString(e.Name()) {
			continue
		}
		name := filepath.Join(folder, e.Name())
		if held, err := lockedFile(name); err == nil {
			os.Remove(name) //nolint:errcheck // the next one tries again
			held.Close()    //nolint:errcheck // nothing was written to it
		}
	}
}
