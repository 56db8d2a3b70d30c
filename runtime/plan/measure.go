package plan

import (
	"math"

	"wend/runtime/geom"
)

// Measures of a sheet, in mm. Visible and Retraced add up to Length.
type Measures struct {
	LengthMM   float64
	Bounds     geom.Box // true extents of curves included
	VisibleMM  float64  // distinct line: what lies on other line counts once
	RetracedMM float64  // what lies on line drawn before
}

// Measure takes the measures of a sheet. Line counts as retraced wherever it
// lies within a millionth of a millimetre on other line, in either direction,
// piece by piece or in part. The cost is linear but for the sorting of pieces
// that share one straight line.
func (s *Sheet) Measure() Measures {
	m := Measures{LengthMM: s.LengthMM(), Bounds: s.Bounds()}
	m.RetracedMM = min(retraced(s.Points), m.LengthMM)
	m.VisibleMM = m.LengthMM - m.RetracedMM
	return m
}

// LengthMM is the length of the line, as Measure finds it.
func (s *Sheet) LengthMM() float64 {
	sum := 0.0
	for i := 1; i < len(s.Points); i++ {
		sum += s.Points[i].Distance(s.Points[i-1])
	}
	return sum
}

// Bounds is what the line covers in page mm, true extents of curves included.
func (s *Sheet) Bounds() geom.Box {
	box := geom.Bounds(s.Points)
	for _, e := range s.Extents {
		box = box.Union(e.Box)
	}
	return box
}

// Two pieces lie on one straight line when their directions and their
// distances from a fixed point agree within these. Rounding of coordinates
// moves them by far less; line that is farther apart was meant so.
const (
	directionGrain = 1e-7 // in the measure of slopes below, from -1 to 1
	offsetGrain    = 1e-6 // mm
)

// piece is a part of a straight line: line names it, from and to are the
// places of the ends along it, in mm.
type piece struct {
	line     uint64
	from, to float64
}

// blockSize is how many pieces are sorted by themselves: so many lie in a
// processor's own memory.
const blockSize = 1 << 15

// retraced is the length that lies on other line: on each straight line, what the
// union of its pieces is shorter than their sum. Where pieces lie end to end, as on a
// grid, a block of them comes to few that are longer, and little is left to be held
// and sorted in the end.
func retraced(points []geom.Point) float64 {
	n := len(points) - 1
	if n < 2 {
		return 0
	}
	total := 0.0
	pieces := make([]piece, 0, min(n, blockSize))
	joined, block := 0, blockSize // pieces[:joined] come from blocks
	for i := range n {
		if len(pieces) == cap(pieces) {
			// As many as there will be if the rest is like the line so far, and a block.
			room := min(n, blockSize+int(float64(n)*float64(len(pieces))/float64(i)))
			pieces = append(make([]piece, 0, room), pieces...)
		}
		if p, ok := pieceOf(points[i], points[i+1]); ok {
			pieces = append(pieces, p)
		}
		if len(pieces)-joined == block {
			sortPieces(pieces[joined:])
			longer, covered := join(pieces[joined:])
			total += covered
			pieces = pieces[:joined+longer]
			joined = len(pieces)
			if longer > blockSize/2 {
				block = n // it is not worth it
			}
		}
	}
	sortPieces(pieces)
	_, covered := join(pieces)
	return total + covered
}

// join puts pieces together that lie on one another or end to end, the longer ones
// first in their place, and gives how many these are, and how much shorter than the
// sum of all. Pieces stand in the order of their lines and along them.
func join(pieces []piece) (longer int, covered float64) {
	for _, p := range pieces {
		if longer > 0 {
			if last := &pieces[longer-1]; last.line == p.line && p.from <= last.to+offsetGrain {
				// Neighbours that merely meet overlap by rounding alone.
				if both := min(last.to, p.to) - p.from; both > offsetGrain {
					covered += both
				}
				last.to = max(last.to, p.to)
				continue
			}
		}
		pieces[longer] = p
		longer++
	}
	return longer, covered
}

// pieceOf turns the way from a to b into a piece. Directions are taken in the
// half plane to the right, upright ones upward, so that both ways along a
// line are the same.
func pieceOf(a, b geom.Point) (piece, bool) {
	d := b.Sub(a)
	length := d.Length()
	if length == 0 || math.IsNaN(length) || math.IsInf(length, 0) {
		return piece{}, false
	}
	u := d.Times(1 / length)
	if u.X < 0 {
		u = u.Times(-1)
	}
	// A measure of slope that needs no angle: y of the direction where it
	// meets the diamond |x| + |y| = 1.
	slope := int64(math.RoundToEven(u.Y / (u.X + math.Abs(u.Y)) * (1 / directionGrain)))
	const upright = int64(1 / directionGrain)
	if slope == -upright {
		slope, u = upright, u.Times(-1)
	}
	middle := a.Add(d.Times(0.5))
	offset := int64(math.RoundToEven(middle.Cross(u) * (1 / offsetGrain)))
	from, to := a.Dot(u), b.Dot(u)
	return piece{
		line: uint64(slope+upright)<<36 ^ uint64(offset+1<<35)&(1<<36-1),
		from: min(from, to), to: max(from, to),
	}, true
}
