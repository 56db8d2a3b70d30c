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

// rising is the letter with a stroke that leads to its beginning from the
// baseline, if it begins above that.
func (g *Glyph) rising() *Glyph {
	strokes := slices.Clone(g.strokes)
	for i, s := range strokes {
		if s.start().Distance(*g.in) > nearly || s.start().Y <= nearly {
			continue
		}
		way := s[0].P1.Sub(s[0].P0)
		if s[0].straight {
			way = s[0].P3.Sub(s[0].P0)
		}
		if way.Y < math.Abs(way.X)/2 {
			way = geom.Point{X: 1, Y: 1}
		}
		way = way.Times(risingHandle / way.Length())
		foot := geom.Point{X: s.start().X - rise}
		up := span{Cubic: geom.Cubic{P0: foot, P1: foot.Add(geom.Point{X: risingHandle}), P2: s.start().Sub(way), P3: s.start()}}
		strokes[i] = append(stroke{up}, s...)
		break
	}
	h := g.reformed(strokes)
	h.in = nil
	return h
}
