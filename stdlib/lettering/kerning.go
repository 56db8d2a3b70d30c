package lettering

import (
	"math"
	"slices"

	"wend/runtime/geom"
)

// Letters look evenly spaced when the white between them is even, not when
// their boxes are. What the eye takes for that white is measured row by row:
// each row of a pair counts by the inverse square of its width, so that the
// nearest places count most and what lies deep inside a letter hardly. The
// letters are set so that the mean is that of two upright strokes at the face's
// gap. (This is common practice in type design; the exponent was chosen by eye.)

const (
	lowestRow  = -50
	highestRow = 150
	rowStep    = 5
	rowCount   = (highestRow-lowestRow)/rowStep + 1
	// rowReach is how far above and below itself a row looks.
	rowReach = 7
	// deepest is how far into a letter the eye looks.
	deepest = 36
	// clearance is the least distance of the ink of two letters, in any direction, as
	// a share of the gap, and closest the least in units. (ISO 3098-0 lets the gap
	// between letters shrink to one stroke where that looks better, as in LA and
	// TV: two tenths of a capital between the middles of strokes.)
	clearance, closest = 0.7, 20
	// hanging is how near a letter signs up at the tops of capitals stand, as a
	// share of what other letters keep: a bridge leads there.
	hanging = 0.65
	// floating is the least distance of letters that share no height, as a share
	// of the gap, creep how far, in units, signs that hang may stand over others.
	floating, creep = 0.3, 22
	// leastRows is the least height of what is compared, in rows.
	leastRows = 6
)

// sides are the outlines of a letter, upright: for each row how far its ink
// reaches to the left and to the right. Rows without ink have left > right.
type sides struct {
	left, right [rowCount]float64
	min, max    float64
	first, last int // rows with ink
}

// measure finds the sides of a letter that leans.
func (g *Glyph) measure(lean float64) {
	if g.space() {
		return
	}
	s := &sides{min: math.Inf(1), max: math.Inf(-1)}
	for i := range s.left {
		s.left[i], s.right[i] = math.Inf(1), math.Inf(-1)
	}
	g.sides = s
	upright := leaning(-lean)
	for _, stroke := range g.strokes {
		points := stroke.mapped(upright).flat(sideTolerance)
		for i := 1; i < len(points); i++ {
			s.include(points[i-1], points[i])
		}
	}
	s.first, s.last = rowCount, -1
	for i := range s.left {
		if s.left[i] <= s.right[i] {
			s.first, s.last = min(s.first, i), i
		}
	}
}

// sideTolerance is how exactly outlines are looked at, in units.
const sideTolerance = 1

func (s *sides) include(a, b geom.Point) {
	if a.Y > b.Y {
		a, b = b, a
	}
	s.min = min(s.min, a.X, b.X)
	s.max = max(s.max, a.X, b.X)
	row := func(y float64) int { return int(math.Floor((y - lowestRow) / rowStep)) }
	for i := max(0, row(a.Y-rowReach)); i <= min(rowCount-1, row(b.Y+rowReach)+1); i++ {
		low := lowestRow + float64(float64(i)*rowStep) - rowReach
		high := low + 2*rowReach
		if b.Y < low || a.Y > high {
			continue
		}
		p, q := a, b
		if a.Y < low {
			p = a.Mix(b, (low-a.Y)/(b.Y-a.Y))
		}
		if b.Y > high {
			q = a.Mix(b, (high-a.Y)/(b.Y-a.Y))
		}
		s.left[i] = min(s.left[i], p.X, q.X)
		s.right[i] = max(s.right[i], p.X, q.X)
	}
}

// gap is the distance from the right edge of a letter's ink to the left edge of
// the next one's, both upright, in units; often negative.
func (f *Face) gap(a, b *Glyph) float64 {
	key := [2]string{a.name, b.name}
	if known, ok := f.gaps.Load(key); ok {
		return known.(float64)
	}
	white := f.Gap
	if f.hangs(a) || f.hangs(b) {
		white *= hanging
	}
	least := float64(floating * white)
	if f.hangs(a) && b.in != nil || f.hangs(b) && a.out != nil {
		least = -creep // over the stroke that leads on
	}
	result := f.opticalGap(a.sides, b.sides, white, least) + f.kerns[key]
	// What the eye takes for even must not bring the end of a bar to a stem.
	result = max(result, clearAdvance(a.edges(), b.edges(), float64(f.clear()*white)/f.Gap)-a.sides.max+b.sides.min)
	if len(a.name) <= longestKept && len(b.name) <= longestKept {
		f.gaps.Store(key, result)
	}
	return result
}

// clear is how far the ink of two letters that do not hang keeps apart, in units.
func (f *Face) clear() float64 { return max(float64(clearance*f.Gap), closest) }

// hangs reports whether a letter is a sign up at the tops of capitals, as quotes
// are.
func (f *Face) hangs(g *Glyph) bool { return g.ink.Min.Y > f.XHeight }

// opticalGap sets two letters so that the white between them is that of two
// upright strokes so far apart, and those that share no height at least so far.
func (f *Face) opticalGap(a, b *sides, upright, least float64) float64 {
	const deep = deepest
	from, to := max(a.first, b.first), min(a.last, b.last)
	apart := to-from+1 < leastRows/2
	for to-from+1 < leastRows && (from > 0 || to < rowCount-1) {
		from, to = max(from-1, 0), min(to+1, rowCount-1)
		if from > to {
			from, to = min(from, rowCount-1), max(to, 0)
		}
	}
	if from > to {
		from, to = to, from
	}
	depth := func(i int) float64 {
		d := 0.0
		if a.left[i] <= a.right[i] {
			d += min(deep, a.max-a.right[i])
		} else {
			d += deep
		}
		if b.left[i] <= b.right[i] {
			d += min(deep, b.left[i]-b.min)
		} else {
			d += deep
		}
		return d
	}
	density := func(gap float64) float64 {
		sum := 0.0
		for i := from; i <= to; i++ {
			white := max(float64(f.Gap/16), gap+depth(i))
			sum += 1 / float64(white*white)
		}
		return sum / float64(to-from+1)
	}
	want := 1 / float64(upright*upright)
	low, high := -2.0*deep, upright
	for range 24 {
		middle := (low + high) / 2
		if density(middle) > want {
			low = middle
		} else {
			high = middle
		}
	}
	gap := high
	if apart {
		gap = max(gap, least)
	}
	return gap
}

// Outlines as they are drawn, leaning or not, in fine rows: how far apart two
// letters truly are.
const (
	edgeStep  = 2
	edgeCount = (highestRow - lowestRow) / edgeStep
)

// edges are how far the ink of a letter reaches to the left and to the right in
// each fine row; rows without ink have left > right.
type edges struct{ left, right [edgeCount]float64 }

// edges finds the edges of a letter, once.
func (g *Glyph) edges() *edges {
	g.edged.Do(func() {
		e := &edges{}
		for i := range e.left {
			e.left[i], e.right[i] = math.Inf(1), math.Inf(-1)
		}
		for _, points := range g.flat(coarse) {
			for i := 1; i < len(points); i++ {
				e.include(points[i-1], points[i])
			}
		}
		g.outline = e
	})
	return g.outline
}

func (e *edges) include(a, b geom.Point) {
	if a.Y > b.Y {
		a, b = b, a
	}
	row := func(y float64) int {
		return int(min(max(math.Floor((y-lowestRow)/edgeStep), 0), edgeCount-1))
	}
	for i := row(a.Y); i <= row(b.Y); i++ {
		p, q := a, b
		if low := lowestRow + float64(float64(i)*edgeStep); a.Y < low {
			p = a.Mix(b, (low-a.Y)/(b.Y-a.Y))
		}
		if high := lowestRow + float64(float64(i+1)*edgeStep); a.Y < high && high < b.Y {
			q = a.Mix(b, (high-a.Y)/(b.Y-a.Y))
		}
		e.left[i] = min(e.left[i], p.X, q.X)
		e.right[i] = max(e.right[i], p.X, q.X)
	}
}

// clearAdvance is the least distance of the origins of two letters that keeps
// their ink so far apart.
func clearAdvance(a, b *edges, distance float64) float64 {
	advance := math.Inf(-1)
	reach := int(math.Ceil(distance / edgeStep))
	leftmost := slices.Min(b.left[:])
	for i := range edgeCount {
		if a.left[i] > a.right[i] || a.right[i]-leftmost+distance <= advance {
			continue
		}
		for k := max(0, i-reach); k <= min(edgeCount-1, i+reach); k++ {
			if b.left[k] > b.right[k] || a.right[i]-b.left[k]+distance <= advance {
				continue
			}
			// Ink may lie anywhere in its row.
			apart := edgeStep * float64(max(i-k, k-i, 1)-1)
			if aside := float64(distance*distance) - float64(apart*apart); aside > 0 {
				advance = max(advance, a.right[i]-b.left[k]+math.Sqrt(aside))
			}
		}
	}
	return advance
}
