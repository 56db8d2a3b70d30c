package weave

import (
	"context"
	"errors"
	"fmt"
	"math"

	"wend/runtime/geom"
	"wend/runtime/plan"
)

// Options say what the one line may look like. The zero value leaves all free.
type Options struct {
	// ToleranceMM is how far apart an end of a stroke and another stroke may be
	// and still be meant to touch: the end is moved there, by at most so much.
	// Half the width of the line is a good value; at 0 nothing is moved.
	ToleranceMM float64
	// Start and End are where the line begins and ends, if that matters.
	Start, End *geom.Point
	// Closed makes the line end where it begins. End must be nil then.
	Closed bool
	// Charge is told what the crossings take that were found since it was told last,
	// in operations and in bytes of working memory. Few strokes may make many. Its
	// error ends the work. It may be nil.
	Charge func(operations, bytes int) error
	// Room is working memory that was used before, or nil.
	Room *Room
}

// What a crossing takes, until the line is made.
const (
	crossingWork  = 1500
	crossingBytes = 1600
)

// Result is one continuous line that covers all strokes, and what it costs.
type Result struct {
	// Points are the vertices of the line; there are none if there were no
	// strokes.
	Points []geom.Point
	// Roles[i] says what the piece from Points[i] to Points[i+1] is: drawn for
	// the first pass over a stroke, a link between parts, or a retrace.
	Roles []plan.Role
	// Parts is how many separate parts the strokes form, start and end included.
	Parts int
	// Odd is how many vertices of the drawing with its links no line can pass
	// without a retrace, unless it ends there.
	Odd int
	// DrawnMM is the length of the strokes, each place counted once.
	DrawnMM float64
	// LinkMM is the length of new visible line between the parts. SpanningMM is
	// the least length that straight links from part to part can have; branch
	// points in the open save some of that where it pays, which among thousands of
	// strokes is not tried.
	LinkMM, SpanningMM float64
	// RetraceMM is the length of line gone over again. No line over these strokes
	// and links with the ends asked for has less than RetraceBoundMM.
	RetraceMM, RetraceBoundMM float64
}

// LimitMM bounds the coordinates of points given to this package.
const LimitMM = 1e7

// Weave makes one continuous line out of strokes, which are polylines or single
// points. Strokes that cross, touch or overlap are one part. Separate parts are
// joined by the least new visible line. Of all lines that cover strokes and
// links it gives one that retraces least (the open Chinese postman problem,
// solved exactly), and among the orders in which that line can be drawn one that
// turns back sharply in few places.
//
// It fails for points that are not finite or beyond LimitMM, for contradictory
// options, by an error of Charge, and when the context ends.
func Weave(ctx context.Context, strokes [][]geom.Point, options Options) (*Result, error) {
	if options.Closed && options.End != nil {
		return nil, errors.New("a closed line ends where it begins, so its end cannot be given")
	}
	if err := checkPoints(strokes, options); err != nil {
		return nil, err
	}
	if options.ToleranceMM > geom.SamePoint {
		var err error
		if strokes, err = fuseEnds(ctx, strokes, options.ToleranceMM, options.Charge); err != nil {
			return nil, err
		}
	}
	options.Room.empty()
	drawing, err := arrange(ctx, strokes, options)
	if err != nil {
		return nil, err
	}
	start, end := int32(-1), int32(-1)
	if options.Start != nil {
		start = drawing.addDot(*options.Start)
	}
	if options.End != nil {
		end = drawing.addDot(*options.End)
	}
	result := &Result{}
	if len(drawing.vertices.points) == 0 {
		return result, nil
	}

	firstLink := int32(len(drawing.ends))
	if result.Parts, result.SpanningMM, err = joinParts(ctx, drawing); err != nil {
		return nil, err
	}

	if err := ctx.Err(); err != nil {
		return nil, err
	}
	g := newGraph(drawing, firstLink, start, end)
	ends := walkEnds{start: start, end: end, closed: options.Closed}
	odd, count := oddNodes(g, ends)
	result.Odd = count
	again, excess, err := leastRetrace(ctx, g, odd, ends)
	if err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	t := newTrails(g, again)
	t.join()
	t.walk(ends, result)
	result.RetraceBoundMM = result.RetraceMM - toMM(excess)
	return result, nil
}

// joinParts adds the links that make one part of a drawing. It gives how many
// there were, and the least length of straight links between them.
func joinParts(ctx context.Context, drawing *arrangement) (count int, spanningMM float64, err error) {
	parts := findParts(drawing)
	if parts.count < 2 {
		return parts.count, 0, nil
	}
	net, err := span(ctx, drawing, parts)
	if err != nil {
		return 0, 0, err
	}
	spanningMM = net.length()
	net.place(drawing)
	net.branch()
	for _, l := range net.links {
		drawing.add(l.from, l.to)
	}
	return parts.count, spanningMM, nil
}

func checkPoints(strokes [][]geom.Point, options Options) error {
	usable := func(p geom.Point) bool { return math.Abs(p.X) <= LimitMM && math.Abs(p.Y) <= LimitMM }
	for i, stroke := range strokes {
		for _, p := range stroke {
			if !usable(p) {
				return fmt.Errorf("stroke %d has a point at %v, %v, which is beyond all measure", i+1, p.X, p.Y)
			}
		}
	}
	for _, p := range []*geom.Point{options.Start, options.End} {
		if p != nil && !usable(*p) {
			return fmt.Errorf("the line cannot start or end at %v, %v, which is beyond all measure", p.X, p.Y)
		}
	}
	return nil
}

// strokesPerCheck is how many segments are added between two looks at the
// context.
const strokesPerCheck = 1 << 12

// arrange takes strokes apart into segments that meet at vertices only.
func arrange(ctx context.Context, strokes [][]geom.Point, options Options) (*arrangement, error) {
	count, totalMM, box := 0, 0.0, geom.EmptyBox()
	for _, stroke := range strokes {
		for i, p := range stroke {
			box = box.Include(p)
			if i > 0 {
				totalMM += p.Distance(stroke[i-1])
			}
		}
		count += len(stroke)
	}
	drawing := newArrangement(count, totalMM, box, 0, options.Room)
	added, charged := 0, 0
	for _, stroke := range strokes {
		if len(stroke) == 1 {
			drawing.addDot(stroke[0])
		}
		for i := 1; i < len(stroke); i++ {
			drawing.add(stroke[i-1], stroke[i])
			if added++; added%strokesPerCheck == 0 && ctx.Err() != nil {
				return nil, ctx.Err()
			}
			if more := len(drawing.log) - charged; more >= strokesPerCheck && options.Charge != nil {
				charged += more
				if err := options.Charge(more*crossingWork, more*crossingBytes); err != nil {
					return nil, err
				}
			}
		}
	}
	return drawing, nil
}
