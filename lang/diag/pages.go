package diag

import (
	"slices"
	"strings"
)

// Page is what a code means. Message and Hint may hold {named} places.
//
// Bad is the smallest program that gives exactly this code and Good the same
// program mended; a test runs both. Codes that no program alone can cause (a
// faulty profile, an instruction file, a folder that cannot be written) say in
// Subject what their Bad and Good are; see Subject.
type Page struct {
	Code     Code
	Severity Severity
	Message  string // one idea, at most 80 characters before places are filled
	Hint     string
	Rule     string // the rule in prose, and why it is so: for `wend explain`
	Subject  Subject
	Bad      string
	Good     string
}

// Subject says what the examples of a page are.
type Subject int

const (
	Program      Subject = iota // wend source, run with the built-in profile
	Profile                     // a machine profile in TOML
	Instructions                // an instruction file
	Outside                     // the world (files, ports): Bad and Good are described in prose, not run
)

// pages is the catalogue: one table a theme, each in a file of its own.
var pages = slices.Concat(syntaxPages, wordPages, namePages, kindPages, runPages, linePages, libraryPages, machinePages, instructionPages, filePages, promptPages, linkPages, drawingPages, picturePages)

// Pages is the whole catalogue, sorted by code.
func Pages() []Page {
	all := slices.Clone(pages)
	slices.SortFunc(all, func(a, b Page) int { return strings.Compare(string(a.Code), string(b.Code)) })
	return all
}

var byCode = func() map[Code]Page {
	index := make(map[Code]Page, len(pages))
	for _, p := range pages {
		if _, twice := index[p.Code]; twice {
			panic("diag: two pages for code " + string(p.Code))
		}
		index[p.Code] = p
	}
	return index
}()

// Lookup finds the page of a code.
func Lookup(code Code) (Page, bool) {
	page, ok := byCode[code]
	return page, ok
}
