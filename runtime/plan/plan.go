// Package plan holds the Plan: the one continuous line that a program draws,
// fully evaluated and flattened, in page millimetres, and where each piece of
// it came from. It is what every later step reads: the area check, the
// pictures, the instructions.
package plan

import (
	"wend/lang/source"
	"wend/runtime/geom"
)

// Plan is what one run of a program draws.
type Plan struct {
	Seed   uint64
	Sheets []*Sheet // at least one; erase starts another
	Places []Place  // what Sheet.Place refers to
	Said   []Saying // what the program printed, in order
	// ToleranceMM is how far the line may be from the curves that were asked
	// for: the flattening share of the profile's tolerance.
	ToleranceMM float64
	// Heading is which way the stylus faces at the end: 0 <= degrees < 360, 0
	// along +x, counted to the left.
	Heading float64
}

// Sheet is the line from one wiping of the picture to the next.
type Sheet struct {
	// Begun tells that the program said where the line starts: the machine
	// walks there and the sheet is wiped. Otherwise the line starts where the
	// stylus is.
	Begun bool
	// Beginning is the statement that said so.
	Beginning source.Span
	// Points are the vertices of the line, at least one; Points[0] is where it
	// starts. No two in a row are the same point.
	Points []geom.Point
	// Place[i] is the index in Plan.Places of the piece from Points[i] to
	// Points[i+1]; len(Place) = len(Points)-1.
	Place []uint32
	// Pauses stand in order of Vertex.
	Pauses []Pause
	// Extents are the true extents of those curves that reach beyond the page,
	// of which the flattened line may show a little less; in order of Segment.
	Extents []Extent
}

// Extent is the true extent of a curve, in page mm.
type Extent struct {
	Segment int // the first piece of the curve
	Box     geom.Box
}

// Place is where a piece of line came from, and what it is for.
type Place struct {
	Span source.Span // the statement
	Role Role
}

// Role says why a piece of line is there.
type Role uint8

const (
	Drawn   Role = iota // the program asked for it
	Link                // added to reach a separate part: visible
	Retrace             // laid over line that is there already: unseen
)

func (r Role) String() string {
	return [...]string{"drawn", "link", "retrace"}[r]
}

// Pause makes the machine wait for the operator when the stylus is at a vertex.
type Pause struct {
	Vertex  int
	Message string
	Span    source.Span
}

// Saying is the output of one `note`.
type Saying struct {
	Span source.Span
	Text string
}
