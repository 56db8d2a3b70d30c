package lettering

import (
	"slices"
	"sync"

	"golang.org/x/text/unicode/norm"

	"wend/runtime/geom"
)

// Cap is the height of a capital in a face's units.
const Cap = 100

// Face is a set of letters of one look. It is safe for concurrent use.
type Face struct {
	Name string
	// XHeight is the height of a small letter, Descender how far tails reach
	// below the baseline, Leading the distance of rows.
	XHeight, Descender, Leading float64
	// Gap is the distance between two upright strokes of neighbouring letters,
	// Dot the radius of a full stop.
	Gap, Dot float64
	// Lean is how far the face leans to the right per unit of height.
	Lean float64

	letters map[string]*letter // those that the face draws itself
	own     func(cluster string) (*Glyph, error)
	kerns   map[[2]string]float64

	composed sync.Map // cluster → *Glyph or nil
	gaps     sync.Map // [2]string → float64
}

// letter is what a face draws itself. Few of a face's letters stand in a text, so
// each is made ready when it is first asked for.
type letter struct {
	upright, joined *Glyph // joined: what is drawn instead before a letter that can be entered, or nil
	once            sync.Once
	glyph           *Glyph
}

// drawn is a letter that the face draws itself, or nil.
func (f *Face) drawn(name string) *Glyph {
	l := f.letters[name]
	if l == nil {
		return nil
	}
	l.once.Do(func() {
		l.glyph = l.upright.leaned(f.Lean)
		if l.joined != nil {
			l.glyph.joined = l.joined.leaned(f.Lean)
		}
	})
	return l.glyph
}

// Glyph is one letter with its marks.
type Glyph struct {
	name    string
	strokes []stroke
	ink     geom.Box // empty for a space
	// in and out are where handwriting enters and leaves, crown and foot where
	// marks are set; nil if the letter does not say.
	in, out, crown, foot *geom.Point
	wide                 float64 // -1 unless the letter has a fixed width
	sides                *sides
	outline              *edges
	edged                sync.Once
	// joined is drawn instead before a letter that can be entered, if not nil.
	joined *Glyph
	// added is how much of the strokes holds a sign that floats.
	added float64
	// doors are its places, if they are not found from its strokes: the line does
	// not come and go by way of a sign that floats.
	doors []geom.Point

	once   sync.Once
	ways   *ways
	failed error
	routes sync.Map // routeKey → []geom.Point
}

// space reports whether nothing is drawn.
func (g *Glyph) space() bool { return len(g.strokes) == 0 }

// longestKept is how many bytes of a cluster are kept with its letter: stacks
// of marks beyond are composed anew each time, so that no text can make a face
// grow without end.
const longestKept = 12

// Glyph is the letter for a grapheme cluster, or nil if the face has none.
func (f *Face) Glyph(cluster string) (*Glyph, error) {
	if f.own == nil {
		if g := f.drawn(cluster); g != nil {
			return g, nil
		}
	}
	if g, ok := f.composed.Load(cluster); ok {
		return g.(*Glyph), nil
	}
	var g *Glyph
	if f.own != nil {
		var err error
		if g, err = f.own(cluster); err != nil {
			return nil, err
		}
	} else {
		g = f.compose(cluster)
	}
	if g == nil || len(cluster) > longestKept {
		return g, nil
	}
	kept, _ := f.composed.LoadOrStore(cluster, g)
	return kept.(*Glyph), nil
}

// The presentation selectors say whether a sign is wanted as text or in
// colour; a line is a line.
func plainRunes(cluster string) []rune {
	return slices.DeleteFunc([]rune(cluster), func(r rune) bool { return r == '\uFE0E' || r == '\uFE0F' })
}

// compose sets marks onto the letter that they belong to.
func (f *Face) compose(cluster string) *Glyph {
	runes := plainRunes(cluster)
	if g := f.drawn(norm.NFC.String(string(runes))); g != nil {
		return g
	}
	runes = []rune(norm.NFD.String(string(runes)))
	if len(runes) < 2 {
		return nil
	}
	base := runes[0]
	if above(runes[1:]) {
		switch base {
		case 'i', 'і':
			base = 'ı'
		case 'j', 'ј':
			base = 'ȷ'
		}
	}
	letter := f.drawn(string(base))
	if letter == nil || letter.space() {
		return nil
	}
	top := letter.topAnchor(f.Lean)
	g := f.marked(cluster, letter, top, runes[1:])
	if joined := letter.joined; g != nil && joined != nil {
		// The stroke that leads on does not move the marks.
		if joined.crown != nil {
			top = *joined.crown
		}
		g.joined = f.marked(cluster+joinedSuffix, joined, top, runes[1:])
	}
	return g
}

// marked is a letter with marks, those above from top upward; nil if there is no
// such mark.
func (f *Face) marked(name string, letter *Glyph, top geom.Point, marks []rune) *Glyph {
	g := &Glyph{
		name: name, strokes: slices.Clone(letter.strokes), ink: letter.ink,
		in: letter.in, out: letter.out, wide: letter.wide,
	}
	bottom := letter.bottomAnchor()
	for _, r := range marks {
		mark := f.drawn(string(r))
		class := norm.NFD.PropertiesString(string(r)).CCC()
		if mark == nil || class == 0 {
			return nil
		}
		var at geom.Point
		switch class {
		case attachedBelow, below, iotaBelow:
			at = bottom
			if r == ogonek {
				at = letter.footRight()
			}
			if mark.foot != nil {
				bottom = at.Add(*mark.foot)
			}
		case attachedRight:
			at = letter.topRight()
		default:
			at = top
			if mark.crown != nil {
				top = at.Add(*mark.crown)
			}
		}
		by := geom.Translation(at)
		for _, s := range mark.strokes {
			g.add(s.mapped(by))
		}
	}
	g.crown, g.foot = &top, &bottom
	g.measure(f.Lean)
	return g
}

// Canonical combining classes (the Unicode Standard, section 4.3) of marks
// that are not set above.
const (
	attachedBelow = 202
	attachedRight = 216
	below         = 220
	iotaBelow     = 240

	ogonek = '\u0328'
)

func above(marks []rune) bool {
	for _, r := range marks {
		if c := norm.NFD.PropertiesString(string(r)).CCC(); c != attachedBelow && c != below && c != iotaBelow && c != attachedRight {
			return true
		}
	}
	return false
}

func (g *Glyph) add(s stroke) {
	g.strokes = append(g.strokes, s)
	g.ink = g.ink.Union(s.extent())
}

// topAnchor is where marks stand: unless the letter says, over its middle.
func (g *Glyph) topAnchor(lean float64) geom.Point {
	if g.crown != nil {
		return *g.crown
	}
	// The middle is that of the letter upright, carried to its top.
	box := geom.EmptyBox()
	for _, s := range g.strokes {
		box = box.Union(s.mapped(leaning(-lean)).extent())
	}
	return leaning(lean).Point(geom.Point{X: box.Center().X, Y: box.Max.Y})
}

// bottomAnchor is the lowest place of the letter, that nearest its middle if
// there are several.
func (g *Glyph) bottomAnchor() geom.Point {
	if g.foot != nil {
		return *g.foot
	}
	middle := g.ink.Center().X
	distance := func(p geom.Point) float64 { return max(p.X-middle, middle-p.X) }
	return g.extreme(func(p, best geom.Point) bool {
		return p.Y < best.Y-nearly || p.Y < best.Y+nearly && distance(p) < distance(best)
	})
}

// footRight is the rightmost place at the foot.
func (g *Glyph) footRight() geom.Point {
	return g.extreme(func(p, best geom.Point) bool {
		return p.Y < best.Y-nearly || p.Y < best.Y+nearly && p.X > best.X
	})
}

func (g *Glyph) topRight() geom.Point {
	return g.extreme(func(p, best geom.Point) bool {
		return p.Y > best.Y+nearly || p.Y > best.Y-nearly && p.X > best.X
	})
}

// nearly is within how many units two heights count as one.
const nearly = 3

// extreme is the node that better prefers to all others.
func (g *Glyph) extreme(better func(p, best geom.Point) bool) geom.Point {
	best := g.strokes[0].start()
	for _, s := range g.strokes {
		for _, p := range s {
			if better(p.P0, best) {
				best = p.P0
			}
			if better(p.P3, best) {
				best = p.P3
			}
		}
	}
	return best
}

// Own is a face of letters that someone else draws: each is one line, in units,
// with its (0, 0) on the baseline. Errors of letter are passed on.
func Own(letter func(cluster string) ([]geom.Point, error)) *Face {
	f := &Face{XHeight: 70, Descender: 30, Leading: 190, Gap: 30, Dot: 6}
	f.own = func(cluster string) (*Glyph, error) {
		points, err := letter(cluster)
		if err != nil {
			return nil, err
		}
		g := &Glyph{name: cluster, ink: geom.EmptyBox(), wide: -1}
		if points = geom.WithoutRepeats(points); len(points) < 2 {
			g.wide = 0
			return g, nil
		}
		g.add(polyline(points))
		g.measure(0)
		return g, nil
	}
	return f
}
