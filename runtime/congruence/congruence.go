// Package congruence holds a drawn line against a wanted one, as a teacher with
// a ruler and a protractor would: reports whether they are the same drawing, and
// where not, the first piece or corner that differs with both of its measures.
//
// Two lines are the same drawing if each lies within a tolerance of the other,
// after a motion of the plane that is allowed. Where a line begins and which way
// it runs do not count. What is gone over twice counts only where the wanted line
// goes over nothing twice itself. It is pure mathematics in
// millimetres and degrees.
package congruence

import (
	"math"

	"wend/runtime/geom"
)

// Motions are the motions of the plane that leave a drawing the same. The zero
// value allows none.
type Motions struct {
	Moved, Turned, Mirrored bool
}

// Kind says in what a line differs.
type Kind uint8

// The kinds of differences.
const (
	None     Kind = iota // the lines are the same drawing
	Length               // a straight piece has another length, mm
	Turn                 // a corner turns by another angle, degrees, left positive
	Curve                // a bent piece has another length, mm
	Bend                 // a bent piece turns by another angle in all, degrees
	Heading              // the line sets off another way, degrees
	Missing              // the line ends too early; Wanted is the length of the next piece, mm
	Extra                // the line goes on after its end; Found is the length of the next piece, mm
	Moved                // the same drawing in another place; Offset says how far off
	Turned               // the same drawing, turned
	Mirrored             // the same drawing, mirrored, where no corner shows it
	Course               // the line leaves the wanted one; Found is how far off it is farthest, mm
	Undrawn              // a part of the wanted line is not there; At is the middle of it
	Again                // the same drawing, but some of it is gone over twice; both lengths, mm
)

// Difference is the first difference between two lines, along the found one.
type Difference struct {
	Kind Kind
	// At is where it is on the found line, in its own mm.
	At geom.Point
	// Segment is the piece between two vertices of the found line that it begins
	// with.
	Segment int
	// Piece counts straight and bent pieces between corners, from 1.
	Piece         int
	Wanted, Found float64
	Offset        geom.Point // of Moved: from where it should be to where it is
}

// Compare is the first difference between a wanted and a found line, each of
// them with at least one point. The tolerance is in mm.
func Compare(wanted, found []geom.Point, allowed Motions, tolerance float64) Difference {
	wanted, found = geom.WithoutRepeats(wanted), geom.WithoutRepeats(found)
	if len(found) < 2 || len(wanted) < 2 {
		if len(found) < 2 && len(wanted) < 2 {
			return Difference{}
		}
		return alone(wanted, found)
	}
	ink, drawn, shape := newInk(wanted), newDrawing(found), newOutline(wanted)
	if ink.place(drawn, allowed, tolerance) {
		whole, walked := geom.Length(wanted), geom.Length(found)
		if walked > whole+max(1, 0.01*whole) && !shape.retraced() {
			return Difference{Kind: Again, At: found[len(found)-1], Segment: len(found) - 2, Wanted: whole, Found: walked}
		}
		return Difference{}
	}
	// The right shape at the wrong place: say that, and not what follows from it.
	free := Motions{Moved: true, Turned: allowed.Turned, Mirrored: allowed.Mirrored}
	if ink.place(drawn, free, tolerance) {
		return Difference{Kind: Moved, At: found[0], Offset: geom.Bounds(found).Center().Sub(geom.Bounds(wanted).Center())}
	}
	free.Turned = true
	if ink.place(drawn, free, tolerance) {
		return Difference{Kind: Turned, At: found[0]}
	}
	if !shape.retraced() {
		if d := shape.compare(drawn.outline, allowed, tolerance); d.Kind != None {
			return d
		}
	}
	free.Mirrored = true
	if ink.place(drawn, free, tolerance) {
		return Difference{Kind: Mirrored, At: found[0]}
	}
	return ink.course(drawn, allowed, tolerance)
}

// alone is the difference where one of the lines is a single point.
func alone(wanted, found []geom.Point) Difference {
	if len(found) < 2 {
		d := Difference{Kind: Missing, Piece: 1, Wanted: newOutline(wanted).pieces[0].length}
		if len(found) > 0 {
			d.At = found[0]
		}
		return d
	}
	return Difference{Kind: Extra, Piece: 1, At: found[0], Found: newOutline(found).pieces[0].length}
}

// apart is the least angle between two directions or turns, in degrees.
func apart(a, b float64) float64 {
	return math.Abs(math.Remainder(a-b, 360))
}
