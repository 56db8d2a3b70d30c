// Package kind says what kind a file is, by what stands in it before its name:
// an instruction file with any ending is one, and a program in a file called
// card.csv is a program. The name decides only where the content does not.
//
// It is pure: the content is passed in, and nothing is opened.
package kind

import (
	"bytes"
	"path/filepath"
	"strings"
)

// Kind is what a file is.
type Kind int

// The kinds. A text that is plainly nothing else is a Program: whoever reads
// it then says what is wrong with it.
const (
	Program      Kind = iota
	Drawing           // SVG
	Photo             // an image of pixels, or what is named so and plainly nothing else
	Instructions      // RS-274, of any origin
	Profile           // of a machine
	Data              // a table of numbers
	Unknown           // no text, and no picture that is known
)

// table is all that is known of each kind beside how it looks inside: one row
// a kind.
var table = [...]struct {
	name    string // as `check --json` says it
	article string // as people read it
	limitMB int64  // the largest file that is read
	endings string // of names, where the content does not decide
}{
	Program:      {"program", "a program", 8, ".wend"},
	Drawing:      {"drawing", "a drawing (SVG)", 64, ".svg"},
	Photo:        {"photo", "a photo", 64, ".png .jpg .jpeg .gif .webp .bmp .tif .tiff .heic .heif .avif"},
	Instructions: {"instructions", "an instruction file", 1024, ".gcode .nc .ngc"},
	Profile:      {"profile", "a machine profile", 8, ".toml"},
	Data:         {"data", "a table of data", 64, ".csv .tsv"},
	Unknown:      {"unknown", "no text and no picture that is known here", 64, ""},
}

// String is the kind as JSON has it.
func (k Kind) String() string { return table[k].name }

// Described is the kind as people read it: "a program".
func (k Kind) Described() string { return table[k].article }

// Limit is the size in bytes of the largest file of the kind that is read.
func (k Kind) Limit() int64 { return table[k].limitMB << 20 }

// HeadBytes is how much of a file is looked at.
const HeadBytes = 64 << 10

// Of says what kind a file is, from its name and its content, or the first
// HeadBytes of it.
func Of(name string, content []byte) Kind {
	head := content[:min(len(content), HeadBytes)]
	if isImage(head) {
		return Photo
	}
	whole := len(content) < HeadBytes
	text := string(bytes.TrimPrefix(head, []byte("\uFEFF")))
	switch {
	case isSVG(text):
		return Drawing
	case isProfile(text):
		return Profile
	case isInstructions(text, whole):
		return Instructions
	}
	named := byName(name)
	if named == Data && !isTable(text, whole) {
		named = Program // what the name says was not found in it
	}
	if named == Program && !strings.EqualFold(filepath.Ext(name), ".wend") && isBinary(head) {
		return Unknown
	}
	return named
}

func byName(name string) Kind {
	if k, known := Named(name); known {
		return k
	}
	return Program
}

// Named is what a file is by its name alone, if its ending says so.
func Named(name string) (Kind, bool) {
	ending := strings.ToLower(filepath.Ext(name))
	if ending != "" {
		for k, row := range table {
			for e := range strings.FieldsSeq(row.endings) {
				if e == ending {
					return Kind(k), true
				}
			}
		}
	}
	return Program, false
}
