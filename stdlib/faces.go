package stdlib

import (
	"embed"
	"fmt"
	"slices"
	"strings"
	"sync"

	"wend/lang/diag"
	"wend/stdlib/lettering"
)

//go:embed fonts/*.letters
var fontFiles embed.FS

// faceNames are the built-in faces, the first one for texts that name none.
var faceNames = [...]string{"linden", "brook"}

// faces are the built-in faces, each read when it is first asked for.
var faces = func() map[string]func() *lettering.Face {
	faces := map[string]func() *lettering.Face{}
	for _, name := range faceNames {
		faces[name] = sync.OnceValue(func() *lettering.Face {
			text, err := fontFiles.ReadFile("fonts/" + name + ".letters")
			if err != nil {
				panic(err) // the folder is part of the program itself
			}
			f, err := lettering.Read(string(text), func(base string) *lettering.Face { return faces[base]() })
			if err != nil {
				panic(fmt.Sprintf("fonts/%s.letters: %v", name, err))
			}
			return f
		})
	}
	return faces
}()

// Faces are the names of the built-in faces.
func Faces() []string { return faceNames[:] }

// Alignments are the words for how rows of a text stand to each other.
func Alignments() []string { return alignments[:] }

// alignments are in the order of lettering.Align.
var alignments = [...]string{"left", "center", "right", "justify"}

// RowWays are the words for how the line goes from row to row.
func RowWays() []string { return rowWays[:] }

// rowWays are in the order of lettering.Rows.
var rowWays = [...]string{"near", "turns", "ladders", "ruled"}

func faceNamed(name string) (*lettering.Face, error) {
	face := faces[name]
	if face == nil {
		return nil, &diag.Fault{Code: "font-unknown", Args: diag.Args{"value": name, "known": quotedNames(faceNames[:])}}
	}
	return face(), nil
}

func alignment(word string) (lettering.Align, error) {
	i := slices.Index(alignments[:], word)
	if i < 0 {
		return 0, &diag.Fault{Code: "align-unknown", Args: diag.Args{"value": word, "known": quotedNames(alignments[:])}}
	}
	return lettering.Align(i), nil
}

func rowWay(word string) (lettering.Rows, error) {
	i := slices.Index(rowWays[:], word)
	if i < 0 {
		return 0, &diag.Fault{Code: "rows-unknown", Args: diag.Args{"value": word, "known": quotedNames(rowWays[:])}}
	}
	return lettering.Rows(i), nil
}

// quotedNames lists names for a hint: `a`, `b` or `c`.
func quotedNames(names []string) string {
	quoted := make([]string, len(names))
	for i, name := range names {
		quoted[i] = "`" + name + "`"
	}
	last := len(quoted) - 1
	return strings.Join(quoted[:last], ", ") + " or " + quoted[last]
}
