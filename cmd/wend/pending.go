package main

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
)

// pending is the content of an output while it is made: in memory as long as it is
// short, and then in a file beside its place, so that a long one takes no memory.
type pending struct {
	name string // of the output
	text bytes.Buffer
	file *unfinished // where all of it is, and nothing in text; nil: all is in text
	size int         // of the file
	kept bool        // no file can be made beside the place, so it stays in memory
}

// pendingBytes is from how many bytes on an output is written to a file at once.
// Below it nothing is seen in a folder of a program that has faults.
const pendingBytes = 1 << 22

func (p *pending) Write(data []byte) (int, error) {
	p.Grow(len(data))
	if p.file == nil {
		return p.text.Write(data)
	}
	n, err := p.file.Write(data)
	p.size += n
	if err != nil {
		return n, notWritten(p.name, reason(err))
	}
	return n, nil
}

// Grow makes room for so many more bytes.
func (p *pending) Grow(n int) {
	if p.file != nil {
		return
	}
	if p.Len()+n > pendingBytes && !p.kept {
		// What is in the way of a file here is said when all outputs are written.
		p.kept = elsewhere(p.name) != "" || p.toFile() != nil
	}
	if p.file == nil {
		p.text.Grow(n)
	}
}

func (p *pending) toFile() error {
	file, err := createBeside(placeOf(p.name))
	if err != nil {
		return err
	}
	if p.size, err = file.Write(p.text.Bytes()); err != nil {
		file.drop()
		return err
	}
	p.file, p.text = file, bytes.Buffer{}
	return nil
}

func (p *pending) Len() int {
	if p.file != nil {
		return p.size
	}
	return p.text.Len()
}

// Truncate keeps the first n bytes.
func (p *pending) Truncate(n int) {
	if p.file == nil {
		p.text.Truncate(n)
		return
	}
	p.size = n
	_, err := p.file.Seek(int64(n), io.SeekStart)
	if err = errors.Join(err, p.file.Truncate(int64(n))); err != nil {
		p.file.Close() // what is written next fails
	}
}

// Bytes is all that was written, or what can be read of it.
func (p *pending) Bytes() []byte {
	data, _ := p.content()
	return data
}

// content is all that was written.
func (p *pending) content() ([]byte, error) {
	if p.file == nil {
		return p.text.Bytes(), nil
	}
	return os.ReadFile(p.file.Name())
}

// beside ends the writing and gives a file in the folder of a place that holds all of
// it, also when something failed.
func (p *pending) beside(place string) (*unfinished, error) {
	if p.file == nil {
		return writeBeside(place, p.text.Bytes())
	}
	return p.file, p.file.end(place)
}

// drop removes the file of an output that is not to be.
func (p *pending) drop() {
	if p.file != nil {
		p.file.drop()
	}
}

// pendings are the outputs of a build that are being made.
type pendings []*pending

func (all *pendings) add(name string) *pending {
	p := &pending{name: name}
	*all = append(*all, p)
	return p
}

// drop removes what is left of them. Those that were committed have other names.
func (all *pendings) drop() {
	for _, p := range *all {
		p.drop()
	}
}

// placeOf is where an output is written: a link within a folder stays, and the file
// that it names is replaced.
func placeOf(name string) string {
	if linked, err := filepath.EvalSymlinks(name); err == nil {
		return linked
	}
	return name
}
