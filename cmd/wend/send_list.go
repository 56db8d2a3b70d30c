package main

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

// sendList is how far a list of drawings is, on the disk before each step: what
// --resume goes on with, also after a kill between two sheets.
type sendList struct {
	Files []string   `json:"files"` // full paths
	File  int        `json:"file"`  // the one at hand, from 0
	Sheet int        `json:"sheet"` // its sheet at hand, from 0
	Start geom.Point `json:"start"` // where its line began, page mm
	Begun bool       `json:"begun"` // the journal of the link may know of the sheet at hand
	Time  time.Time  `json:"time"`

	files link.Files // nil: nothing is kept, as with the simulated machine
	name  string
}

func newSendList(c console, p *machine.Profile, names []string, kept bool) *sendList {
	l := &sendList{}
	for _, name := range names {
		if full, err := filepath.Abs(name); err == nil {
			name = full
		}
		l.Files = append(l.Files, name)
	}
	if kept {
		sum := sha256.Sum256([]byte(p.Name))
		l.files, l.name = link.Disk(c.stateFolder()), fmt.Sprintf("%x.list", sum[:8])
	}
	return l
}

// recall reads how far an earlier run of the same list came; false if there was
// none.
func (l *sendList) recall() (bool, error) {
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
func (l *sendList) kept() *sendList {
	data, err := l.files.Read(l.name)
	var before sendList
	if err != nil || json.Unmarshal(data, &before) != nil || before.File >= len(before.Files) || before.File < 0 || before.Sheet < 0 {
		return nil
	}
	return &before
}

// atHand names the drawing at hand, for people.
func (l *sendList) atHand() string {
	name := filepath.Base(l.Files[l.File])
	if len(l.Files) > 1 {
		name = fmt.Sprintf("%s, of a list of %d", name, len(l.Files))
	}
	return name
}

func (l *sendList) keep(now time.Time) error {
	if l.files == nil {
		return nil
	}
	l.Time = now.UTC()
	data, err := json.Marshal(l)
	if err == nil {
		err = l.files.Replace(l.name, append(data, '\n'))
	}
	if err != nil {
		return &diag.Fault{Code: "position-not-kept", Args: diag.Args{"reason": reason(err)}}
	}
	return nil
}

// at writes down which sheet is at hand, and that it begins if it does.
func (l *sendList) at(sheet int, begun bool, now time.Time) error {
	l.Sheet, l.Begun = sheet, begun
	return l.keep(now)
}

// forget ends the list.
func (l *sendList) forget() {
	if l.files != nil {
		l.files.Remove(l.name) //nolint:errcheck // it may not have begun
	}
}
