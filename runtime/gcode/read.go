package gcode

import (
	"bytes"
	"sync"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/geom"
)

// Motion is one exact motion of the stylus, or of the motors where a file was
// compensated, in machine mm. It begins where the one before ended.
type Motion struct {
	From, To geom.Point
	Arc      *Arc    // nil: straight
	Feed     float64 // mm/min; 0 for a rapid motion or under inverse time
	Start    int     // offset of the instruction's line in the text
	End      int     // of its end
	Lift     Lift
	// Loose says that From hangs on where the motors stood before the file.
	Loose bool
}

// Settings say what a reader may take for granted.
type Settings struct {
	// Start is where the motors stand before the file, in machine mm. A file
	// that says so itself (G92 before any motion) overrides it.
	Start geom.Point
	// Anyones reads a file from anywhere, made for another machine: what the
	// standard forbids but means one thing, and what a machine of two axes can
	// leave out without another line, are read and told (see anyones.go).
	// Without it a file is held to the letter of the standard.
	Anyones bool
	// Paused is called where the file waits for the operator; nil where that is
	// of no interest.
	Paused func(message string, start, end int)
}

// Reading is what is known of a file once it is read.
type Reading struct {
	Start    geom.Point // where the first motion began, machine mm
	Asserted bool       // the file itself says where that is
	End      geom.Point
	Motions  int
	LengthMM float64
	// FirstMotion is the offset of the first motion's line in the text.
	FirstMotion int
	Box         geom.Box // all that was touched, arcs by their true extent
}

// Read reads an instruction file after RS-274/NGC as published in NISTIR 6556
// (Kramer, Proctor, Messina 2000) and passes on each motion as it is met;
// the Motion is only good until the call returns.
// Words that the standard has and a machine of two axes does not are errors
// that name the word. Everything found is reported; a line with an error is
// passed over. The switches of the operator that the standard knows, for lines
// that begin with "/" and for M1, are off: the lines are read, and M1 does not
// wait.
//
// It shares no code with the writer of this package.
func Read(name, text string, settings Settings, motion func(*Motion)) (Reading, diag.List) {
	r := newReader(settings, motion, sync.OnceValue(func() *source.File { return source.New(name, text) }))
	r.lines([]byte(text))
	return r.done()
}

// mostFaults is how many errors are reported before reading is given up: a
// file that is no instruction file at all has one on every line.
const mostFaults = 50

// reader reads a file in one or several stretches of whole lines. Offsets are
// in the stretch until they are passed on.
type reader struct {
	text     []byte              // the stretch
	base     int                 // its offset in the file
	file     func() *source.File // the whole
	settings Settings
	motion   func(*Motion)
	now      Motion

	diagnostics diag.List
	faults      int             // how many of them are errors
	unsupported map[string]bool // words reported already
	begun       bool            // a line with a word, or the first "%", was met
	delimited   int             // where in the file the first "%" stands, or -1
	ended       bool            // nothing is read any more

	// The state of the machine, as far as it matters here.
	at                   geom.Point // machine mm
	offset, saved        geom.Point // of G92, mm: program coordinate = at - offset
	assertedX, assertedY bool
	moving               motionMode
	absolute             bool
	unit                 float64 // mm in one unit of length
	inverseTime          bool
	feed                 float64 // mm/min
	reading              Reading

	anyones bool
	elsewhere
}

type motionMode int8

const (
	noMotion motionMode = iota // nothing said yet
	rapid
	straight
	clockwise
	counterclockwise
)

func (m motionMode) String() string {
	return [...]string{"no motion word", "G0", "G1", "G2", "G3"}[m]
}

func newReader(settings Settings, motion func(*Motion), file func() *source.File) *reader {
	return &reader{
		file: file, settings: settings, motion: motion, at: settings.Start, unit: 1, absolute: true,
		delimited: -1, reading: Reading{Box: geom.EmptyBox()}, anyones: settings.Anyones,
		elsewhere: elsewhere{loose: axisPair{true, true}},
	}
}

func (r *reader) span(from, to int) source.Span {
	return source.Span{File: r.file(), Start: r.base + from, End: r.base + to}
}

// report adds what is to be said. To the letter of the standard everything is an
// error.
func (r *reader) report(code diag.Code, from, to int, args diag.Args) {
	d := diag.New(code, r.span(from, to), args)
	if !r.anyones {
		d.Severity = diag.Error
	}
	r.diagnostics = append(r.diagnostics, d)
	if d.Severity == diag.Error {
		r.faults++
	}
}

// hint replaces the hint of what was reported last.
func (r *reader) hint(text string) { r.diagnostics[len(r.diagnostics)-1].Hint = text }

// lines reads the next stretch of a file line by line. A file either ends with
// M2 or M30, or its program stands between two lines of "%"; what follows is
// not read.
func (r *reader) lines(text []byte) {
	r.base += len(r.text)
	r.text = text
	var b block
	for start := 0; start < len(r.text) && !r.ended; {
		if next, ok := r.plain(start); ok {
			start = next
			continue
		}
		end := start
		if next := bytes.IndexByte(r.text[start:], '\n'); next >= 0 {
			end += next
		} else {
			end = len(r.text)
		}
		next := end + 1
		if end > start && r.text[end-1] == '\r' {
			end--
		}
		if at := bytes.IndexByte(r.text[start:end], '\r'); at >= 0 && r.anyones {
			end = start + at
			next = end + 1
		}
		if at := bytes.IndexByte(r.text[start:end], '\r'); at >= 0 {
			// What would follow from it on the rest of the file is no news.
			r.report("instruction-line-ends", start+at, start+at+1, nil)
			r.ended = true
		} else if at, ok := percentLine(r.text, start, end); ok {
			r.percent(at)
		} else {
			r.line(&b, start, end)
		}
		start = next
	}
}

// percent is a line that holds nothing but a "%".
func (r *reader) percent(at int) {
	switch {
	case !r.begun:
		r.delimited, r.begun = r.base+at, true
	case r.delimited >= 0:
		r.ended = true
	default:
		r.report("instruction-percent", at, at+1, nil)
	}
}

func (r *reader) line(b *block, start, end int) {
	faults := r.faults
	if r.scan(b, start, end) {
		r.execute(b)
	}
	if b.has != 0 || b.gWords != 0 || b.mWords != 0 {
		r.begun = true
	}
	if r.faults > faults && r.faults >= mostFaults {
		r.report("instruction-reading-stopped", start, end, diag.Args{"count": mostFaults})
		r.ended = true
	}
}

// done is what is known when the last stretch was read.
func (r *reader) done() (Reading, diag.List) {
	if !r.ended && !r.closed {
		if end := len(r.text); r.delimited < 0 {
			r.report("instruction-end-missing", end, end, nil)
		} else {
			at := r.delimited - r.base
			r.report("instruction-percent-open", at, at+1, nil)
		}
	}
	if r.anyones && r.faults == 0 {
		r.tell()
	}
	r.reading.End = r.at
	if r.reading.Motions == 0 {
		r.reading.Start = r.at
		r.reading.Asserted = r.assertedX && r.assertedY
	}
	return r.reading, r.diagnostics
}

// percentLine reports whether a line holds nothing but one "%", and where.
func percentLine(text []byte, start, end int) (int, bool) {
	at := -1
	for i := start; i < end; i++ {
		switch c := text[i]; {
		case c == ' ' || c == '\t':
		case c == '%' && at < 0:
			at = i
		default:
			return 0, false
		}
	}
	return at, at >= 0
}

// to is the target of a motion: the axis words that stand on the line,
// absolute or relative, in mm of the machine.
func (r *reader) to(b *block) geom.Point {
	return geom.Point{
		X: r.axis(b, 'X', r.at.X, r.offset.X),
		Y: r.axis(b, 'Y', r.at.Y, r.offset.Y),
	}
}

func (r *reader) axis(b *block, letter byte, at, offset float64) float64 {
	switch {
	case !b.word(letter):
		return at
	case r.absolute:
		return float64(b.number(letter)*r.unit) + offset
	}
	return at + float64(b.number(letter)*r.unit)
}

// execute does what a line says, in the order of the standard's Table 8.
func (r *reader) execute(b *block) {
	if !r.check(b) {
		return
	}
	inverseTime := r.inverseTime
	switch b.g[groupFeedMode] {
	case 930:
		r.inverseTime = true
	case 940:
		r.inverseTime = false
	}
	if r.inverseTime != inverseTime {
		// A number of the other meaning (section 3.5.19).
		r.feed = 0
	}
	if b.word('F') && !r.inverseTime {
		r.feed = b.number('F') * r.unit
	}
	switch b.g[groupUnits] {
	case 200:
		r.unit = 25.4
	case 210:
		r.unit = 1
	}
	switch b.g[groupDistance] {
	case 900:
		r.absolute = true
	case 910:
		r.absolute = false
	}
	switch b.g[groupOnce] {
	case 920:
		r.setOrigin(b)
	case 921:
		r.offset, r.saved = geom.Point{}, geom.Point{}
		r.looseOrigin, r.looseSaved = axisPair{}, axisPair{}
	case 922:
		r.offset, r.looseOrigin = geom.Point{}, axisPair{}
	case 923:
		r.offset, r.looseOrigin = r.saved, r.looseSaved
	}
	if mode, ok := motionOf(b.g[groupMotion]); ok {
		r.moving = mode
	} else if b.cancel {
		r.moving = noMotion // section 3.5.16 (number from memory): G80 ends every motion mode
	}
	if r.anyones {
		r.tools(b)
	}
	if b.moves() {
		r.move(b)
	}
	if b.m[groupStop] == 0 && r.settings.Paused != nil {
		r.settings.Paused(b.message, r.base+b.start, r.base+b.end)
	}
	if b.m[groupStop] == 2 || b.m[groupStop] == 30 {
		r.ended = true
	}
}

// setOrigin is G92: the point where the stylus stands gets the given
// coordinates. Before any motion that says where it stands in the area; after,
// it shifts the coordinates of what follows.
func (r *reader) setOrigin(b *block) {
	set := func(letter byte, at, offset *float64, asserted, loose, looseOrigin *bool) {
		if !b.word(letter) {
			return
		}
		value := float64(b.number(letter) * r.unit)
		if r.reading.Motions == 0 && !*asserted {
			*at, *offset, *asserted = value, 0, true
			*loose, *looseOrigin = false, false
			return
		}
		*offset, *looseOrigin = *at-value, *loose
	}
	set('X', &r.at.X, &r.offset.X, &r.assertedX, &r.loose.x, &r.looseOrigin.x)
	set('Y', &r.at.Y, &r.offset.Y, &r.assertedY, &r.loose.y, &r.looseOrigin.y)
	r.saved, r.looseSaved = r.offset, r.looseOrigin
}

func (r *reader) move(b *block) {
	m := &r.now
	if !r.placed(b) {
		return
	}
	*m = Motion{From: r.at, To: r.to(b), Start: r.base + b.start, End: r.base + b.end, Lift: r.lift(b), Loose: r.loose.x || r.loose.y}
	if r.moving == clockwise || r.moving == counterclockwise {
		arc, why := r.arc(b, m.To)
		if why != "" {
			r.report("instruction-arc", b.first, b.last, diag.Args{"why": why})
			return
		}
		m.Arc = arc
	}
	if r.moving != rapid && !r.speed(b, m) {
		return
	}
	r.anchor(r.absolute && b.word('X'), r.absolute && b.word('Y'))
	r.pass(m)
}

// pass notes a motion and passes it on.
func (r *reader) pass(m *Motion) {
	if r.reading.Motions == 0 {
		r.reading.Start, r.reading.FirstMotion = r.at, m.Start
		r.reading.Asserted = r.assertedX && r.assertedY
		r.reading.Box = r.reading.Box.Include(r.at)
	}
	r.reading.Motions++
	if m.Arc == nil {
		r.reading.LengthMM += m.To.Distance(m.From)
		r.reading.Box = r.reading.Box.Include(m.To)
	} else {
		r.reading.LengthMM += float64(m.Arc.Length(m.From, m.To))
		r.reading.Box = r.reading.Box.Union(m.Arc.Bounds(m.From, m.To))
	}
	r.at = m.To
	r.closed = false
	r.motion(m)
}

// speed finds the feed of a motion. Files from elsewhere are drawn at the
// machine's own speeds, so that one is missing is of no interest there.
func (r *reader) speed(b *block, m *Motion) bool {
	why, hint := "", ""
	switch {
	case r.inverseTime && !(b.word('F') && b.number('F') > 0):
		why, hint = "under G93 each motion needs its own F above 0", "add F with 1 divided by the minutes that this motion is to take"
	case !r.inverseTime && r.feed <= 0:
		why = "no F above 0 was given before this motion"
	case !r.inverseTime:
		m.Feed = r.feed
	}
	if why == "" || r.anyones {
		return true
	}
	r.report("instruction-feed-missing", b.first, b.last, diag.Args{"why": why})
	if hint != "" {
		r.hint(hint)
	}
	return false
}
