package sending

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"path/filepath"
	"slices"
	"time"

	"wend/lang/diag"
	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/machine"
)

// List is how far a list of drawings is, on the disk before each step: what
// --resume goes on with, also after a kill between two sheets.
type List struct {
	Files []string   `json:"files"` // full paths
	File  int        `json:"file"`  // the one at hand, from 0
	Sheet int        `json:"sheet"` // its sheet at hand, from 0
	Start geom.Point `json:"start"` // where its line began, page mm
	Begun bool       `json:"begun"` // the journal of the link may know of the sheet at hand
	Time  time.Time  `json:"time"`
	// Single: of the drawing at hand one sheet alone is drawn. The stylus walks to
	// where it begins.
	Single bool `json:"single,omitempty"`

	files link.Files // nil: nothing is kept, as with the simulated machine
	name  string
}

// NewList is a list of drawings by the full paths of their files, of which nothing is
// drawn yet. It is kept in files, which may be nil.
func NewList(files link.Files, p *machine.Profile, paths []string) *List {
	sum := sha256.Sum256([]byte(p.Name))
	return &List{Files: paths, files: files, name: fmt.Sprintf("%x.list", sum[:8])}
}

// recall reads how far an earlier run of the same list came; false if there was
// none.
func (l *List) recall() (bool, error) {
	before := l.kept()
	switch {
	case before == nil:
		return false, nil // the journal of the link still knows of the drawing
	case !slices.Equal(before.Files, l.Files):
		return false, &diag.Fault{Code: "resume-differs", Args: diag.Args{"name": before.atHand()}}
	}
	before.files, before.name = l.files, l.name
	*l = *before
	return true, nil
}

// kept is the list that an earlier run left; nil if there is none.
func (l *List) kept() *List {
	if l.files == nil {
		return nil
	}
	data, err := l.files.Read(l.name)
	var before List
	if err != nil || json.Unmarshal(data, &before) != nil || before.File >= len(before.Files) || before.File < 0 || before.Sheet < 0 {
		return nil
	}
	return &before
}

// atHand names the drawing at hand, for people.
func (l *List) atHand() string {
	name := filepath.Base(l.Files[l.File])
	if len(l.Files) > 1 {
		name = fmt.Sprintf("%s, of a list of %d", name, len(l.Files))
	}
	return name
}

func (l *List) keep(now time.Time) error {
	if l.files == nil {
		return nil
	}
	l.Time = now.UTC()
	data, err := json.Marshal(l)
	if err == nil {
		err = l.files.Replace(l.name, append(data, '\n'))
	}
	if err != nil {
		return link.Unkept(err)
	}
	return nil
}

// Next goes on to the next drawing, and writes that down if there is one.
func (l *List) Next(now time.Time) error {
	if l.File++; l.File >= len(l.Files) {
		return nil
	}
	return l.at(0, false, now)
}

// at writes down which sheet is at hand, and that it begins if it does.
func (l *List) at(sheet int, begun bool, now time.Time) error {
	l.Sheet, l.Begun = sheet, begun
	return l.keep(now)
}

// Forget ends the list.
func (l *List) Forget() {
	if l.files != nil {
		l.files.Remove(l.name) //nolint:errcheck // it may not have begun
	}
}
