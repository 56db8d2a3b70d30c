package lettering

import (
	"math"
	"slices"

	"wend/runtime/geom"
)

// Handwriting does not stop between words: the tail that would lead on to the
// next letter flows into the baseline instead, and the next word's first letter
// rises from there. Otherwise the line along the baseline would run below the
// tail, two strokes where a hand makes one.

const (
	// rise is how far before a letter, in units, the line leaves the baseline,
	// risingHandle how long it keeps its direction at both ends of the way up.
	rise, risingHandle = 26, 13
)

// flowing are letters whose tails and beginnings flow along the baseline where no
// letter joins them.
func (r *row) flowing(made map[string]*Glyph) []placed {
	letters := slices.Clone(r.letters)
	for i := range letters {
		l := &letters[i]
		if i > 0 && l.in != nil && (l.opens || letters[i-1].out == nil) {
			l.Glyph = l.variant("\x00rising", (*Glyph).rising, made)
		}
		if i+1 < len(letters) && l.out != nil && (letters[i+1].opens || r.letters[i+1].in == nil) {
			l.Glyph = l.variant("\x00level", (*Glyph).level, made)
		}
	}
	return letters
}

// variant is another form of a letter, made once.
func (g *Glyph) variant(suffix string, form func(*Glyph) *Glyph, made map[string]*Glyph) *Glyph {
	name := g.name + suffix
	if made[name] == nil {
		h := form(g)
		h.name = name
		made[name] = h
	}
	return made[name]
}

// reformed is a letter of other strokes with the same place in its row.
func (g *Glyph) reformed(strokes []stroke) *Glyph {
	h := &Glyph{ink: geom.EmptyBox(), in: g.in, out: g.out, wide: -1, sides: g.sides}
	for _, s := range strokes {
		h.add(s)
	}
	return h
}

// level is the letter with the tail that leads on laid along the baseline, or
// left out where the letter stands on it already.
func (g *Glyph) level() *Glyph {
	var strokes []stroke
	for _, s := range g.strokes {
		if s.end().Distance(*g.out) > nearly {
			strokes = append(strokes, s)
			continue
		}
		tail := s[len(s)-1]
		s = slices.Clone(s[:len(s)-1])
		if tail.P0.Y < -nearly {
			foot := geom.Point{X: g.out.X - risingHandle}
			s = append(s, span{Cubic: geom.Cubic{P0: tail.P0, P1: tail.P1, P2: foot.Sub(geom.Point{X: risingHandle}), P3: foot}})
		}
		if len(s) > 0 {
			strokes = append(strokes, s)
		}
	}
	h := g.reformed(strokes)
	h.out = nil
	return h
}

// rising is the letter with a stroke that leads to it from the baseline: to its
// beginning, if that is where the letter before would meet it, or low on the near
// side of its bowl.
func (g *Glyph) rising() *Glyph {
	strokes := slices.Clone(g.strokes)
	begins := slices.IndexFunc(strokes, func(s stroke) bool { return s.start().Distance(*g.in) <= nearly })
	switch {
	case begins >= 0 && strokes[begins].start().Y > nearly:
		s := strokes[begins]
		way := s[0].P1.Sub(s[0].P0)
		if s[0].straight {
			way = s[0].P3.Sub(s[0].P0)
		}
		if way.Y < math.Abs(way.X)/2 {
			way = geom.Point{X: 1, Y: 1}
		}
		strokes[begins] = append(stroke{riseTo(s.start(), way)}, s...)
	case begins < 0:
		for i, s := range strokes {
			strokes[i] = s.cutAt(flank, true)
		}
		if sides := g.reformed(strokes).flanks(); len(sides) > 0 {
			strokes = append(strokes, stroke{riseTo(sides[0], geom.Point{X: 3, Y: 2})})
		}
	}
	h := g.reformed(strokes)
	h.in = nil
	return h
}

// riseTo is the stroke that leads up to a place, arriving in a direction.
func riseTo(to, way geom.Point) span {
	way = way.Times(risingHandle / way.Length())
	foot := geom.Point{X: to.X - rise}
	return span{Cubic: geom.Cubic{P0: foot, P1: foot.Add(geom.Point{X: risingHandle}), P2: to.Sub(way), P3: to}}
}
