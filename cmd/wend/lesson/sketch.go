package lesson

import (
	"context"
	"fmt"
	"math"
	"strconv"
	"strings"

	"wend/cmd/wend/engine"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/machine"
	"wend/runtime/preview"
)

// Measure is a dimension of a sketch. Places are page mm, headings and turns
// degrees, counted to the left from the right.
type Measure struct {
	Sort string     // length, rise, turn or radius
	At   geom.Point // where a length or rise begins, a corner, or a centre
	To   geom.Point // where a length or rise ends
	// Aside is how far to the left of what it measures a length is drawn, and of its
	// beginning a rise, mm.
	Aside float64
	// Heading is which way the line comes into a corner, or where a radius is
	// drawn; Degrees how far it turns there; Radius that of the arc or circle, mm.
	Heading, Degrees, Radius float64
}

// Words are what a measure says.
func (m Measure) Words() string {
	switch m.Sort {
	case "turn":
		return number(math.Abs(m.Degrees)) + "°"
	case "radius":
		return "radius " + number(m.Radius) + " mm"
	case "rise":
		return number(math.Abs(m.To.Y-m.At.Y)) + " mm"
	}
	return number(m.At.Distance(m.To)) + " mm"
}

// number is a measure to a tenth, without zeros after it.
func number(x float64) string { return strconv.FormatFloat(math.Round(x*10)/10+0, 'f', -1, 64) }

// Sketch is the wanted drawing of a task.
type Sketch struct {
	Line       []geom.Point // page mm
	Dimensions []preview.Dimension
	page       preview.Picture
}

// Sketch draws the wanted drawing of a task that has one.
func (t Task) Sketch(ctx context.Context) (Sketch, error) {
	a := Try(ctx, source.New("<sketch>", t.wanted), engine.Settings{Profile: machine.DeskToy()})
	if a.line == nil {
		if err := ctx.Err(); err != nil {
			return Sketch{}, err
		}
		return Sketch{}, fmt.Errorf("the sketch of task %s has no line", t.ID())
	}
	s := Sketch{Line: a.line.Points, page: a.Picture()}
	s.page.Title, s.page.Text, s.page.Source = t.ID()+"  "+t.Title, "", "sketch "+t.ID()
	for _, m := range t.Measures {
		s.Dimensions = append(s.Dimensions, m.dimension())
	}
	s.place(t.Measures)
	return s, nil
}

// Told is the measures of the sketch in words, for whoever does not see it.
func (t Task) Told() string {
	var told []string
	for _, m := range t.Measures {
		told = append(told, m.told())
	}
	return strings.Join(told, "; ")
}

// Picture is the sketch on its paper.
func (s Sketch) Picture() preview.Picture { return s.page }

func (m Measure) told() string {
	at := func(p geom.Point) string { return "(" + number(p.X) + ", " + number(p.Y) + ")" }
	switch m.Sort {
	case "turn":
		side := "left"
		if m.Degrees < 0 {
			side = "right"
		}
		return "at " + at(m.At) + " a turn of " + number(math.Abs(m.Degrees)) + " degrees to the " + side
	case "radius":
		return "a circle of radius " + number(m.Radius) + " mm around " + at(m.At)
	case "rise":
		return m.Words() + " in height from " + at(m.At) + " to " + at(m.To)
	}
	return m.Words() + " from " + at(m.At) + " to " + at(m.To)
}

// The parts of a dimension, in mm (proportions after ISO 129-1, from memory).
const (
	gapMM   = 1.0 // from the line to where an extension line begins
	pastMM  = 1.5 // how far an extension line goes past the dimension
	arrowMM = 2.2
)

// dimension is the measure as lines and words; the words have no place yet.
func (m Measure) dimension() preview.Dimension {
	d := preview.Dimension{Words: m.Words()}
	switch m.Sort {
	case "turn":
		in, out := m.Heading, m.Heading+m.Degrees
		// The way on as it would be without the turn, then the arc to the way after it.
		d.Lines = append(d.Lines, dashes(m.At, m.At.Add(geom.Polar(m.Radius+3, in)))...)
		var arc []geom.Point
		for i := range 25 {
			arc = append(arc, m.At.Add(geom.Polar(m.Radius, in+m.Degrees*float64(i)/24)))
		}
		d.Lines = append(d.Lines, arc)
		sign := math.Copysign(1, m.Degrees)
		// The head of the arrow lies along the last chord of the arc.
		half := arrowMM / m.Radius * 90 / math.Pi
		d.Lines = append(d.Lines, arrow(arc[24], geom.Polar(arrowMM, out+sign*(90-half)))...)
	case "radius":
		end := m.At.Add(geom.Polar(m.Radius, m.Heading))
		d.Lines = append(d.Lines, []geom.Point{m.At, end})
		d.Lines = append(d.Lines, cross(m.At)...)
		d.Lines = append(d.Lines, arrow(end, geom.Polar(arrowMM, m.Heading))...)
	default:
		from, to, _ := m.ends()
		if math.Abs(m.Aside) > gapMM+1 {
			d.Lines = append(d.Lines, extension(m.At, from), extension(m.To, to))
		}
		head := to.Sub(from).Times(arrowMM / from.Distance(to))
		d.Lines = append(d.Lines, []geom.Point{from, to})
		d.Lines = append(d.Lines, arrow(to, head)...)
		d.Lines = append(d.Lines, arrow(from, head.Times(-1))...)
	}
	return d
}

// ends are where the line of a dimension begins and ends, and the direction to the side
// of it on which its words are looked for.
func (m Measure) ends() (from, to, side geom.Point) {
	if m.Sort == "radius" {
		return m.At, m.At.Add(geom.Polar(m.Radius, m.Heading)), geom.Direction(m.Heading + 90)
	}
	along := m.To.Sub(m.At).Times(1 / m.At.Distance(m.To))
	if m.Sort == "rise" {
		along = geom.Point{Y: math.Copysign(1, m.To.Y-m.At.Y)}
	}
	left := geom.Point{X: -along.Y, Y: along.X}
	from = m.At.Add(left.Times(m.Aside))
	return from, from.Add(along.Times(m.To.Sub(m.At).Dot(along))), left.Times(math.Copysign(1, m.Aside))
}

// extension is the line from near a place to just beyond the end of its dimension.
func extension(place, end geom.Point) []geom.Point {
	along := end.Sub(place)
	along = along.Times(1 / along.Length())
	return []geom.Point{place.Add(along.Times(gapMM)), end.Add(along.Times(pastMM))}
}

// arrow is the head of an arrow with its tip at a place, along a vector.
func arrow(tip, along geom.Point) [][]geom.Point {
	across := geom.Point{X: -along.Y, Y: along.X}.Times(0.18)
	back := tip.Sub(along)
	return [][]geom.Point{{back.Add(across), tip, back.Sub(across)}}
}

// cross marks a centre.
func cross(p geom.Point) [][]geom.Point {
	const arm = 1.5
	return [][]geom.Point{
		{p.Sub(geom.Point{X: arm}), p.Add(geom.Point{X: arm})},
		{p.Sub(geom.Point{Y: arm}), p.Add(geom.Point{Y: arm})},
	}
}

// dashes are the parts of a dashed line.
func dashes(a, b geom.Point) (parts [][]geom.Point) {
	const dash, gap = 1.6, 1.0
	length := a.Distance(b)
	for s := 0.0; s < length; s += dash + gap {
		parts = append(parts, []geom.Point{a.Mix(b, s/length), a.Mix(b, math.Min(s+dash, length)/length)})
	}
	return parts
}

// ringMM is the radius of the ring around a difference, which is drawn three times
// side by side, so that it is not taken for a mark of beginning or end.
const ringMM = 4.5

// Ring is a ring around a place, page mm.
func Ring(at geom.Point) preview.Dimension {
	var ring preview.Dimension
	for _, radius := range []float64{ringMM, ringMM + 0.25, ringMM + 0.5} {
		var circle []geom.Point
		for degrees := 0.0; degrees <= 360; degrees += 5 {
			circle = append(circle, at.Add(geom.Polar(radius, degrees)))
		}
		ring.Lines = append(ring.Lines, circle)
	}
	return ring
}
