package gcode

import (
	"strconv"
	"strings"

	"wend/internal/expression"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

// own is what the heading of a file of ours says that its line depends on.
type own struct {
	machine     string
	compensated bool
	stylus      geom.Point // page mm: where it must stand before the first move
	length      int        // of the heading's first line
}

var (
	ownFirst   = expression.Of(`^\(wend: [^()]*\)`)
	ownRemarks = expression.Of(`^(?:\([^()\r\n]*\)\r?\n)+`)
	ownMachine = expression.Of(` machine: (.*?)(?:, built in, for the simulated machine only)? \d+ mm of line, `)
	ownStart   = expression.Of(` the stylus must stand at x (-?\d+\.\d+) y (-?\d+\.\d+) mm of the page`)
)

// ownHeading reads the heading of a file that this package wrote; ok is false
// for any other file. Long remarks stand on several lines.
func ownHeading(text string) (made own, ok bool) {
	head := text[:min(len(text), 1<<14)]
	made.length = len(ownFirst.FindString(head))
	if made.length == 0 {
		return own{}, false
	}
	remarks := strings.NewReplacer("(", "", ")", "", "\r", "", "\n", " ").Replace(ownRemarks.FindString(head))
	if m := ownMachine.FindStringSubmatch(remarks); m != nil {
		made.machine = m[1]
	}
	made.compensated = strings.Contains(remarks, " slack compensated: ")
	if m := ownStart.FindStringSubmatch(remarks); m != nil {
		made.stylus.X, _ = strconv.ParseFloat(m[1], 64)
		made.stylus.Y, _ = strconv.ParseFloat(m[2], 64)
		return made, true
	}
	return made, !made.compensated
}

// nameInHeading is a machine's name as a heading has it.
func nameInHeading(p *machine.Profile) string {
	return strings.Join(strings.Fields(plain(p.Name)), " ")
}

// Names reports whether the heading of an instruction file says that it was
// made from a program, or a file, of that name.
func Names(text, program string) bool {
	first := ownFirst.FindString(text[:min(len(text), 1<<14)])
	return first != "" && strings.HasPrefix(strings.TrimPrefix(first, "(wend: "), strings.Join(strings.Fields(plain(program)), " ")+", ")
}

// Written reports whether an instruction file, of which the beginning is given,
// was written by this package.
func Written(text string) bool { return ownFirst.MatchString(text[:min(len(text), 1<<14)]) }
