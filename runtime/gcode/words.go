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
	if !supported {
		b.refusals = append(b.refusals, refusal{wordName("G", value), from, to})
		b.refused = b.refused || group == groupMotion || group == groupOnce
	}
	return true
}

// wordName is how people are shown a word.
func wordName(letter string, value float64) string {
	return letter + strconv.FormatFloat(value, 'g', 6, 64)
}

// mostMWords may stand on one line (section 3.3.5).
const mostMWords = 4

func (r *reader) mWord(b *block, value float64, from, to int) bool {
	code, ok := whole(value)
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
	if !supported {
		b.refusals = append(b.refusals, refusal{wordName("M", value), from, to})
	}
	return true
}

func (r *reader) clash(other, from, to int, first, second string) {
	d := diag.New("instruction-clash", r.span(from, to), diag.Args{"first": first, "second": second})
	r.diagnostics = append(r.diagnostics, d.WithRelated(r.span(other, other+1), first+" is here"))
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
		if !b.axes() {
			r.report("instruction-axis-missing", int(b.gAt[groupOnce]), int(b.gAt[groupOnce])+1, diag.Args{"word": "G92"})
			return false
		}
	}
	moves := b.axes() && once != 920 && !b.refused
	if says && !b.axes() {
		// The word and a feed beside it still count for the lines after.
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
	if once == 40 && (!b.word('P') || b.number('P') < 0) {
		at := int(b.gAt[groupOnce])
		r.report("instruction-dwell", at, at+1, nil)
		return false
	}
	if b.word('F') && b.number('F') < 0 {
		return wordFault("instruction-number", 'F', diag.Args{"text": "the letter F", "why": "a feed cannot be below 0"})
	}
	return true
}
