// Package types says what the values of a program can be: their kinds, the
// units that numbers are marked with, the signatures of library functions, and
// which words may draw. It knows nothing of trees or of running.
package types

import (
	"math/bits"
	"strings"
)

// Kind is a set of kinds of values: one bit each. A single bit is the kind of
// one value; several say that any of them is possible.
type Kind uint16

// The kinds of values.
const (
	Number Kind = 1 << iota
	Bool
	Text
	Point
	Path
	List
	Record
	Box
	Image
	Function
	// Nothing is the result of a call that gives no value, and an optional
	// argument that was left out. No program can hold it.
	Nothing

	Any     = Number | Bool | Text | Point | Path | List | Record | Box | Image | Function
	Unknown = Kind(0) // nothing is known: an error was reported already
)

var kindNames = [...]string{"number", "yes-or-no value", "text", "point", "path", "list", "record", "box", "image", "function", "nothing"}

// Single reports whether the set holds exactly one kind.
func (k Kind) Single() bool { return bits.OnesCount16(uint16(k)) == 1 }

// Has reports whether the set holds any of the kinds of other.
func (k Kind) Has(other Kind) bool { return k&other != 0 }

// Name is the kind without an article: "number", "number or point".
func (k Kind) Name() string { return k.named(func(name string) string { return name }) }

// Plural is the kind of several values: "numbers", "paths, lists or boxes".
func (k Kind) Plural() string {
	return k.named(func(name string) string {
		if strings.HasSuffix(name, "x") {
			return name + "es"
		}
		return name + "s"
	})
}

// named joins the names of the kinds, each in some form.
func (k Kind) named(form func(string) string) string {
	if k&Any == Any {
		return form("value")
	}
	var names []string
	for i, name := range kindNames {
		if k&(1<<i) != 0 {
			names = append(names, form(name))
		}
	}
	switch len(names) {
	case 0:
		return form("value")
	case 1:
		return names[0]
	}
	return strings.Join(names[:len(names)-1], ", ") + " or " + names[len(names)-1]
}

// String is the kind as it stands in a sentence: "a number", "an image", "nothing".
func (k Kind) String() string {
	name := k.Name()
	switch {
	case k == Nothing:
		return name
	case strings.ContainsRune("aeiou", rune(name[0])):
		return "an " + name
	}
	return "a " + name
}

// Unit is the mark that a number carries while a program is checked. Units are
// never part of a value.
type Unit uint8

// The units. A plain number goes with either.
const (
	Plain  Unit = iota
	Length      // mm, cm, in
	Angle       // deg, rad
)

func (u Unit) String() string {
	return [...]string{"a plain number", "a length", "an angle"}[u]
}
