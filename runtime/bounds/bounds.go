// Package bounds holds a plan against the page, before anything is lowered or
// drawn.
//
// The rule. A line is outside when a point of it lies more than the distance
// within which two points are one point of the language (1e-6 mm) beyond an
// edge of the page: touching an edge is inside, and the rounding of a long sum
// does not matter. Straight pieces are judged by their ends, which is exact,
// since the page is convex. The vertices of a flattened curve lie on the
// curve, so it may bulge beyond them by the flattening tolerance; the plan
// carries the true extent of each curve that reaches beyond the page, and that
// extent is judged by the same rule. So a circle that touches the edge is
// inside, however finely it was flattened, and one that passes it is not.
//
// What is reported are causes: the statement that leads off the page, once,
// with the farthest that the line gets before it comes back. What is drawn out
// there is a consequence. Where the line begins off the page, the cause is what
// says that it begins there.
package bounds

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/plan"
)

// Trail recovers by which calls and passes of loops a piece of line came
// about, outermost first.
type Trail func(sheet, segment int) []diag.Frame

// Check reports each statement that leads the line off the page (in page mm),
// in the order of drawing. begin is the statement that says where the line
// begins, if there is one. Trail may be nil; where the line begins off the page,
// which is reported first, it is not asked.
func Check(whole *plan.Plan, page geom.Box, trail Trail) diag.List {
	var out diag.List
	for i, sheet := range whole.Sheets {
		causes, broken := causesOf(whole, i, page)
		if broken >= 0 {
			d := diag.New("line-not-finite", spanOf(whole, sheet, max(0, broken-1)), nil)
			out = append(out, traced(d, trail, i, max(0, broken-1)))
			continue
		}
		if len(causes) == 0 {
			continue
		}
		hint, start, fits := fitting(sheet, page)
		for _, c := range causes {
			edge, past := c.worst()
			args := diag.Args{"mm": diag.Millimetres(past), "edge": edge}
			switch {
			case !c.begins:
				d := diag.New("line-off-page", c.span, args).WithHint("%s", hint)
				out = append(out, traced(d, trail, i, c.segment))
			case sheet.Begun:
				d := diag.New("begin-off-page", sheet.Beginning, args).WithHint("%s", hint)
				if fits {
					d = d.WithEdit(sheet.Beginning, "begin "+coordinate(start.X)+", "+coordinate(start.Y), false)
				}
				out = append(out, d)
			default:
				out = append(out, diag.New("start-off-page", source.Span{}, args))
			}
		}
	}
	return out
}

func traced(d diag.Diagnostic, trail Trail, sheet, segment int) diag.Diagnostic {
	if trail != nil {
		d.Trail = trail(sheet, segment)
	}
	return d
}

// cause is a statement that leads off the page, or the beginning of the line.
type cause struct {
	span    source.Span
	segment int     // where it first does
	until   int     // the last vertex outside, then
	begins  bool    // the line begins there; how far it goes then does not matter
	past    overrun // the farthest beyond each edge before the line comes back
}

// overrun is how far something lies beyond each edge, in mm: left, right,
// lower, upper.
type overrun [4]float64

var edges = [4]string{"left", "right", "lower", "upper"}

func (c *cause) worst() (edge string, mm float64) {
	most := 0
	for i, mm := range c.past {
		if mm > c.past[most] {
			most = i
		}
	}
	return edges[most], c.past[most]
}

func (o *overrun) include(b geom.Box, page geom.Box) {
	for i, mm := range [4]float64{page.Min.X - b.Min.X, b.Max.X - page.Max.X, page.Min.Y - b.Min.Y, b.Max.Y - page.Max.Y} {
		o[i] = max(o[i], mm)
	}
}

// causesOf walks along the line. Where a coordinate is no finite number, it
// gives the index of the vertex instead; otherwise broken is -1.
func causesOf(whole *plan.Plan, number int, page geom.Box) (causes []*cause, broken int) {
	sheet := whole.Sheets[number]
	inside := page.Grow(geom.SamePoint)
	bySpan := map[source.Span]*cause{}
	// Each statement is blamed for the first time that it leads outside; what
	// later passes of a loop do would only mix with that.
	blame := func(segment int) *cause {
		span := spanOf(whole, sheet, segment)
		if bySpan[span] != nil {
			return &cause{}
		}
		c := &cause{span: span, segment: segment, until: segment}
		bySpan[span] = c
		causes = append(causes, c)
		return c
	}
	var leading *cause // of the way outside that the line is on
	for i, p := range sheet.Points {
		if inside.Contains(p) {
			leading = nil
			continue
		}
		if math.IsNaN(p.X-p.X) || math.IsNaN(p.Y-p.Y) {
			return nil, i
		}
		switch {
		case leading != nil:
		case i > 0:
			leading = blame(i - 1)
		default:
			leading = &cause{begins: true}
			// A later sheet begins where the one before ended, unless it says otherwise.
			if number == 0 || sheet.Begun {
				causes = append(causes, leading)
			}
		}
		if i == 0 || !leading.begins {
			leading.past.include(geom.Box{Min: p, Max: p}, page)
			leading.until = i
		}
	}
	for _, e := range sheet.Extents {
		if inside.Contains(e.Box.Min) && inside.Contains(e.Box.Max) || !inside.Contains(sheet.Points[e.Segment]) {
			continue
		}
		c := bySpan[spanOf(whole, sheet, e.Segment)]
		switch {
		case c == nil:
			c = blame(e.Segment)
		case e.Segment < c.segment:
			c.segment, c.until, c.past = e.Segment, e.Segment, overrun{}
		case e.Segment > c.until:
			continue
		}
		c.past.include(e.Box, page)
	}
	slices.SortStableFunc(causes, func(a, b *cause) int { return a.segment - b.segment })
	return causes, -1
}

// spanOf is the statement of a segment; of a line without any, nothing.
func spanOf(whole *plan.Plan, sheet *plan.Sheet, segment int) source.Span {
	if segment < len(sheet.Place) {
		if place := sheet.Place[segment]; int(place) < len(whole.Places) {
			return whole.Places[place].Span
		}
	}
	return source.Span{}
}

// fitting says what would make the whole line of a sheet fit the page: a new
// place if it is not too large, else a scale as well. Where a new place alone is
// enough, it is the point that the line would begin at.
func fitting(sheet *plan.Sheet, page geom.Box) (hint string, at geom.Point, fits bool) {
	box := geom.Bounds(sheet.Points)
	for _, e := range sheet.Extents {
		box = box.Union(e.Box)
	}
	start := sheet.Points[0]
	if box.Width() <= page.Width()+geom.SamePoint && box.Height() <= page.Height()+geom.SamePoint {
		shift := shiftInto(box, page)
		return fmt.Sprintf("moved by %s, the whole line fits the page (it would begin at %s, %s)",
			directions(shift), coordinate(start.X+shift.X), coordinate(start.Y+shift.Y)), start.Add(shift), true
	}
	scale := min(page.Width()/box.Width(), page.Height()/box.Height())
	digits := 100.0 // keeps two to three digits of a scale below 1
	for scale*digits < 100 {
		digits *= 10
	}
	scale = math.Floor(scale*digits) / digits
	smaller := geom.Box{
		Min: start.Add(box.Min.Sub(start).Times(scale)),
		Max: start.Add(box.Max.Sub(start).Times(scale)),
	}
	size := strconv.FormatFloat(scale, 'g', 3, 64)
	shift := shiftInto(smaller, page)
	if shift == (geom.Point{}) {
		return fmt.Sprintf("at %s times its size the whole line fits the page", size), start, false
	}
	return fmt.Sprintf("at %s times its size the whole line fits the page, begun at %s, %s",
		size, coordinate(start.X+shift.X), coordinate(start.Y+shift.Y)), start, false
}

// shiftInto is the least move that brings a box into one at least as large,
// in hundredths of a mm where there is room for that.
func shiftInto(box, page geom.Box) geom.Point {
	return geom.Point{
		X: shiftAlong(box.Min.X, box.Max.X, page.Min.X, page.Max.X),
		Y: shiftAlong(box.Min.Y, box.Max.Y, page.Min.Y, page.Max.Y),
	}
}

func shiftAlong(low, high, least, most float64) float64 {
	shift := 0.0
	switch {
	case low < least-geom.SamePoint:
		shift = least - low
		if rounded := math.Ceil(float64(shift*100)-1e-6) / 100; high+rounded <= most {
			shift = rounded
		}
	case high > most+geom.SamePoint:
		shift = most - high
		if rounded := math.Floor(float64(shift*100)+1e-6) / 100; low+rounded >= least {
			shift = rounded
		}
	}
	return shift
}

func directions(shift geom.Point) string {
	along := func(mm float64, forward, backward string) string {
		if mm < 0 {
			return coordinate(-mm) + " mm " + backward
		}
		return coordinate(mm) + " mm " + forward
	}
	switch {
	case shift.Y == 0:
		return along(shift.X, "to the right", "to the left")
	case shift.X == 0:
		return along(shift.Y, "up", "down")
	}
	return along(shift.X, "to the right", "to the left") + " and " + along(shift.Y, "up", "down")
}

func coordinate(mm float64) string {
	return strconv.FormatFloat(math.Round(mm*1e4)/1e4, 'f', -1, 64)
}
