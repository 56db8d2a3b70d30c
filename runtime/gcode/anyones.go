package gcode

import (
	"fmt"
	"slices"
	"strings"

	"wend/lang/diag"
)

// Files from elsewhere were made for machines that lift a tool, spin it, heat
// it, cool it, push material through it, and find home by switches. What of
// that does not change where the line goes is left out, and told once for each
// kind; what may change it is refused by name. All of this is common practice,
// no source, but where a section of NISTIR 6556 is named.

// elsewhere is what a reader keeps of a file that was made for another machine.
type elsewhere struct {
	axisCount            [2]int   // of Z and E
	words                []string // the others, each once
	unheard              leftOut
	unplacedX, unplacedY string // the word after which only a stated coordinate is known
	// What hangs on where the stylus stands before the file: a place, and with
	// it the origin that a G92 sets there.
	loose, looseOrigin, looseSaved axisPair
	tool
}

// axisPair holds for X, or for Y, or both.
type axisPair struct{ x, y bool }

// leftOut counts what is left out, from its first place.
type leftOut struct{ count, from, to int }

func (l *leftOut) note(from, to int) {
	if l.count++; l.count == 1 {
		l.from, l.to = from, to
	}
}

func (r *reader) noteAxis(letter byte, at int) {
	r.unheard.note(r.base+at, r.base+at+1)
	r.axisCount[strings.IndexByte("ZE", letter)]++
}

// noteWord notes that nothing on this machine listens to a word.
func (r *reader) noteWord(word string, from, to int) {
	r.unheard.note(r.base+from, r.base+to)
	if !slices.Contains(r.words, word) {
		r.words = append(r.words, word)
	}
}

// leftOut reports whether a letter stood on the line and was left out.
func (b *block) leftOut(letter byte) bool { return b.dropped>>(letter-'A')&1 != 0 }

func (b *block) drop(letter byte) {
	b.has &^= 1 << (letter - 'A')
	b.dropped |= 1 << (letter - 'A')
}

// leaveOut takes from a line what this machine has no part for.
func (r *reader) leaveOut(b *block) {
	if b.word('E') {
		b.drop('E')
	}
	if b.word('Z') {
		r.noteAxis('Z', int(b.at['Z'-'A']))
		b.drop('Z')
	}
	// K is the offset along Z of an arc's centre, H the length of a tool (NISTIR
	// 6556, sections 3.5.3 and, from memory, 3.5.14), D its radius; Q, S, T go
	// with tools.
	for _, letter := range []byte("KHST") {
		if b.word(letter) {
			if letter == 'S' || letter == 'T' {
				at := int(b.at[letter-'A'])
				r.noteWord(string(letter), at, at+1)
			}
			b.drop(letter)
		}
	}
	if b.word('P') && b.g[groupPath] == 640 { // how exactly a path is kept
		b.drop('P')
	}
	switch code := b.g[groupOnce]; code {
	case 40:
		at := int(b.gAt[groupOnce])
		r.noteWord("G4", at, at+2)
	case 530:
		// Other coordinates, which are not known here.
		if b.axes() {
			b.refusals = append(b.refusals, refusal{"G53", int(b.gAt[groupOnce]), int(b.gAt[groupOnce]) + 3})
			b.refused = true
		}
	}
	if b.m[groupStop] == 1 {
		at := int(b.mAt[groupStop])
		r.noteWord("M1", at, at+2)
	}
}

// home is a way to switches that this machine does not have. It is left out,
// and where the file then believes to be is not where the stylus is: what comes
// next must say so for both axes, and not relative to there.
func (r *reader) home(b *block, word string) {
	all := !b.axes() && !b.leftOut('Z')
	if b.word('X') || all {
		r.unplacedX = word
	}
	if b.word('Y') || all {
		r.unplacedY = word
	}
	if b.axes() || all {
		at := int(b.gAt[groupOnce])
		r.noteWord(word, at, at+len(word))
		r.closed = true
	}
}

// placed reports whether it is known where a motion begins and leads.
func (r *reader) placed(b *block) bool {
	if r.unplacedX == "" && r.unplacedY == "" {
		return true
	}
	stated := func(letter byte, after *string) bool {
		if *after != "" && r.absolute && b.word(letter) && (r.moving == rapid || r.moving == straight) {
			*after = ""
		}
		return *after == ""
	}
	word := r.unplacedX + r.unplacedY
	x, y := stated('X', &r.unplacedX), stated('Y', &r.unplacedY)
	if x && y {
		return true
	}
	r.report("instruction-place-unknown", b.first, b.last, diag.Args{"word": word[:3]})
	r.unplacedX, r.unplacedY = "", ""
	return false
}

// tell says once what was left out, and what that means.
func (r *reader) tell() {
	if r.unheard.count == 0 {
		return
	}
	var named, meaning []string
	for i, letter := range []string{"Z", "E"} {
		if n := r.axisCount[i]; n > 0 {
			named = append(named, fmt.Sprintf("%s (%s)", letter, times(n)))
		}
	}
	if len(named) > 0 {
		meaning = append(meaning, "the stylus never lifts; `wend build` shows what is drawn")
	}
	if slices.ContainsFunc(r.words, func(word string) bool { return word == "G28" || word == "G30" }) {
		meaning = append(meaning, "the way to a fixed place and back is not drawn")
	}
	if len(meaning) == 0 {
		meaning = append(meaning, "the line is the same without")
	}
	const shown = 6
	words := append(named, r.words...)
	more := len(words) - shown
	words = words[:min(len(words), shown)]
	all := strings.Join(words, ", ")
	if more > 0 {
		all += fmt.Sprintf(" and %d more", more)
	}
	// The place is in the whole file, and the last stretch is being read.
	r.report("instruction-unheard", r.unheard.from-r.base, r.unheard.to-r.base, diag.Args{"words": all})
	r.hint(strings.Join(meaning, "; "))
}

// times says how often.
func times(n int) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return fmt.Sprintf("%d times", n)
}

// anchor follows whether it is known where a motion ends, wherever the stylus
// stood before the file. x and y say which coordinates it states, absolute.
func (r *reader) anchor(x, y bool) {
	if x {
		r.loose.x = r.looseOrigin.x
	}
	if y {
		r.loose.y = r.looseOrigin.y
	}
}
