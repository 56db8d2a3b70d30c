package lettering

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"wend/runtime/elementary"
	"wend/runtime/geom"
)

// reader takes a face's text apart.
type reader struct {
	face   *Face
	base   *Face
	slant  float64 // degrees
	lines  map[string]source
	drawn  map[string]*Glyph // upright
	active map[string]bool   // being drawn, to find letters made of themselves
}

// source is the line that draws a letter.
type source struct {
	number int
	items  string
}

// Read makes a face of its text. A face may name a base that draws what it does
// not draw itself; it is looked up by base. The error names the line.
func Read(text string, base func(name string) *Face) (*Face, error) {
	r := &reader{
		face:   &Face{letters: map[string]*letter{}, kerns: map[[2]string]float64{}},
		lines:  map[string]source{},
		drawn:  map[string]*Glyph{},
		active: map[string]bool{},
	}
	var order []string
	number := 0
	for text != "" {
		var row string
		row, text, _ = strings.Cut(text, "\n")
		number++
		row = strings.TrimSpace(row)
		if row == "" || row == "#" || strings.HasPrefix(row, "# ") {
			continue
		}
		word, rest, _ := strings.Cut(row, " ")
		rest = strings.TrimSpace(rest)
		fail := func(format string, args ...any) (*Face, error) {
			return nil, fmt.Errorf("line %d: %s", number, fmt.Sprintf(format, args...))
		}
		name, ok := characterName(word)
		if !ok {
			if err := r.setting(word, rest, base); err != nil {
				return fail("%v", err)
			}
			continue
		}
		if _, again := r.lines[name]; again {
			return fail("%s is drawn twice", word)
		}
		r.lines[name] = source{number, rest}
		order = append(order, name)
	}
	if err := r.settled(); err != nil {
		return nil, err
	}
	for _, name := range order {
		if _, err := r.glyph(name); err != nil {
			return nil, err
		}
	}
	if r.base != nil {
		for name, l := range r.base.letters {
			r.face.letters[name] = &letter{upright: l.upright}
		}
	}
	for name, g := range r.drawn {
		r.face.letters[name] = &letter{upright: g}
	}
	for name, l := range r.face.letters {
		if before, ok := strings.CutSuffix(name, joinedSuffix); ok && before != "" {
			plain := r.face.letters[before]
			if plain == nil {
				return nil, fmt.Errorf("%s has a joined form but no plain one", before)
			}
			plain.joined = l.upright
			delete(r.face.letters, name)
		}
	}
	return r.face, nil
}

// joinedSuffix marks the line that draws a letter as it is before one that can
// be entered.
const joinedSuffix = "→"

// characterName is the character that a line is about: itself, or U+ and its
// number. Longer words are settings.
func characterName(word string) (string, bool) {
	if digits, ok := strings.CutPrefix(word, "U+"); ok && digits != "" {
		n, err := strconv.ParseUint(digits, 16, 21)
		return string(rune(n)), err == nil && utf8.ValidRune(rune(n))
	}
	letter := word
	if len(word) > len(joinedSuffix) {
		letter = strings.TrimSuffix(word, joinedSuffix)
	}
	r, size := utf8.DecodeRuneInString(letter)
	return norm.NFC.String(word), size == len(letter) && r != utf8.RuneError
}

// setting reads a line that is about the face.
func (r *reader) setting(word, rest string, base func(name string) *Face) error {
	f := r.face
	sizes := map[string]*float64{
		"xheight": &f.XHeight, "descender": &f.Descender, "leading": &f.Leading,
		"gap": &f.Gap, "dot": &f.Dot, "slant": &r.slant,
	}
	switch {
	case word == "face":
		f.Name = rest
	case word == "base":
		if r.base = base(rest); r.base == nil {
			return fmt.Errorf("there is no face %q", rest)
		}
		if r.base.Lean != 0 {
			return fmt.Errorf("the face %q leans, so nothing can stand on it", rest)
		}
	case word == "kern":
		fields := strings.Fields(rest)
		if len(fields) != 3 {
			return fmt.Errorf("kern needs two letters and a number, not %q", rest)
		}
		left, okLeft := characterName(fields[0])
		right, okRight := characterName(fields[1])
		by, err := strconv.ParseFloat(fields[2], 64)
		if !okLeft || !okRight || err != nil {
			return fmt.Errorf("kern needs two letters and a number, not %q", rest)
		}
		f.kerns[[2]string{left, right}] = by
	case sizes[word] != nil:
		n, err := strconv.ParseFloat(rest, 64)
		if err != nil || n < 0 || n > largest {
			return fmt.Errorf("%s needs a number from 0 to %d, not %q", word, largest, rest)
		}
		*sizes[word] = n
	default:
		return fmt.Errorf("no letter and no setting is called %q", word)
	}
	return nil
}

// settled checks what the whole face needs.
func (r *reader) settled() error {
	f := r.face
	switch {
	case f.Name == "":
		return fmt.Errorf("the face has no name")
	case f.Gap <= 0 || f.Dot <= 0 || f.Leading <= 0:
		return fmt.Errorf("the face %s needs a gap, a dot and a leading above 0", f.Name)
	case r.slant > 45:
		return fmt.Errorf("the face %s leans by more than 45 degrees", f.Name)
	}
	f.Lean, _ = elementary.TanDegrees(r.slant)
	return nil
}

// glyph is a letter upright: as it was drawn here, or as the base has it.
func (r *reader) glyph(name string) (*Glyph, error) {
	if g, ok := r.drawn[name]; ok {
		return g, nil
	}
	line, ok := r.lines[name]
	if !ok {
		if r.base != nil {
			if g := r.base.drawn(name); g != nil {
				r.drawn[name] = g
				return g, nil
			}
		}
		return nil, fmt.Errorf("%s is not drawn", name)
	}
	fail := func(err error) (*Glyph, error) { return nil, fmt.Errorf("line %d: %w", line.number, err) }
	if r.active[name] {
		return fail(fmt.Errorf("%s is made of itself", name))
	}
	r.active[name] = true
	defer delete(r.active, name)
	g := &Glyph{name: name, ink: geom.EmptyBox(), wide: -1}
	for _, item := range strings.Split(line.items, " ; ") {
		if err := r.item(g, strings.Fields(item)); err != nil {
			return fail(err)
		}
	}
	if g.space() && g.wide < 0 {
		return fail(fmt.Errorf("%s is neither drawn nor wide", name))
	}
	r.drawn[name] = g
	return g, nil
}

// item reads one part of a letter.
func (r *reader) item(g *Glyph, fields []string) error {
	if len(fields) == 0 {
		return fmt.Errorf("there is nothing between two semicolons")
	}
	anchors := map[string]**geom.Point{"crown": &g.crown, "foot": &g.foot, "in": &g.in, "out": &g.out}
	word := fields[0]
	if part, ok := strings.CutPrefix(word, "="); ok && part != "" {
		return r.part(g, part, fields[1:])
	}
	if anchor := anchors[word]; anchor != nil || word == "dot" {
		if len(fields) != 2 {
			return fmt.Errorf("%s needs one point", word)
		}
		p, err := coordinates(fields[1])
		if err != nil {
			return err
		}
		if anchor != nil {
			*anchor = &p
		} else {
			g.add(ring(p, r.face.Dot))
		}
		return nil
	}
	if word == "disc" || word == "fill" {
		outline := ring(geom.Point{}, r.face.Dot*discShare)
		if word == "fill" {
			var err error
			if outline, err = readStroke(fields[1:]); err != nil {
				return err
			}
			if outline.start() != outline.end() || outline.extent().Width() == 0 || outline.extent().Height() == 0 {
				return fmt.Errorf("what is filled is a stroke that ends where it begins and has an inside")
			}
		} else {
			if len(fields) != 2 {
				return fmt.Errorf("disc needs one point")
			}
			p, err := coordinates(fields[1])
			if err != nil {
				return err
			}
			outline = outline.mapped(geom.Translation(p))
		}
		g.add(outline)
		g.add(filled(outline))
		return nil
	}
	if word == "wide" {
		if len(fields) != 2 {
			return fmt.Errorf("wide needs one number")
		}
		n, err := strconv.Atoi(fields[1])
		if err != nil || n < 0 || n > largest {
			return fmt.Errorf("wide needs a whole number, not %q", fields[1])
		}
		g.wide = float64(n)
		return nil
	}
	s, err := readStroke(fields)
	if err != nil {
		return err
	}
	g.add(s)
	return nil
}

// discShare is how large a filled disc is, by the ring of a full stop.
const discShare = 7.0 / 6

// part adds another letter, moved and scaled.
func (r *reader) part(g *Glyph, word string, fields []string) error {
	name, ok := characterName(word)
	if !ok || len(fields) > 2 {
		return fmt.Errorf("a part is written =NAME x,y percent")
	}
	other, err := r.glyph(name)
	if err != nil {
		return err
	}
	by := geom.Scaling(1, 1)
	if len(fields) == 2 {
		percent, err := strconv.Atoi(fields[1])
		if err != nil || percent < 1 || percent > largest {
			return fmt.Errorf("%q is no percentage", fields[1])
		}
		by = geom.Scaling(float64(percent)/100, float64(percent)/100)
	}
	if len(fields) > 0 {
		if by.Shift, err = coordinates(fields[0]); err != nil {
			return err
		}
	}
	for _, s := range other.strokes {
		g.add(s.mapped(by))
	}
	if other.wide >= 0 {
		g.wide = other.wide
	}
	return nil
}

// readStroke reads points and the corners and control points between them.
func readStroke(fields []string) (stroke, error) {
	fail := func() (stroke, error) {
		return nil, fmt.Errorf("a stroke is points x,y, with at most one (x,y) or one pair ((x,y) (x,y)) between two; this is %q", strings.Join(fields, " "))
	}
	var s stroke
	var controls []geom.Point
	at, begun := geom.Point{}, false
	pair := false
	for _, field := range fields {
		text := field
		if strings.HasPrefix(text, "((") {
			if pair || len(controls) > 0 {
				return fail()
			}
			pair, text = true, text[1:]
		}
		closes := strings.HasSuffix(text, "))")
		if closes {
			if !pair || len(controls) != 1 {
				return fail()
			}
			text = text[:len(text)-1]
		}
		inner, control := strings.CutPrefix(text, "(")
		if control {
			if inner, control = strings.CutSuffix(inner, ")"); !control || !begun {
				return fail()
			}
		}
		p, err := coordinates(inner)
		if err != nil {
			return nil, err
		}
		if control {
			controls = append(controls, p)
			continue
		}
		if begun && len(controls) == 0 && p == at {
			return nil, fmt.Errorf("the stroke stands still at %q", field)
		}
		switch {
		case !begun:
			begun = true
		case len(controls) == 0 && !pair:
			s = append(s, line(at, p))
		case len(controls) == 1 && !pair:
			s = append(s, rounded(at, controls[0], p))
		case len(controls) == 2 && pair:
			s = append(s, span{Cubic: geom.Cubic{P0: at, P1: controls[0], P2: controls[1], P3: p}})
		default:
			return fail()
		}
		at, controls, pair = p, controls[:0], false
	}
	if len(s) == 0 || len(controls) > 0 || pair {
		return fail()
	}
	return s, nil
}

// largest bounds every coordinate and size.
const largest = 10_000

func coordinates(text string) (geom.Point, error) {
	xText, yText, _ := strings.Cut(text, ",")
	x, errX := strconv.Atoi(xText)
	y, errY := strconv.Atoi(yText)
	if errX != nil || errY != nil || max(x, -x, y, -y) > largest {
		return geom.Point{}, fmt.Errorf("%q is no point: x,y in whole units", text)
	}
	return geom.Point{X: float64(x), Y: float64(y)}, nil
}

// flank is how high, in units, a join may attach to the side of a bowl.
const flank = Cap / 8

// leaned is the letter as the face has it, measured.
func (g *Glyph) leaned(lean float64) *Glyph {
	by := leaning(lean)
	point := func(p *geom.Point) *geom.Point {
		if p == nil {
			return nil
		}
		q := by.Point(*p)
		return &q
	}
	h := &Glyph{
		name: g.name, ink: geom.EmptyBox(), wide: g.wide,
		in: point(g.in), out: point(g.out), crown: point(g.crown), foot: point(g.foot),
	}
	for _, s := range g.strokes {
		s = s.cutAt(0, false)
		if g.in == nil && g.out == nil {
			s = s.cutAt(flank, true)
		}
		h.add(s.mapped(by))
	}
	h.measure(lean)
	return h
}
