package lettering

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wend/runtime/geom"
)

// Signs that float above the baseline, such as quotes, hyphens and the plus,
// would break the line that runs along it. Each is made one with a letter beside
// it or set on the baseline, by whatever shows least: its own level strokes drawn
// on to the letter, the shortest bridge to it, or a post.

const (
	// farBridge is how far, in units, a sign may be from the letter in its word
	// that a bridge leads to.
	farBridge = 90
	// farTie is how far a level stroke may be drawn on, deepTie how deep into a
	// letter: a dash must not close an open one.
	farTie, deepTie = 120, 45
)

// How much a unit of line that holds a sign disturbs.
const (
	tieShown, deepShown = 1.0, 1.0 // a level stroke, only longer; as deep as it goes
	// A bridge bends a level stroke.
	bridgeShown, bendShown = 1.2, 6.0
	// A post below an upright stroke makes that longer, below a slanting one it
	// is a new line, and below a level one it makes a T of a dash.
	uprightShown, slantShown, levelShown = 1.0, 2.5, 6.0
)

// floats reports whether nothing of a letter stands on the baseline.
func (g *Glyph) floats() bool {
	for _, s := range g.strokes {
		for _, p := range s {
			if math.Abs(p.P0.Y) <= nearly || math.Abs(p.P3.Y) <= nearly {
				return false
			}
		}
	}
	return true
}

// grounded are the rows that have letters, with no sign left that floats.
func (b *Block) grounded() []row {
	var rows []row
	made := map[string]*Glyph{}
	for _, r := range b.rows {
		if len(r.letters) == 0 {
			continue
		}
		r.letters = r.grounded(made)
		rows = append(rows, r)
	}
	return rows
}

func (r *row) grounded(made map[string]*Glyph) []placed {
	letters := r.flowing(made)
	result := make([]placed, 0, len(letters))
	for i := 0; i < len(letters); {
		if !letters[i].floats() {
			result = append(result, letters[i])
			i++
			continue
		}
		// Signs side by side stay together if they stand close.
		k := i + 1
		for k < len(letters) && letters[k].floats() && between(letters, k) <= farBridge {
			k++
		}
		signs := letters[i:k]
		best, hold := postCost(signs), func() { result = append(result, posted(signs, made)...) }
		// A sign belongs to the word that it stands in.
		toLeft, toRight := between(letters, i), between(letters, k)
		oneSided := math.IsInf(toLeft, 1) != math.IsInf(toRight, 1)
		if last := len(result) - 1; last >= 0 && !(oneSided && math.IsInf(toLeft, 1)) {
			ties, cost := holdAt(result[last], signs[0], toLeft, true)
			if cost < best {
				best, hold = cost, func() { result[last] = fused(result[last], signs, ties, "<", made) }
			}
		}
		if k < len(letters) && !letters[k].floats() && !(oneSided && math.IsInf(toRight, 1)) {
			ties, cost := holdAt(letters[k], signs[len(signs)-1], toRight, false)
			if cost < best {
				hold = func() { letters[k] = fused(letters[k], signs, ties, ">", made) }
			}
		}
		hold()
		i = k
	}
	return result
}

// between is how far letter i is from the one before it in its word.
func between(letters []placed, i int) float64 {
	if i == 0 || i == len(letters) || letters[i].opens {
		return math.Inf(1)
	}
	return letters[i-1].distance(letters[i])
}

// holdAt is how a letter can hold a sign beside it, and what that costs: by ties,
// or by a bridge if there are none.
func holdAt(letter, sign placed, apart float64, atLeft bool) (ties []stroke, cost float64) {
	ties, cost = tiesTo(letter, sign, atLeft)
	shown := bridgeShown
	if _, under := sign.post(); under == levelShown {
		shown = bendShown
	}
	if apart <= farBridge && float64(shown*apart) < cost {
		return nil, float64(shown * apart)
	}
	return ties, cost
}

// tiesTo are the level strokes of a sign that end freely at one side, drawn on
// to a letter there, and what they cost. Places are those of the letter.
func tiesTo(letter, sign placed, atLeft bool) (ties []stroke, cost float64) {
	for i, s := range sign.strokes {
		for _, p := range [2]span{s[0], s[len(s)-1]} {
			if p.inner {
				break
			}
			end, other := p.P0, p.P3
			if (end.X < other.X) != atLeft {
				end, other = other, end
			}
			if !p.straight || end.Y != other.Y || end != s.start() && end != s.end() || sign.meets(end, i) {
				continue
			}
			from := end.Add(geom.Point{X: sign.x - letter.x})
			x, ok := letter.sideAt(from.Y, atLeft)
			length, depth := from.X-x, letter.ink.Max.X-x
			if !atLeft {
				length, depth = x-from.X, x-letter.ink.Min.X
			}
			if !ok || length <= 0 || length > farTie || depth > deepTie {
				return nil, math.Inf(1)
			}
			ties = append(ties, stroke{line(from, geom.Point{X: x, Y: from.Y})})
			cost += float64(tieShown*length) + float64(deepShown*depth)
			if len(s) == 1 {
				break
			}
		}
	}
	if ties == nil {
		return nil, math.Inf(1)
	}
	return ties, cost
}

// meets reports whether another stroke of a letter ends at a place, too.
func (g *Glyph) meets(at geom.Point, but int) bool {
	for i, s := range g.strokes {
		for _, p := range s {
			if i != but && !p.inner && (p.P0.Distance(at) <= nearly || p.P3.Distance(at) <= nearly) {
				return true
			}
		}
	}
	return false
}

// sideAt is how far the ink of a letter reaches to a side at a height.
func (g *Glyph) sideAt(y float64, right bool) (x float64, ok bool) {
	toward := -1.0
	if right {
		toward = 1
	}
	best := math.Inf(-1)
	for _, points := range g.flat(coarse) {
		for i := 1; i < len(points); i++ {
			a, b := points[i-1], points[i]
			switch {
			case a.Y == b.Y && a.Y == y:
				best = max(best, float64(toward*a.X), float64(toward*b.X))
			case min(a.Y, b.Y) <= y && y <= max(a.Y, b.Y) && a.Y != b.Y:
				best = max(best, float64(toward*a.Mix(b, (y-a.Y)/(b.Y-a.Y)).X))
			}
		}
	}
	return float64(toward * best), !math.IsInf(best, 0)
}

// distance is how far apart the ink of two letters is, in units; a little more
// where neither has a node nearby.
func (l placed) distance(m placed) float64 {
	best := math.Inf(1)
	a, b := l.flat(coarse), m.flat(coarse)
	shift := geom.Point{X: m.x - l.x}
	for _, p := range a {
		for _, q := range b {
			for i := 1; i < len(p); i++ {
				for k := 1; k < len(q); k++ {
					u, v := q[k-1].Add(shift), q[k].Add(shift)
					best = min(best, geom.SegmentDistance(u, v, p[i-1]), geom.SegmentDistance(u, v, p[i]),
						geom.SegmentDistance(p[i-1], p[i], u), geom.SegmentDistance(p[i-1], p[i], v))
				}
			}
		}
	}
	return best
}

// fused is one letter made of a letter, signs beside it, and ties between them;
// side tells such letters apart that differ in nothing else.
func fused(l placed, signs []placed, ties []stroke, side string, made map[string]*Glyph) placed {
	var key strings.Builder
	key.WriteString(l.name)
	key.WriteString("\x00" + side)
	for _, s := range signs {
		fmt.Fprintf(&key, "\x00%s\x00%x", s.name, math.Float64bits(s.x-l.x))
	}
	g, ok := made[key.String()]
	if !ok {
		g = &Glyph{name: key.String(), ink: l.ink, in: l.in, out: l.out, wide: -1, added: l.added, doors: l.places()}
		g.strokes = append(g.strokes, l.strokes...)
		for _, s := range signs {
			by := geom.Translation(geom.Point{X: s.x - l.x})
			for _, s := range s.strokes {
				g.add(s.mapped(by))
			}
		}
		for _, t := range ties {
			g.add(t)
			g.added += t.start().Distance(t.end())
		}
		made[g.name] = g
	}
	return placed{g, l.x, l.opens}
}

// post is the line from a sign to the baseline: it goes on from its lowest
// stroke if that leads down, and else stands below its middle or its lowest
// place. shown is how much each unit of it disturbs.
func (g *Glyph) post() (post span, shown float64) {
	at := g.bottomAnchor()
	middle := g.ink.Center().X
	shown = slantShown
	foot := geom.Point{X: at.X}
	for _, s := range g.strokes {
		for _, p := range s {
			if !p.straight || p.inner {
				continue
			}
			if p.P0.Y == p.P3.Y && math.Abs(p.P0.Y-at.Y) <= nearly {
				shown = levelShown
				if min(p.P0.X, p.P3.X) <= middle && middle <= max(p.P0.X, p.P3.X) {
					at = geom.Point{X: middle, Y: p.P0.Y}
					foot.X = middle
				}
				continue
			}
			low, high := p.P0, p.P3
			if low.Y > high.Y {
				low, high = high, low
			}
			if low != at {
				continue
			}
			along := (high.X - low.X) / (high.Y - low.Y)
			if math.Abs(along) <= 1 {
				foot.X = at.X - float64(along*at.Y)
			}
			if math.Abs(along) < uprightSlope {
				shown = uprightShown
			}
		}
	}
	return line(at, foot), shown
}

// uprightSlope is by how much, for each unit of height, a stroke may lean that
// counts as upright.
const uprightSlope = 0.3

// postCost is what it costs to set signs on posts.
func postCost(signs []placed) float64 {
	sum := 0.0
	for _, s := range signs {
		p, shown := s.post()
		sum += float64(shown * p.P0.Distance(p.P3))
	}
	return sum
}

// posted are signs on posts.
func posted(signs []placed, made map[string]*Glyph) []placed {
	result := slices.Clone(signs)
	for i, s := range signs {
		key := s.name + "\x00"
		g, ok := made[key]
		if !ok {
			g = &Glyph{name: key, ink: s.ink, wide: -1}
			g.strokes = append(g.strokes, s.strokes...)
			p, _ := s.post()
			g.add(stroke{p})
			g.added = p.P0.Distance(p.P3)
			g.doors = []geom.Point{p.P3}
			made[key] = g
		}
		result[i].Glyph = g
	}
	return result
}
