package gcode

import (
	"fmt"
	"strconv"

	"wend/lang/diag"
)

// The modal groups of Table 4 of the standard, numbered for this package. Two
// words of one group may not stand on one line.
const (
	groupOnce     = iota // the standard's group 0: for one line only
	groupMotion          // 1
	groupPlane           // 2
	groupDistance        // 3
	groupFeedMode        // 5
	groupUnits           // 6
	groupRadius          // 7
	groupTool            // 8
	groupReturn          // 10
	groupSystem          // 12
	groupPath            // 13
	groups
)

// Groups of M words.
const (
	groupStop     = iota // 4
	groupChange          // 6
	groupSpindle         // 7
	groupCoolant         // 8
	groupOverride        // 9
)

// gGroup is the group of ten times a G word, whether the standard has it, and
// whether a machine of two axes without a lift can do what it says.
func gGroup(code int) (group int, known, supported bool) {
	switch code {
	case 0, 10, 20, 30:
		return groupMotion, true, true
	case 382, 800, 810, 820, 830, 840, 850, 860, 870, 880, 890:
		return groupMotion, true, false
	case 170:
		return groupPlane, true, true
	case 180, 190:
		return groupPlane, true, false
	case 900, 910:
		return groupDistance, true, true
	case 930, 940:
		return groupFeedMode, true, true
	case 200, 210:
		return groupUnits, true, true
	case 400, 410, 420:
		return groupRadius, true, false
	case 430, 490:
		return groupTool, true, false
	case 980, 990:
		return groupReturn, true, false
	case 540, 550, 560, 570, 580, 590, 591, 592, 593:
		return groupSystem, true, false
	case 610, 611, 640:
		return groupPath, true, false
	case 40, 920, 921, 922, 923:
		return groupOnce, true, true
	case 100, 280, 300, 530:
		return groupOnce, true, false
	}
	return 0, false, false
}

func mGroup(code int) (group int, known, supported bool) {
	switch code {
	case 0, 1, 2, 30:
		return groupStop, true, true
	case 60:
		return groupStop, true, false
	case 6:
		return groupChange, true, false
	case 3, 4, 5:
		return groupSpindle, true, false
	case 7, 8, 9:
		return groupCoolant, true, false
	case 48, 49:
		return groupOverride, true, false
	}
	return 0, false, false
}

func motionOf(code int16) (motionMode, bool) {
	switch code {
	case 0:
		return rapid, true
	case 10:
		return straight, true
	case 20:
		return clockwise, true
	case 30:
		return counterclockwise, true
	}
	return 0, false
}

func (r *reader) gWord(b *block, value float64, from, to int) bool {
	code, ok := whole(float64(value * 10))
	if !ok || code < 0 {
		r.report("instruction-word-unknown", from, to, diag.Args{"word": wordName("G", value)})
		return false
	}
	if r.anyones {
		switch {
		case code == 911: // offsets of arcs count from where the arc begins, as they do anyway (common practice, no source)
			return true
		case code == 800:
			b.cancel = true
			b.gWords++
			return true
		}
	}
	group, known, supported := gGroup(code)
	if !known {
		r.report("instruction-word-unknown", from, to, diag.Args{"word": wordName("G", value)})
		return false
	}
	if b.g[group] >= 0 {
		r.clash(int(b.gAt[group]), from, to, wordName("G", float64(b.g[group])/10), wordName("G", value))
		return false
	}
	b.gWords++
	b.g[group], b.gAt[group] = int16(code), int32(from)
	if !supported && !(r.anyones && harmless(code)) {
		b.refusals = append(b.refusals, refusal{wordName("G", value), from, to})
		b.refused = b.refused || group == groupMotion || group == groupOnce
	}
	return true
}

// harmless are the words, ten times each, of which a machine of two axes does
// not take anything amiss: they state what holds anyway (no compensation of a
// radius or a length, the first of the coordinate systems, how exactly a path
// is kept, how drilling returns), or concern Z alone (NISTIR 6556, sections
// 3.5.8 to 3.5.14 and 3.5.20, numbers from memory), or are judged by the axes
// beside them.
func harmless(code int) bool {
	switch code {
	case 400, 430, 490, 540, 610, 611, 640, 980, 990, 280, 300, 530:
		return true
	}
	return false
}

// wordName is how people are shown a word.
func wordName(letter string, value float64) string {
	return letter + strconv.FormatFloat(value, 'g', 6, 64)
}

// mostMWords may stand on one line (section 3.3.5).
const mostMWords = 4

func (r *reader) mWord(b *block, value float64, from, to int) bool {
	code, ok := whole(value)
	if r.anyones && value >= 0 && r.otherMachines(b, code, ok) {
		r.noteWord(wordName("M", value), from, to)
		r.closed = r.closed || ok && (code == 18 || code == 84) // motors off
		b.skip = true
		return true
	}
	if !ok || code < 0 {
		r.report("instruction-word-unknown", from, to, diag.Args{"word": wordName("M", value)})
		return false
	}
	group, known, supported := mGroup(code)
	if !known {
		r.report("instruction-word-unknown", from, to, diag.Args{"word": wordName("M", value)})
		return false
	}
	if b.m[group] >= 0 {
		r.clash(int(b.mAt[group]), from, to, fmt.Sprintf("M%d", b.m[group]), wordName("M", value))
		return false
	}
	if b.mWords++; b.mWords > mostMWords {
		r.report("instruction-m-words", from, to, diag.Args{"limit": mostMWords})
		return false
	}
	b.m[group], b.mAt[group] = int16(code), int32(from)
	switch {
	case supported:
	case r.anyones && code != 60:
		r.noteWord(wordName("M", value), from, to)
	default:
		b.refusals = append(b.refusals, refusal{wordName("M", value), from, to})
	}
	return true
}

// otherMachines reports whether an M word that the standard does not have
// begins a line: such a word switches a part that another machine has (a
// heater, a fan, a display), and the rest of the line belongs to it (common
// practice, no source). M96 to M99 are not among them: they go to other lines.
func (r *reader) otherMachines(b *block, code int, isWhole bool) bool {
	if b.gWords+b.mWords != 0 || b.has != 0 || isWhole && 96 <= code && code <= 99 {
		return false
	}
	_, known, _ := mGroup(code)
	return !isWhole || !known
}

func (r *reader) clash(other, from, to int, first, second string) {
	r.report("instruction-clash", from, to, diag.Args{"first": first, "second": second})
	last := &r.diagnostics[len(r.diagnostics)-1]
	*last = last.WithRelated(r.span(other, other+1), first+" is here")
}

// refuse reports, once each, what the standard has and this machine has not.
// The rest of the line still counts, so that the modes and places of what
// follows are judged rightly.
func (r *reader) refuse(word string, from, to int) {
	if !r.unsupported[word] {
		if r.unsupported == nil {
			r.unsupported = map[string]bool{}
		}
		r.unsupported[word] = true
		r.report("instruction-unsupported", from, to, diag.Args{"word": word})
	}
}

// check holds the words of a line against each other, before any is done.
func (r *reader) check(b *block) bool {
	if r.anyones {
		r.leaveOut(b)
	}
	for _, w := range b.refusals {
		r.refuse(w.word, w.from, w.to)
	}
	for _, letter := range []byte("ABCDHKLQSTZ") {
		if b.word(letter) {
			at := int(b.at[letter-'A'])
			r.refuse(string(letter), at, at+1)
		}
	}
	wordFault := func(code diag.Code, letter byte, args diag.Args) bool {
		at := int(b.at[letter-'A'])
		r.report(code, at, at+1, args)
		return false
	}
	once, mode := b.g[groupOnce], r.moving
	named, says := motionOf(b.g[groupMotion])
	if says {
		mode = named
	}
	if once == 920 {
		if says {
			r.clash(int(b.gAt[groupOnce]), int(b.gAt[groupMotion]), int(b.gAt[groupMotion])+1, "G92", named.String())
			return false
		}
		if !b.axes() && !b.leftOut('Z') && !b.leftOut('E') {
			r.report("instruction-axis-missing", int(b.gAt[groupOnce]), int(b.gAt[groupOnce])+1, diag.Args{"word": "G92"})
			return false
		}
	}
	moves := b.moves()
	if says && !b.axes() && !(r.anyones && !b.word('I') && !b.word('J') && !b.word('R')) {
		// The word and a feed beside it still count for the lines after. Files
		// from elsewhere set them so (common practice, no source).
		at := int(b.gAt[groupMotion])
		r.report("instruction-axis-missing", at, at+1, diag.Args{"word": named.String()})
	}
	if moves && mode == noMotion {
		letter := byte('X')
		if !b.word(letter) {
			letter = 'Y'
		}
		return wordFault("instruction-motion-missing", letter, nil)
	}
	arc := moves && (mode == clockwise || mode == counterclockwise)
	for _, letter := range []byte("IJR") {
		if b.word(letter) && !arc {
			return wordFault("instruction-word-unused", letter, diag.Args{"word": string(letter), "needs": "an arc, G2 or G3"})
		}
	}
	if b.word('P') && once != 40 {
		return wordFault("instruction-word-unused", 'P', diag.Args{"word": "P", "needs": "a dwell, G4"})
	}
	if once == 40 && (!b.word('P') || b.number('P') < 0) && !b.leftOut('S') {
		at := int(b.gAt[groupOnce])
		r.report("instruction-dwell", at, at+1, nil)
		return false
	}
	if b.word('F') && b.number('F') < 0 {
		return wordFault("instruction-number", 'F', diag.Args{"text": "the letter F", "why": "a feed cannot be below 0"})
	}
	return true
}

// moves reports whether the axis words of a line are where it leads.
func (b *block) moves() bool {
	switch b.g[groupOnce] {
	case 920, 280, 300:
		return false
	}
	return b.axes() && !b.refused
}
