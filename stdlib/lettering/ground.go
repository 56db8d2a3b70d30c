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
// it in its word, by the shortest bridge from anywhere to anywhere, as the dot is with its
// i; one that has none near is set on a post.

// farBridge is how far, in units, a sign may be from its letter.
const farBridge = 60

// floats tells whether nothing of a letter stands on the baseline.
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
		r.letters = linked(r.letters, made)
		rows = append(rows, r)
	}
	return rows
}

func (r *row) grounded(made map[string]*Glyph) []placed {
	letters := slices.Clone(r.letters)
	// between is how far letter i is from the one before it in its word.
	between := func(i int) float64 {
		if i == 0 || i == len(letters) || letters[i].opens {
			return math.Inf(1)
		}
		return letters[i-1].distance(letters[i])
	}
	result := make([]placed, 0, len(letters))
	for i := 0; i < len(letters); {
		if !letters[i].floats() {
			result = append(result, letters[i])
			i++
			continue
		}
		end := i
		for end < len(letters) && letters[end].floats() {
			end++
		}
		// Signs side by side stay together if they stand close.
		for i < end {
			k := i + 1
			for k < end && between(k) <= farBridge {
				k++
			}
			toLeft, toRight := between(i), math.Inf(1)
			if k == end {
				toRight = between(k)
			}
			switch {
			case toLeft <= toRight && toLeft <= farBridge:
				last := len(result) - 1
				result[last] = fused(result[last], letters[i:k], made)
			case toRight <= farBridge:
				letters[k] = fused(letters[k], letters[i:k], made)
			default:
				for _, l := range letters[i:k] {
					result = append(result, posted(l, made))
				}
			}
			i = k
		}
	}
	return result
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

// fused is one letter made of a letter and signs beside it.
func fused(l placed, signs []placed, made map[string]*Glyph) placed {
	var key strings.Builder
	key.WriteString(l.name)
	for _, s := range signs {
		fmt.Fprintf(&key, "\x00%s\x00%x", s.name, math.Float64bits(s.x-l.x))
	}
	g, ok := made[key.String()]
	if !ok {
		g = &Glyph{name: key.String(), ink: l.ink, in: l.in, out: l.out, wide: -1, post: l.post}
		g.strokes = append(g.strokes, l.strokes...)
		for _, s := range signs {
			by := geom.Translation(geom.Point{X: s.x - l.x})
			for _, s := range s.strokes {
				g.add(s.mapped(by))
			}
		}
		made[g.name] = g
	}
	return placed{g, l.x, l.opens}
}

// posted is a sign with a straight post to the baseline, below its middle if it
// is flat there.
func posted(l placed, made map[string]*Glyph) placed {
	key := l.name + "\x00"
	g, ok := made[key]
	if !ok {
		g = &Glyph{name: key, ink: l.ink, wide: -1}
		g.strokes = append(g.strokes, l.strokes...)
		at := l.bottomAnchor()
		middle := l.ink.Center().X
		for _, s := range l.strokes {
			for _, p := range s {
				level := p.straight && p.P0.Y == p.P3.Y && math.Abs(p.P0.Y-at.Y) <= nearly
				if level && min(p.P0.X, p.P3.X) <= middle && middle <= max(p.P0.X, p.P3.X) {
					at = geom.Point{X: middle, Y: p.P0.Y}
				}
			}
		}
		g.add(stroke{line(at, geom.Point{X: at.X})})
		g.post = math.Abs(at.Y)
		made[key] = g
	}
	return placed{g, l.x, l.opens}
}

// farLink is how far, in units, a level line may lead from a letter's way out.
const farLink = 60

// level tells whether a letter is left by a level line.
func (g *Glyph) level() bool { return g.out != nil && g.in == nil }

// linked makes one letter of two where the first is left by a level line that
// meets the second, unless that is entered as handwriting is. That is for letters that the line along the baseline would turn into others,
// as an F into an E.
func linked(letters []placed, made map[string]*Glyph) []placed {
	result := make([]placed, 0, len(letters))
	for _, l := range letters {
		if last := len(result) - 1; last >= 0 {
			if before := result[last]; before.level() && l.in == nil && !l.opens {
				from := before.out.Add(geom.Point{X: before.x})
				if x, ok := l.leftAt(from.Y); ok && x+l.x > from.X && x+l.x-from.X <= farLink {
					result[last] = bridged(before, l, x+l.x-from.X, made)
					continue
				}
			}
		}
		result = append(result, l)
	}
	return result
}

// leftAt is where the ink of a letter begins at a height.
func (g *Glyph) leftAt(y float64) (x float64, ok bool) {
	x = math.Inf(1)
	for _, points := range g.flat(coarse) {
		for i := 1; i < len(points); i++ {
			a, b := points[i-1], points[i]
			switch {
			case a.Y == b.Y && a.Y == y:
				x = min(x, a.X, b.X)
			case min(a.Y, b.Y) <= y && y <= max(a.Y, b.Y) && a.Y != b.Y:
				x = min(x, a.Mix(b, (y-a.Y)/(b.Y-a.Y)).X)
			}
		}
	}
	return x, !math.IsInf(x, 1)
}

// bridged is one letter made of two and a level line between them.
func bridged(a, b placed, length float64, made map[string]*Glyph) placed {
	joined := fused(a, []placed{b}, made)
	key := joined.name + "\x00-"
	g, ok := made[key]
	if !ok {
		from := *a.out
		g = &Glyph{name: key, ink: joined.ink, in: a.in, out: b.out, wide: -1, strokes: slices.Clone(joined.strokes)}
		if b.out != nil {
			out := b.out.Add(geom.Point{X: b.x - a.x})
			g.out = &out
		}
		g.add(stroke{line(from, from.Add(geom.Point{X: length}))})
		g.post = joined.post + b.post + length
		made[key] = g
	}
	return placed{g, a.x, a.opens}
}
