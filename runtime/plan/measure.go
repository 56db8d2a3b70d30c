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

// retraced is the length that lies on other line. Pieces are sorted by the
// line they are on; on each line, what the union of the pieces is shorter than
// their sum is retraced.
func retraced(points []geom.Point) float64 {
	if len(points) < 3 {
		return 0
	}
	pieces := make([]piece, 0, len(points)-1)
	for i := 1; i < len(points); i++ {
		if p, ok := pieceOf(points[i-1], points[i]); ok {
			pieces = append(pieces, p)
		}
	}
	sortPieces(pieces)
	total := 0.0
	for start := 0; start < len(pieces); {
		end := start + 1
		for end < len(pieces) && pieces[end].line == pieces[start].line {
			end++
		}
		total += overlap(pieces[start:end])
		start = end
	}
	return total
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
	slope := int64(math.Round(u.Y / (u.X + math.Abs(u.Y)) / directionGrain))
	const upright = int64(1 / directionGrain)
	if slope == -upright {
		slope, u = upright, u.Times(-1)
	}
	middle := a.Add(d.Times(0.5))
	offset := int64(math.Round(middle.Cross(u) / offsetGrain))
	from, to := a.Dot(u), b.Dot(u)
	return piece{
		line: uint64(slope+upright)<<36 ^ uint64(offset+1<<35)&(1<<36-1),
		from: min(from, to), to: max(from, to),
	}, true
}

// overlap is how much shorter the union of pieces on one line, in their order
// along it, is than their sum.
func overlap(pieces []piece) float64 {
	total, reach := 0.0, pieces[0].to
	for _, p := range pieces[1:] {
		// Neighbours that merely meet overlap by rounding alone.
		if covered := min(reach, p.to) - p.from; covered > offsetGrain {
			total += covered
		}
		reach = max(reach, p.to)
	}
	return total
}
