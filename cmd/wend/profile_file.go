package main

import (
	"errors"
	"os"
	"strconv"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/machine"
)

// profileFile is the file of a profile that learns from a calibration, part by
// part. Each text that is written over is kept beside it.
type profileFile struct {
	name string
	text string           // as it was read or written last
	from *machine.Profile // what the calibration knew then
	kept string           // where the text before is
}

// openProfile looks whether a profile's file can be written, before anything
// else is done.
func openProfile(name string, from *machine.Profile) (profileFile, error) {
	text, err := os.ReadFile(name)
	if err != nil {
		return profileFile{}, fileFault(name, err)
	}
	if info, err := os.Stat(name); err == nil && info.Mode().Perm()&0o222 == 0 {
		return profileFile{}, notWritten(name, "the file there is write-protected")
	}
	trial, err := createBeside(name)
	if err != nil {
		return profileFile{}, notWritten(name, reason(err))
	}
	trial.drop()
	return profileFile{name: name, text: string(text), from: from}, nil
}

// learn writes what was found into the file, and reports whether somebody has
// edited it meanwhile: what they changed stays.
func (f *profileFile) learn(found *machine.Profile) (edited bool, err error) {
	data, err := os.ReadFile(f.name)
	if err != nil {
		return false, fileFault(f.name, err)
	}
	text := string(data)
	theirs, list := machine.Read(source.New(f.name, text))
	if list.Failed() {
		return false, list
	}
	if edited = text != f.text; edited {
		f.kept = ""
	}
	now := machine.Update(source.New(f.name, text), machine.Carry(f.from, found, theirs))
	if now == text {
		f.from = found
		return false, nil
	}
	if _, list := machine.Read(source.New(f.name, now)); list.Failed() {
		return false, list
	}
	for n := 1; f.kept == ""; n++ {
		copied := f.name + "." + strconv.Itoa(n)
		switch err := writeNew(copied, data); {
		case err == nil:
			f.kept = copied
		case !isThere(err):
			return false, err
		}
	}
	if err := commit([]output{{name: f.name, data: []byte(now), anew: true}}, nil); err != nil {
		return false, err
	}
	f.text, f.from = now, found
	return edited, nil
}

func isThere(err error) bool {
	var fault *diag.Fault
	return errors.As(err, &fault) && fault.Code == "profile-exists"
}
