package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"

	"wend/lang/diag"
)

// output is one file to be written.
type output struct {
	name string   // full path
	data []byte   // its content, or
	made *pending // this
	// anew says that a file which was read is written anew: where its name is a
	// link, the file that it names is meant, wherever that is.
	anew bool
}

// commit writes all outputs or none: each goes to a temporary file in its
// folder first, and only when all are safely there are they given their names.
// A folder that is not there is made, in one that is. inputs are files that must
// not be overwritten; nor is one of another folder, to which a link leads.
func commit(outputs []output, inputs []string) error {
	if err := admissible(outputs, inputs); err != nil {
		return err
	}
	var made, places []string
	var written []*unfinished
	drop := func() {
		for _, file := range written {
			file.drop()
		}
		for _, folder := range made {
			os.Remove(folder)
		}
	}
	for _, o := range outputs {
		folder := filepath.Dir(o.name)
		if info, err := os.Stat(folder); err == nil && info.IsDir() {
			continue
		}
		if err := os.Mkdir(folder, 0o777); err != nil {
			return noFolder(o.name, err)
		}
		made = append(made, folder)
	}
	for _, o := range outputs {
		place := placeOf(o.name)
		file, err := o.beside(place)
		if file != nil {
			written = append(written, file)
		}
		if err != nil {
			drop()
			return notWritten(o.name, reason(err))
		}
		places = append(places, place)
	}
	for i, o := range outputs {
		if err := os.Rename(written[i].Name(), places[i]); err != nil {
			drop()
			return notWritten(o.name, reason(err))
		}
		written[i].release()
	}
	return nil
}

// beside has the content of an output in a file in the folder of its place.
func (o *output) beside(place string) (*unfinished, error) {
	if o.made != nil {
		return o.made.beside(place)
	}
	return writeBeside(place, o.data)
}

// admissible reports why an output may not be written where it is to go.
func admissible(outputs []output, inputs []string) error {
	for _, o := range outputs {
		for _, input := range inputs {
			if sameFile(o.name, input) {
				return aboutFile(o.name, "output-input", nil)
			}
		}
		if target := elsewhere(o.name); target != "" && !o.anew {
			fault := notWritten(o.name, fmt.Sprintf("it is a link to `%s`, in another folder", filepath.ToSlash(target)))
			fault.Hint = "remove the link, or write to another folder with --out: what a link leads to elsewhere is never overwritten"
			return fault
		}
		switch info, err := os.Stat(o.name); {
		case errors.Is(err, syscall.ENAMETOOLONG):
			fault := notWritten(o.name, reason(err))
			fault.Hint = "give the program a shorter name"
			return fault
		case err != nil:
		case info.IsDir():
			fault := notWritten(o.name, "a folder has that name")
			fault.Hint = "rename the folder, or write to another one with --out"
			return fault
		case !info.Mode().IsRegular():
			fault := notWritten(o.name, "what has that name is a device or a pipe, not a file")
			fault.Hint = "remove it, or write to another folder with --out"
			return fault
		case info.Mode().Perm()&0o222 == 0:
			fault := notWritten(o.name, "the file there is write-protected")
			fault.Hint = "allow writing to it, or write to another folder with --out"
			return fault
		}
	}
	return nil
}

// commitBuilt commits what was made of inputs. The outputs have names that nobody
// typed, so what stands there is replaced only if wend wrote it.
func commitBuilt(outputs []output, inputs []string) error {
	if err := admissible(outputs, inputs); err != nil {
		return err
	}
	if name := foreign(outputs); name != "" {
		return aboutFile(name, "output-foreign", nil)
	}
	return commit(outputs, inputs)
}

// elsewhere is where a link leads that leaves its folder; empty for any other
// name. One that leads to nothing yet counts too.
func elsewhere(name string) string {
	target, err := os.Readlink(name)
	if err != nil {
		return ""
	}
	if !filepath.IsAbs(target) {
		target = filepath.Join(filepath.Dir(name), target)
	}
	if final, err := filepath.EvalSymlinks(name); err == nil {
		target = final
	}
	there, errThere := filepath.EvalSymlinks(filepath.Dir(target))
	here, errHere := filepath.EvalSymlinks(filepath.Dir(name))
	if errThere == nil && errHere == nil && sameFile(there, here) {
		return ""
	}
	return target
}

func notWritten(name, why string) *diag.Fault {
	return aboutFile(name, "output-failed", diag.Args{"reason": why})
}

// noFolder says why the folder of an output is none and cannot be made.
func noFolder(name string, err error) error {
	isFile := func(path string) bool {
		info, err := os.Stat(path)
		return err == nil && !info.IsDir()
	}
	folder := filepath.Dir(name)
	above := filepath.Dir(folder)
	for errors.Is(err, fs.ErrNotExist) && above != filepath.Dir(above) {
		if _, err := os.Stat(above); err == nil {
			break
		}
		folder, above = above, filepath.Dir(above)
	}
	fault := notWritten(name, reason(err))
	for _, path := range []string{folder, above} {
		if isFile(path) {
			fault = notWritten(name, fmt.Sprintf("`%s` is a file, not a folder", filepath.ToSlash(path)))
			fault.Hint = "name another folder"
			return fault
		}
	}
	if errors.Is(err, fs.ErrNotExist) {
		fault = notWritten(name, fmt.Sprintf("there is no folder `%s`", filepath.ToSlash(folder)))
		fault.Hint = nearby(folder, true)
		if fault.Hint == "" {
			fault.Hint = "look at the spelling, or make it first: only the last folder of a path is made"
		}
	}
	return fault
}

// writeBeside writes to a new file in the folder of the one it is to replace,
// with the permissions of that one or the usual ones. The new file is nil only if
// there is none, also when writing it failed.
func writeBeside(place string, data []byte) (*unfinished, error) {
	file, err := createBeside(place)
	if err != nil {
		return nil, err
	}
	_, err = file.Write(data)
	return file, errors.Join(err, file.end(place))
}

func sameFile(a, b string) bool {
	ia, errA := os.Stat(a)
	ib, errB := os.Stat(b)
	if errA == nil && errB == nil {
		return os.SameFile(ia, ib)
	}
	return filepath.Clean(a) == filepath.Clean(b)
}
