package main

import (
	"errors"
	"os"
	"path/filepath"

	"wend/lang/diag"
)

// output is one file to be written, whole in memory or written by a function.
type output struct {
	name string // full path
	data []byte
}

// commit writes all outputs or none: each goes to a temporary file in its
// folder first, and only when all are safely there are they given their names.
// inputs are files that must not be overwritten.
func commit(outputs []output, inputs []string) error {
	for _, o := range outputs {
		for _, input := range inputs {
			if sameFile(o.name, input) {
				return &diag.Fault{Code: "output-input", Args: diag.Args{"name": o.name}}
			}
		}
		if info, err := os.Stat(o.name); err == nil && info.IsDir() {
			return &diag.Fault{Code: "output-failed", Args: diag.Args{"name": o.name, "reason": "a folder has that name"}}
		}
	}
	var written []string
	drop := func() {
		for _, name := range written {
			os.Remove(name)
		}
	}
	for _, o := range outputs {
		name, err := writeBeside(o)
		if name != "" {
			written = append(written, name)
		}
		if err != nil {
			drop()
			return &diag.Fault{Code: "output-failed", Args: diag.Args{"name": o.name, "reason": reason(err)}}
		}
	}
	for i, o := range outputs {
		if err := os.Rename(written[i], o.name); err != nil {
			drop()
			return &diag.Fault{Code: "output-failed", Args: diag.Args{"name": o.name, "reason": reason(err)}}
		}
	}
	return nil
}

// writeBeside writes an output to a temporary file in the output's own folder
// and gives that file's name, also when writing it failed.
func writeBeside(o output) (string, error) {
	file, err := os.CreateTemp(filepath.Dir(o.name), ".wend-*")
	if err != nil {
		return "", err
	}
	_, err = file.Write(o.data)
	// Temporary files are private; a drawing gets the usual permissions.
	err = errors.Join(err, file.Chmod(0o644), file.Close())
	return file.Name(), err
}

func sameFile(a, b string) bool {
	ia, errA := os.Stat(a)
	ib, errB := os.Stat(b)
	if errA == nil && errB == nil {
		return os.SameFile(ia, ib)
	}
	return filepath.Clean(a) == filepath.Clean(b)
}
