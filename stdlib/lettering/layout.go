package lettering

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/rivo/uniseg"
	"golang.org/x/text/unicode/norm"

	"wend/runtime/geom"
)

// Align says how rows of different lengths stand to each other.
type Align uint8

// The alignments.
const (
	Left Align = iota
	Center
	Right
	// Justify widens the gaps between words until rows fill the width; the last
	// row of a paragraph stays as it is.
	Justify
)

// Style says how a text is set. All lengths are in mm.
type Style struct {
	Height  float64 // of a capital
	Spacing float64 // added between letters
	Leading float64 // from one baseline to the next; 0: as the face has it
	Slant   float64 // the tangent of the angle by which letters lean
	Width   float64 // where rows are broken; 0: only where the text says
	Align   Align
}

// Block is a text that was set, in mm: its (0, 0) is the left end of the first
// row's baseline.
type Block struct {
	face  *Face
	style Style
	scale float64 // mm per unit
	rows  []row
	width float64 // units
}

// row is one line of letters.
type row struct {
	letters  []placed
	width    float64 // of the ink, units
	baseline float64 // y, units
	closes   bool    // a paragraph ends here
	text     string
}

// placed is a letter in its row.
type placed struct {
	*Glyph
	x     float64 // of its origin, units
	opens bool    // a gap between words stands before it
}

// Missing says that a face lacks characters, of which mostMissing are named.
type Missing struct{ Characters []Character }

// Character is a character of a text and its number there, from 1, where it stands
// first.
type Character struct {
	Cluster string
	Place   int
}

const mostMissing = 8

func (m *Missing) Error() string {
	return fmt.Sprintf("there is no letter for %q, character %d", m.Characters[0].Cluster, m.Characters[0].Place)
}

// CodePoints are the numbers of the character: U+0041.
func (c Character) CodePoints() string {
	var b strings.Builder
	for _, r := range c.Cluster {
		if b.Len() > 0 {
			b.WriteByte(' ')
		}
		fmt.Fprintf(&b, "U+%04X", r)
	}
	return b.String()
}

// TooWide says that a word is wider than the rows.
type TooWide struct {
	Word    string
	WidthMM float64
}

func (w *TooWide) Error() string {
	return fmt.Sprintf("%q is %.4g mm wide", w.Word, w.WidthMM)
}

// Set lays out a text. It fails with a *Missing, a *TooWide, or what the face's
// own letters fail with. The style's numbers are taken to be sound.
func Set(face *Face, text string, style Style) (*Block, error) {
	b := &Block{face: face, style: style, scale: style.Height / Cap}
	s := setter{Block: b, spacing: style.Spacing / b.scale, limit: style.Width / b.scale}
	text = norm.NFC.String(text)
	if err := face.covers(text); err != nil {
		return nil, err
	}
	if err := s.text(text); err != nil {
		return nil, err
	}
	b.arrange()
	return b, nil
}

// covers reports as a *Missing what of a text the face has no letters for.
func (f *Face) covers(text string) error {
	var missing []Character
	state, cluster := -1, ""
	for place := 1; text != ""; place++ {
		cluster, text, _, state = uniseg.FirstGraphemeClusterInString(text, state)
		if cluster == "\t" || strings.ContainsAny(cluster, hardBreaks) {
			continue
		}
		g, err := f.Glyph(cluster)
		if err != nil {
			return err
		}
		if g == nil && len(missing) < mostMissing && !slices.ContainsFunc(missing, func(c Character) bool { return c.Cluster == cluster }) {
			missing = append(missing, Character{cluster, place})
		}
	}
	if len(missing) > 0 {
		return &Missing{missing}
	}
	return nil
}

// setter fills rows.
type setter struct {
	*Block
	spacing, limit float64 // units
	row            row
	pen            pen
}

// pen is where the next letter of a row goes.
type pen struct {
	last  *Glyph  // the last letter with ink; nil at the start of a row
	at    float64 // its x
	under *Glyph  // the last one that does not hang, if others hang after it
	foot  float64 // its x
	space float64 // width of the gap between words since then
}

// text sets rows broken as the Unicode line breaking rules (UAX #14) allow.
func (s *setter) text(text string) error {
	for {
		// The breaks that a text itself has are looked for here: the line breaking
		// library overlooks one before a hyphen and a figure.
		paragraph, wide := text, 0
		if at := strings.IndexAny(text, hardBreaks); at >= 0 {
			_, wide = utf8.DecodeRuneInString(text[at:])
			if strings.HasPrefix(text[at:], "\r\n") {
				wide = 2
			}
			paragraph = text[:at]
		}
		state, segment, rest := -1, "", paragraph
		for rest != "" {
			segment, rest, _, state = uniseg.FirstLineSegmentInString(rest, state)
			if err := s.segment(segment); err != nil {
				return err
			}
		}
		s.finish(true)
		if wide == 0 {
			return nil
		}
		text = text[len(paragraph)+wide:]
	}
}

// hardBreaks are the characters that begin a new row (the classes BK, CR, LF and
// NL of UAX #14).
const hardBreaks = "\r\n\v\f\u0085\u2028\u2029"

// segment sets what is not broken, in this row or the next.
func (s *setter) segment(text string) error {
	word := strings.TrimRight(text, " \t")
	row, pen := s.row, s.pen
	if err := s.write(word); err != nil {
		return err
	}
	if s.limit > 0 && s.row.width > s.limit+geom.SamePoint {
		if pen.last != nil {
			s.row, s.pen = row, pen
			s.finish(false)
			if err := s.write(word); err != nil {
				return err
			}
		}
		if s.row.width > s.limit+geom.SamePoint {
			return &TooWide{Word: word, WidthMM: float64(s.row.width * s.scale)}
		}
	}
	s.row.text += text
	return s.write(text[len(word):])
}

// write puts characters at the end of the row.
func (s *setter) write(text string) error {
	state, cluster := -1, ""
	for text != "" {
		cluster, text, _, state = uniseg.FirstGraphemeClusterInString(text, state)
		if cluster == "\t" {
			cluster = " "
		}
		g, err := s.face.Glyph(cluster)
		if err != nil {
			return err
		}
		s.put(g)
	}
	return nil
}

func (s *setter) put(g *Glyph) {
	if g.space() {
		if g.wide > 0 {
			s.pen.space += g.wide + s.spacing
		}
		return
	}
	x := -g.sides.min
	if last := s.pen.last; last != nil {
		if last.joined != nil && g.in != nil && s.pen.space == 0 {
			last = last.joined
			s.row.letters[len(s.row.letters)-1].Glyph = last
		}
		x = s.pen.at + s.face.advance(last, g, s.pen.space) + s.spacing
		if under := s.pen.under; under != nil {
			x = max(x, s.pen.foot+s.face.apart(under, g, s.pen.space))
		}
	} else {
		x += s.pen.space // an indent
	}
	s.row.letters = append(s.row.letters, placed{g, x, s.pen.space > 0 && s.pen.last != nil})
	s.row.width = max(s.row.width, x+g.sides.max)
	next := pen{last: g, at: x}
	if last := s.pen.last; last != nil && s.face.hangs(g) {
		next.under, next.foot = s.pen.under, s.pen.foot
		if !s.face.hangs(last) {
			next.under, next.foot = last, s.pen.at
		}
	}
	s.pen = next
}

// advance is the distance of the origins of two letters with a gap between words
// of some width, or 0.
func (f *Face) advance(a, b *Glyph, space float64) float64 {
	if space == 0 && a.out != nil && b.in != nil {
		// Handwriting: the letters meet where one ends and the other begins.
		return a.out.X - b.in.X
	}
	return f.apart(a, b, space)
}

// apart is the distance of the origins of two letters that do not join.
func (f *Face) apart(a, b *Glyph, space float64) float64 {
	gap := f.gap(a, b)
	if space > 0 {
		gap = max(gap, f.Gap/2) // words keep apart whatever they begin with
	}
	return a.sides.max + gap + space - b.sides.min
}

func (s *setter) finish(closes bool) {
	s.row.closes = closes
	s.rows = append(s.rows, s.row)
	s.row, s.pen = row{}, pen{}
}

// arrange aligns the rows that were filled.
func (b *Block) arrange() {
	leading := b.face.Leading
	if b.style.Leading > 0 {
		leading = b.style.Leading / b.scale
	}
	b.width = b.style.Width / b.scale
	if b.width == 0 {
		for _, r := range b.rows {
			b.width = max(b.width, r.width)
		}
	}
	for i := range b.rows {
		r := &b.rows[i]
		r.baseline = float64(float64(-i) * leading)
		spare := b.width - r.width
		shift := 0.0
		switch b.style.Align {
		case Center:
			shift = spare / 2
		case Right:
			shift = spare
		case Justify:
			if !r.closes {
				r.widen(spare)
			}
		}
		for k := range r.letters {
			r.letters[k].x += shift
		}
	}
}

// widen shares spare width among the gaps between words.
func (r *row) widen(spare float64) {
	gaps := 0
	for _, l := range r.letters {
		if l.opens {
			gaps++
		}
	}
	if gaps == 0 {
		return
	}
	passed := 0
	for i := range r.letters {
		if r.letters[i].opens {
			passed++
		}
		r.letters[i].x += float64(spare*float64(passed)) / float64(gaps)
	}
	r.width += spare
}

// Row is a row that was set: its words, and where it begins on its baseline, mm.
type Row struct {
	Text string
	At   geom.Point
}

// Rows are the rows from the first down.
func (b *Block) Rows() []Row {
	rows := make([]Row, len(b.rows))
	for i, r := range b.rows {
		rows[i] = Row{Text: strings.TrimSpace(r.text), At: geom.Point{Y: float64(r.baseline * b.scale)}}
		if len(r.letters) > 0 {
			rows[i].At.X = float64((r.letters[0].x + r.letters[0].sides.min) * b.scale)
		}
	}
	return rows
}

// Box is what the text fills, in mm: rows from end to end as they are set
// (upright), from the tops of capitals to the tails of the last row.
func (b *Block) Box() geom.Box {
	height := 0.0
	if len(b.rows) > 0 {
		height = b.rows[len(b.rows)-1].baseline
	}
	return geom.Box{
		Min: geom.Point{Y: float64((height - b.face.Descender) * b.scale)},
		Max: geom.Point{X: float64(b.width * b.scale), Y: float64(Cap * b.scale)},
	}
}
