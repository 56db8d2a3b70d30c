package stdlib

import (
	"math"
	"sort"

	"wend/lang/types"
	"wend/runtime/geom"
	"wend/runtime/value"
)

// along bends a motif along a line: the motif's x axis is laid onto the line,
// so that its point (x, y) comes to lie x mm along the line and y mm to its
// left.
//
// On one straight piece of the line that is plain. At a corner the two pieces
// disagree about what "left" is, so each vertex is given the offset that the
// mitre of its two pieces has for 1 mm, and between two vertices that offset is
// mixed evenly. Thus y = constant is mapped onto the exact parallel of the
// line, the map has no jumps, and a smooth line that was flattened bends the
// motif smoothly.
//
// A straight piece of the motif is split where it passes a vertex of the line.
// Within one piece of the line its image is
//
//	P(x) + y*m(x), with P, m and y all linear in the way s along the motif piece,
//
// a parabola whose second derivative is 2*Δy*Δm; by the bound for chords it
// lies within |Δy|*|Δm|/4 of the straight line between its ends, and within
// that over n² once it is split in n.
type bend struct {
	line      []geom.Point // without repeated points; at least two
	distances []float64
	miters    []geom.Point // the offset of a place 1 mm to the left, at each vertex
	closed    bool
	tolerance float64 // mm
}

// maxMiter limits how far a mitre reaches, in mm for each mm of offset: that of
// a corner of 120 degrees. Sharper corners are cut short there.
const maxMiter = 2

func alongWord() value.Native {
	return value.Native{
		Builtin: &types.Builtin{
			Name:  "along",
			Forms: []types.Form{{Params: []types.Param{of(types.Path|types.List, "motif"), of(types.Path, "line")}, Result: types.Path | types.List, SameKind: true}},
			Doc:   "A motif, a path or a list of paths, bent along a line: its point (x, y) comes to lie x mm along the line and y mm to its left, in the line's frame. Beyond the ends the line is taken to go straight on; along a closed line x goes round and round. At a corner the motif is mitred, as a parallel of the line is; corners sharper than a turn of 120 degrees are cut short. Where y is the same all along, the motif runs parallel to the line: `along(polyline([(0, 3), (line.length, 3)]), line)` is the line moved 3 mm to its left. The result turns by 0.",
			Example: `let ring = move(path { arc 35, 360 }, 0, -35)
let zigzag = path {
  loop 40 {
    shift ring.length / 80, 6
    shift ring.length / 80, -6
  }
}
draw along(zigzag, ring) at page.center
`,
		},
		Func: func(h value.Host, args []value.Value) (value.Value, error) {
			motifs, err := pathsOf(h, "along", args[0])
			if err != nil {
				return value.Nothing, err
			}
			line := args[1].Path()
			if err := h.Charge(len(line.Points), 0); err != nil {
				return value.Nothing, err
			}
			b, ok := newBend(line, h.ToleranceMM())
			if !ok {
				return value.Nothing, noDirection("along", "the line has no length")
			}
			result := make([]*value.Path, len(motifs))
			for i, motif := range motifs {
				points, err := b.path(h, motif.Points)
				if err != nil {
					return value.Nothing, err
				}
				result[i] = &value.Path{Points: points}
			}
			return likeOf(args[0], result), nil
		},
	}
}

func newBend(line *value.Path, tolerance float64) (*bend, bool) {
	b := &bend{line: geom.WithoutRepeats(line.Points), tolerance: tolerance}
	last := len(b.line) - 1
	if last < 1 {
		return nil, false
	}
	b.closed = last > 1 && b.line[0].Distance(b.line[last]) <= geom.SamePoint
	b.distances = make([]float64, last+1)
	normals := make([]geom.Point, last) // of each piece, to its left
	for i := range last {
		step := b.line[i+1].Sub(b.line[i])
		size := step.Length()
		b.distances[i+1] = b.distances[i] + size
		normals[i] = geom.Point{X: -step.Y / size, Y: step.X / size}
	}
	b.miters = make([]geom.Point, last+1)
	for i := 1; i < last; i++ {
		b.miters[i] = miter(normals[i-1], normals[i])
	}
	b.miters[0], b.miters[last] = normals[0], normals[last-1]
	if b.closed {
		b.miters[0] = miter(normals[last-1], normals[0])
		b.miters[last] = b.miters[0]
	}
	return b, true
}

// miter is the offset that lies 1 mm to the left of both pieces of a corner,
// given the unit normals of the two; no longer than maxMiter.
func miter(before, after geom.Point) geom.Point {
	sum := before.Add(after)
	square := sum.Dot(sum) // 2 + 2cos of the corner's turn
	if square < geom.SamePoint {
		return before // straight back: either side is as good
	}
	m := sum.Times(2 / square)
	if size := m.Length(); size > maxMiter {
		m = m.Times(maxMiter / size)
	}
	return m
}

// path bends one motif.
func (b *bend) path(h value.Host, motif []geom.Point) ([]geom.Point, error) {
	if err := withinReach("along", motif); err != nil {
		return nil, err
	}
	piece := b.piece(motif[0].X)
	result := []geom.Point{b.on(piece, motif[0])}
	for i := 1; i < len(motif); i++ {
		from, to := motif[i-1], motif[i]
		for from != to {
			// Go on to the end of this piece of the line, or to the end of the
			// motif's own piece if that comes first.
			next, stop := piece, to
			if to.X > from.X {
				if end := b.edge(piece + 1); to.X > end {
					next, stop = piece+1, geom.Point{X: end, Y: crossing(from, to, end)}
				}
			} else if to.X < from.X {
				if end := b.edge(piece); to.X < end {
					next, stop = piece-1, geom.Point{X: end, Y: crossing(from, to, end)}
				}
			}
			n := b.splits(piece, from, stop)
			if err := h.Charge(n, n*pointBytes); err != nil {
				return nil, err
			}
			for k := 1; k < n; k++ {
				result = append(result, b.on(piece, from.Mix(stop, float64(k)/float64(n))))
			}
			if stop != from {
				result = append(result, b.on(piece, stop))
			}
			piece, from = next, stop
		}
	}
	return result, nil
}

// crossing is the y at which the piece from p to q passes x.
func crossing(p, q geom.Point, x float64) float64 {
	return p.Y + float64((q.Y-p.Y)*((x-p.X)/(q.X-p.X)))
}

// Pieces of the line are numbered from 0. Those before 0 and after the last
// are its laps if it is closed; else there is one on each side, without end.

func (b *bend) length() float64 { return b.distances[len(b.distances)-1] }

// piece is the number of the piece that x lies on.
func (b *bend) piece(x float64) int {
	count := len(b.line) - 1
	if !b.closed {
		switch {
		case x < 0:
			return -1
		case x > b.length():
			return count
		}
		return b.within(x)
	}
	laps := math.Floor(x / b.length())
	return int(laps)*count + b.within(x-float64(laps*b.length()))
}

// within is the piece of the line itself that lies x mm from its start, or the
// nearest one.
func (b *bend) within(x float64) int {
	i := sort.Search(len(b.distances), func(i int) bool { return b.distances[i] > x })
	return min(max(i-1, 0), len(b.line)-2)
}

// lap splits the number of a piece of a closed line into whole laps and the
// piece within one.
func (b *bend) lap(piece int) (laps, within int) {
	count := len(b.line) - 1
	laps = piece / count
	if within = piece % count; within < 0 {
		laps, within = laps-1, within+count
	}
	return laps, within
}

// edge is the x at which a piece begins, and the one before it ends.
func (b *bend) edge(piece int) float64 {
	if b.closed {
		laps, within := b.lap(piece)
		return float64(float64(laps)*b.length()) + b.distances[within]
	}
	switch {
	case piece < 0:
		return math.Inf(-1)
	case piece >= len(b.distances):
		return math.Inf(1)
	}
	return b.distances[piece]
}

// on is where a point of the motif lies, taken to belong to a piece.
func (b *bend) on(piece int, p geom.Point) geom.Point {
	last := len(b.line) - 1
	if !b.closed && piece < 0 {
		return b.straight(0, p.X, p.Y)
	}
	if !b.closed && piece >= last {
		return b.straight(last, p.X-b.length(), p.Y)
	}
	within, start := piece, b.edge(piece)
	if b.closed {
		_, within = b.lap(piece)
	}
	t := min(max((p.X-start)/(b.distances[within+1]-b.distances[within]), 0), 1)
	return b.line[within].Mix(b.line[within+1], t).Add(b.miters[within].Mix(b.miters[within+1], t).Times(p.Y))
}

// straight is a place on the straight continuation of an open line beyond one
// of its ends, whose mitre is the plain normal.
func (b *bend) straight(vertex int, x, y float64) geom.Point {
	left := b.miters[vertex]
	ahead := geom.Point{X: left.Y, Y: -left.X}
	return b.line[vertex].Add(ahead.Times(x)).Add(left.Times(y))
}

// splits is in how many parts the motif's piece from p to q, within one piece
// of the line, is to be split to stay within the tolerance.
func (b *bend) splits(piece int, p, q geom.Point) int {
	last := len(b.line) - 1
	if !b.closed && (piece < 0 || piece >= last) {
		return 1
	}
	within := piece
	if b.closed {
		_, within = b.lap(piece)
	}
	share := math.Abs(q.X-p.X) / (b.distances[within+1] - b.distances[within])
	change := b.miters[within+1].Sub(b.miters[within]).Length() * share
	return max(1, int(math.Ceil(math.Sqrt(math.Abs(q.Y-p.Y)*change/(4*b.tolerance)))))
}
