package congruence

import (
	"math"

	"wend/runtime/geom"
)

// outline is a line as its pieces and corners, in the words of somebody who
// walks along it: how far, and then which way to turn.
type outline struct {
	pieces []piece
	closed bool
	end    geom.Point
}

// piece is a part of a line between two corners, straight or bent.
type piece struct {
	from    geom.Point
	segment int     // where it begins
	length  float64 // mm
	heading float64 // it sets off with, degrees
	bend    float64 // how far it turns in all, degrees
	bent    bool
	corner  float64 // how far the line turns after it, degrees; of the last piece of a closed line, to the first
	joints  []joint // where its segments meet
}

// joint is where two segments meet within a piece.
type joint struct {
	at      geom.Point
	along   float64 // mm from the beginning of the piece
	turn    float64 // degrees
	segment int     // the one after it
}

const (
	sharp    = 20.0 // degrees; less than that between two segments is a bend, more a corner
	straight = 0.05 // degrees; less is no turn at all
)

func newOutline(points []geom.Point) outline {
	points = geom.WithoutRepeats(points)
	o := outline{closed: geom.Closed(points), end: points[len(points)-1]}
	headings := make([]float64, len(points)-1)
	for i := range headings {
		headings[i], _ = geom.DirectionOf(points[i+1].Sub(points[i]))
	}
	for i, heading := range headings {
		length := points[i].Distance(points[i+1])
		if i > 0 {
			last := &o.pieces[len(o.pieces)-1]
			turn := signed(heading - headings[i-1])
			if math.Abs(turn) < sharp {
				last.joints = append(last.joints, joint{points[i], last.length, turn, i})
				last.length += length
				last.bend += turn
				last.bent = last.bent || math.Abs(turn) > straight
				continue
			}
		}
		o.pieces = append(o.pieces, piece{from: points[i], segment: i, length: length, heading: heading})
	}
	// A bent piece sets off along its tangent, half a turn before its first chord.
	for i := range o.pieces {
		p := &o.pieces[i]
		if p.bent {
			first, last := p.joints[0].turn/2, p.joints[len(p.joints)-1].turn/2
			p.heading -= first
			p.bend += first + last
		}
	}
	for i := range o.pieces[1:] {
		p := &o.pieces[i]
		p.corner = signed(o.pieces[i+1].heading - p.heading - p.bend)
	}
	if o.closed {
		first, last := &o.pieces[0], &o.pieces[len(o.pieces)-1]
		turn := signed(first.heading - last.heading - last.bend)
		switch {
		case math.Abs(turn) >= sharp:
			last.corner = turn
		case len(o.pieces) > 1: // it began within a piece
			last.length += first.length
			last.bend += turn + first.bend
			last.bent = last.bent || first.bent || math.Abs(turn) > straight
			last.corner = first.corner
			o.pieces = o.pieces[1:]
		default:
			last.bend += turn
		}
	}
	return o
}

// signed is an angle between -180 and 180 degrees; half a turn is positive.
func signed(degrees float64) float64 {
	turn := math.Remainder(degrees, 360)
	if turn <= -180+1e-9 {
		turn += 360
	}
	return turn
}

// retraced reports whether the line turns back on itself somewhere. The order of
// such trips does not count.
func (o outline) retraced() bool {
	for _, p := range o.pieces {
		if math.Abs(p.corner) > 179.9 {
			return true
		}
	}
	return false
}

// longest is the heading of the longest straight piece, or of the longest.
func (o outline) longest() float64 {
	best := o.pieces[0]
	for _, p := range o.pieces[1:] {
		if best.bent && !p.bent || best.bent == p.bent && p.length > best.length+geom.SamePoint {
			best = p
		}
	}
	return best.heading
}

// backward is the line from its end.
func (o outline) backward() outline {
	back := outline{closed: o.closed}
	n := len(o.pieces)
	for i := range n {
		p := o.pieces[n-1-i]
		p.heading = signed(p.heading + p.bend + 180)
		p.bend = -p.bend
		p.corner = 0
		if before := n - 2 - i; before >= 0 {
			p.corner = -o.pieces[before].corner
		} else if o.closed {
			p.corner = -o.pieces[n-1].corner
		}
		back.pieces = append(back.pieces, p)
	}
	return back
}

func (o outline) mirrored() outline {
	m := outline{closed: o.closed}
	for _, p := range o.pieces {
		p.heading, p.bend, p.corner = signed(180-p.heading), -p.bend, -p.corner
		m.pieces = append(m.pieces, p)
	}
	return m
}

// from is a closed line that begins at a later piece.
func (o outline) from(k int) outline {
	return outline{closed: o.closed, pieces: append(append([]piece{}, o.pieces[k:]...), o.pieces[:k]...)}
}

// sameBend is within how many degrees two bent pieces turn as far: their course
// tells them apart more finely, and in words that say more.
const sameBend = 15.0

// flat finds where a piece goes on, straight or nearly so, although the wanted one,
// which is straight, ends there.
func (p piece) flat(w piece, tolerance float64) (joint, bool) {
	if w.bent || p.length <= w.length+tolerance {
		return joint{}, false
	}
	for _, j := range p.joints {
		if math.Abs(j.along-w.length) <= tolerance {
			return j, true
		}
		if math.Abs(j.turn) > straight {
			break
		}
	}
	return joint{}, false
}

// sameTurn is within how many degrees two turns are taken as one: less is seen
// in the length of the pieces, if at all.
const sameTurn = 0.5

// compare is the first difference of a found line, under the beginning, way and
// symmetry that agree for longest.
func (o outline) compare(found outline, allowed Motions, tolerance float64) Difference {
	var ways []outline
	add := func(w outline) {
		ways = append(ways, w)
		if w.closed {
			for k := 1; k < len(w.pieces); k++ {
				ways = append(ways, w.from(k))
			}
		}
	}
	add(o)
	add(o.backward())
	if allowed.Mirrored {
		add(o.mirrored())
		add(o.mirrored().backward())
	}
	best, score := Difference{}, -1
	for _, w := range ways {
		if d, agreed := w.differ(found, allowed, tolerance); agreed > score {
			best, score = d, agreed
		}
	}
	return best
}

// differ is the first difference, and how many measures agree before it.
func (o outline) differ(found outline, allowed Motions, tolerance float64) (d Difference, agreed int) {
	at := func(kind Kind, i int, wanted, is float64) Difference {
		p := found.pieces[i]
		return Difference{Kind: kind, At: p.from, Segment: p.segment, Piece: i + 1, Wanted: wanted, Found: is}
	}
	if !allowed.Turned {
		if !o.pieces[0].bent && !found.pieces[0].bent && apart(o.pieces[0].heading, found.pieces[0].heading) > sameTurn {
			return at(Heading, 0, geom.NormalizeHeading(o.pieces[0].heading), geom.NormalizeHeading(found.pieces[0].heading)), 0
		}
		agreed++
	}
	for i, p := range found.pieces {
		if i == len(o.pieces) {
			return at(Extra, i, 0, p.length), agreed
		}
		w := o.pieces[i]
		if j, flat := p.flat(w, tolerance); flat {
			if i == len(o.pieces)-1 && !o.closed {
				return Difference{Kind: Extra, At: j.at, Segment: j.segment, Piece: i + 2, Found: p.length - j.along}, agreed
			}
			return Difference{Kind: Turn, At: j.at, Segment: j.segment, Piece: i + 1, Wanted: w.corner, Found: j.turn}, agreed + 1
		}
		switch {
		case w.bent != p.bent && w.bent:
			return at(Bend, i, w.bend, 0), agreed
		case math.Abs(w.bend-p.bend) > sameBend:
			return at(Bend, i, w.bend, p.bend), agreed
		}
		agreed++
		if math.Abs(w.length-p.length) > max(tolerance, 0.004*w.length) {
			if w.bent {
				return at(Curve, i, w.length, p.length), agreed
			}
			d := at(Length, i, w.length, p.length)
			d.At = p.from.Add(geom.Polar(min(w.length, p.length), p.heading)) // where the two part
			return d, agreed
		}
		agreed++
		lastOfWanted := i == len(o.pieces)-1 && !o.closed
		lastOfFound := i == len(found.pieces)-1 && (!found.closed || i < len(o.pieces)-1)
		if lastOfWanted || lastOfFound {
			continue
		}
		if apart(w.corner, p.corner) > sameTurn {
			d := at(Turn, i, w.corner, p.corner)
			next := found.pieces[(i+1)%len(found.pieces)]
			d.At, d.Segment = next.from, next.segment
			return d, agreed
		}
		agreed++
	}
	if n := len(found.pieces); n < len(o.pieces) {
		d := at(Missing, n-1, o.pieces[n].length, 0)
		d.At = found.end
		return d, agreed
	}
	return Difference{}, agreed
}

// Corners counts the places where a line turns sharply.
func Corners(points []geom.Point) int {
	if len(geom.WithoutRepeats(points)) < 2 {
		return 0
	}
	o := newOutline(points)
	if o.closed {
		return len(o.pieces)
	}
	return len(o.pieces) - 1
}
