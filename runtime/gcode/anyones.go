package gcode

import (
	"fmt"
	"slices"
	"strings"

	"wend/lang/diag"
	"wend/runtime/geom"
)

// Files from elsewhere were made for machines that lift a tool, spin it, heat
// it, cool it, push material through it, and find home by switches. What of
// that does not change where the line goes is left out, and told once for each
// kind; what may change it is refused by name. All of this is common practice,
// no source, but where a section of NISTIR 6556 is named.

// elsewhere is what a reader keeps of a file that was made for another machine.
type elsewhere struct {
	axes      leftOut // Z and E
	axisCount [2]int
	unheard   leftOut
	words     []string
	ways      leftOut // to a fixed place: G28 and G30
	wayWords  []string
	speedless bool // that a speed is missing was said

	z, zFrom             float64 // mm, after the line and before
	zSaid                bool
	spins, spun          bool // the tool is on, was ever
	power                float64
	powerSaid            bool
	unplacedX, unplacedY string // the word after which only a stated coordinate is known
}

// leftOut counts what is left out, from its first place.
type leftOut struct{ count, from, to int }

func (l *leftOut) note(from, to int) {
	if l.count++; l.count == 1 {
		l.from, l.to = from, to
	}
}

// Lift is what is said of the tool during a motion. What it means for the line
// is known only when the whole file is: see travels.
type Lift struct {
	// Z is the height, in mm: of a rapid motion the higher one of both ends, of
	// any other the lower one.
	Z      float64
	ZSaid  bool
	Feeds  bool // material: an E stands on the line
	Off    bool // the tool was switched off, or is not on yet
	Switch bool // the file has switched the tool on before, or now
}

func (r *reader) noteAxis(letter byte, at int) {
	r.axes.note(r.base+at, r.base+at+1)
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

// tools follows what a line says of the tool, and of home.
func (r *reader) tools(b *block) {
	r.zFrom = r.z
	if b.leftOut('Z') {
		r.height(b)
	}
	if b.leftOut('S') && b.g[groupOnce] != 40 {
		r.power, r.powerSaid = b.number('S'), true
	}
	switch b.m[groupSpindle] {
	case 3, 4:
		r.spins, r.spun = true, true
	case 5:
		r.spins = false
	}
	if code := b.g[groupOnce]; code == 280 || code == 300 {
		r.home(b, fmt.Sprintf("G%d", code/10))
	}
}

// height follows Z. What is above the paper and what below is seen from all of
// the file.
func (r *reader) height(b *block) {
	z := float64(b.number('Z') * r.unit)
	switch b.g[groupOnce] {
	case 280, 300, 530:
		r.zSaid = false // some height of the other machine
		return
	case -1:
		if !r.absolute {
			z += r.z
		}
	}
	if !r.zSaid {
		r.zFrom = z
	}
	r.z, r.zSaid = z, true
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
		r.ways.note(r.base+at, r.base+at+len(word))
		if !slices.Contains(r.wayWords, word) {
			r.wayWords = append(r.wayWords, word)
		}
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

func (r *reader) lift(b *block) Lift {
	z := min(r.z, r.zFrom)
	if r.moving == rapid {
		z = max(r.z, r.zFrom)
	}
	return Lift{
		Z: z, ZSaid: r.zSaid, Feeds: b.leftOut('E'),
		Off: !r.spins || r.powerSaid && r.power <= 0, Switch: r.spun,
	}
}

// tell says, once for each kind, what was left out.
func (r *reader) tell() {
	// The places are in the whole file, and the last stretch is being read.
	at := func(code diag.Code, l leftOut, args diag.Args) {
		r.report(code, l.from-r.base, l.to-r.base, args)
	}
	if r.axes.count > 0 {
		var which []string
		for i, letter := range []string{"Z", "E"} {
			if n := r.axisCount[i]; n > 0 {
				which = append(which, fmt.Sprintf("%s %s", letter, times(n)))
			}
		}
		at("instruction-axis-left-out", r.axes, diag.Args{"axes": strings.Join(which, " and ")})
	}
	if r.ways.count > 0 {
		at("instruction-way-left-out", r.ways, diag.Args{"words": strings.Join(r.wayWords, " and "), "times": times(r.ways.count)})
	}
	if r.unheard.count > 0 {
		const shown = 8
		words := strings.Join(r.words[:min(len(r.words), shown)], ", ")
		if more := len(r.words) - shown; more > 0 {
			words += fmt.Sprintf(" and %d more", more)
		}
		at("instruction-unheard", r.unheard, diag.Args{"words": words, "times": times(r.unheard.count)})
	}
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

// stretch is one motion of a file with what is said of the tool on it.
type stretch struct {
	first      int // index of the point at which it begins
	start, end int // of its line in the text
	lift       Lift
}

// travels reports which motions lead from one part to the next with the tool
// lifted, or switched off. Where material is fed, those are the motions without;
// where a tool is switched, those during which it is off; else those that are
// higher: above 0 where some are not, or else above the middle of the highest
// and the lowest. A file that says none of it, or the same all along, has none.
func travels(all []stretch) func(Lift) bool {
	feeds, switches, lowest, highest := false, false, 0.0, 0.0
	first := true
	for i := range all {
		l := &all[i].lift
		feeds = feeds || l.Feeds
		switches = switches || l.Switch
		switch {
		case !l.ZSaid:
		case first:
			lowest, highest, first = l.Z, l.Z, false
		default:
			lowest, highest = min(lowest, l.Z), max(highest, l.Z)
		}
	}
	switch {
	case feeds:
		return func(l Lift) bool { return !l.Feeds }
	case highest > lowest+geom.SamePoint:
		limit := (lowest + highest) / 2
		if lowest <= 0 && highest > 0 {
			limit = 0
		}
		return func(l Lift) bool { return !l.ZSaid || l.Z > limit+geom.SamePoint }
	case switches:
		return func(l Lift) bool { return l.Off }
	}
	return func(Lift) bool { return false }
}
