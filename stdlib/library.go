// Package stdlib is the library of the language: the words that every program
// knows, by theme, each with its signature, what it is for and an example, and
// with the Go function behind it where the evaluator does not carry it out
// itself; and the themes that are written in wend.
//
// To add a word, put an entry in the table of its theme: the checker, the
// evaluator, the reference and the tests read the tables.
package stdlib

import (
	"slices"
	"sync"

	"wend/lang/types"
	"wend/runtime/value"
)

// theme is one part of the library and of its reference.
type theme struct {
	name  string
	title string
	intro string
	words []value.Native
}

// themes are all words, in the order of the reference.
var themes = sync.OnceValue(func() []theme {
	all := []theme{
		{"stylus", "The stylus", "Words that move the one stylus, or that say something about the run. Everything the stylus does leaves line.", stylusWords()},
		{"path", "Paths", "A path is a line as a value, in a frame of its own. These functions make new paths, and leave the one they are given as it is; those that change a path do so about its (0, 0). Where a list of paths will do as well, its paths keep their places to each other.", pathWords()},
		{"area", "Areas", "A region is a closed path, a box such as the `page`, or a list of them; what lies within an odd number of them is inside, so a path within another is a hole. Paths may cross themselves and each other, and drawing a region means drawing its paths. What gives a region gives a list of paths that do not cross.", areaWords()},
		{"point", "Points", "A point is a place or an offset in mm, with `p.x` and `p.y`. Points are added, subtracted, and multiplied or divided by a number.", pointWords()},
		{"number", "Numbers", "Angles are in degrees. Where a function has no result (the root of -1, the logarithm of 0) the call is an error, so no drawing ever holds anything but numbers.", numberWords()},
		{"list", "Lists and texts", "Lists and texts count from 1, as rulers do. A text counts what a reader takes for one character, however it is encoded.", listWords()},
		{"record", "Records", "A record holds values by name: `{name: \"oak\", height: 12}`. A field is read as `r.height`, or as `r[name]` where the name is worked out, and changed by `r.height = 13`.", recordWords()},
		{"data", "Data from files", "A file lies beside the program that names it, or in a folder below, and nowhere else: so a program and its data can be handed on together. It is text in UTF-8.", []value.Native{dataWord()}},
		{"picture", "Pictures from files", "A picture lies beside the program that names it, or in a folder below, and nowhere else. A drawing is strokes; a picture of pixels is light: 0 is black and 1 is white, in linear light, so that the tone of a place is also the share of paper that a line must leave free there. Places in it go from (0, 0) at its lower left to (1, 1) at its upper right.", pictureWords()},
		{"lettering", "Lettering", "Type text, and one line writes it. Letters stand on a line along their feet, and the line goes from row to row where a letter is near one below, by way of what it draws anyway; the text still reads from left to right. Marks such as dots, dashes and quotes are filled, so that what ties them to a letter is seen as no part of them.", letteringWords()},
		{"chance", "Chance", "One random sequence runs through the program, from its seed on: the same program and seed give the same line on every computer.", chanceWords()},
	}
	for _, t := range all {
		for _, w := range t.words {
			w.Theme = t.name
		}
	}
	return all
})

// Library is the set of words that every program knows. It is made once; what
// it holds is not to be changed.
func Library() *types.Library { return library() }

var library = sync.OnceValue(func() *types.Library {
	all := &types.Library{Modules: Modules(), Renamed: map[string]string{"say": "note", "pick": "choose"}}
	for _, t := range themes() {
		for _, w := range t.words {
			all.Builtins = append(all.Builtins, w.Builtin)
		}
	}
	return all
})

// Natives are the words that have a Go function behind them: all but those
// that the evaluator carries out itself. Their Builtin is the one in Library.
func Natives() []value.Native {
	var natives []value.Native
	for _, t := range themes() {
		for _, w := range t.words {
			if w.Func != nil {
				natives = append(natives, w)
			}
		}
	}
	return slices.Clip(natives)
}
