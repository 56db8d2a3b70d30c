package gate

import (
	"math"

	"wend/runtime/elementary"
)

// mostChords bounds what one arc may become.
const mostChords = 100_000

// arc cuts an arc into chords. The true arc is judged, not only its chords: it
// must stay in the area at its leftmost, rightmost, lowest and highest points.
func (g *Gate) arc(b block, to point) ([]Item, error) {
	name := g.modes.motion.String()
	from := g.want
	center, err := g.center(b, name, from, to)
	if err != nil {
		return nil, err
	}
	r := distance(center, from)
	first := direction(center, from)
	sweep := direction(center, to) - first
	// A full turn where start and end are one place.
	const same = 1e-8 // degrees
	if g.modes.motion == counterclockwise {
		for sweep <= same {
			sweep += 360
		}
	} else {
		for sweep >= -same {
			sweep -= 360
		}
	}
	if !g.arcInside(center, r, first, sweep) {
		return nil, refuse(name, "the arc around (%.3f, %.3f) leaves the area", center.x, center.y)
	}
	feed, err := g.feed(b, r*math.Abs(sweep)*math.Pi/180)
	if err != nil {
		return nil, err
	}
	// The sagitta of a chord over an angle a is r (1 - cos a/2).
	angle := 90.0
	if r > g.limits.ToleranceMM {
		half, _ := elementary.AcosDegrees(1 - g.limits.ToleranceMM/r)
		angle = min(angle, 2*half)
	}
	chords := math.Ceil(math.Abs(sweep) / angle)
	if !(chords <= mostChords) {
		return nil, refuse(name, "the arc is too long")
	}
	var items []Item
	for i := 1.0; i <= chords; i++ {
		p := to
		if i < chords {
			p = around(center, r, first+float64(sweep*(i/chords)))
		}
		more, err := g.move(p, feed)
		if err != nil {
			return nil, err
		}
		items = append(items, more...)
	}
	return items, nil
}

// direction is from one place to another, in degrees from the x axis.
func direction(from, to point) float64 {
	degrees, _ := elementary.Atan2Degrees(to.y-from.y, to.x-from.x)
	return degrees
}

func around(c point, r, degrees float64) point {
	sin, cos := elementary.SinCosDegrees(degrees)
	return point{c.x + float64(r*cos), c.y + float64(r*sin)}
}

// center finds the middle of an arc from the words of its line (NISTIR 6556,
// section 3.5.3).
func (g *Gate) center(b block, name string, from, to point) (point, error) {
	unit := g.modes.unit
	if b.given['R'] {
		if b.given['I'] || b.given['J'] {
			return point{}, refuse("R", "I or J says the center already")
		}
		r := b.value['R'] * unit
		dx, dy := to.x-from.x, to.y-from.y
		d := distance(from, to)
		if d == 0 {
			return point{}, refuse("R", "the arc ends where it begins, so R does not tell which one is meant")
		}
		rise := float64(r*r) - float64(d*d/4)
		if rise < 0 {
			if d/2-math.Abs(r) > arcAgreementMM {
				return point{}, refuse("R", "a radius of %.3f mm cannot span %.3f mm", math.Abs(r), d)
			}
			rise = 0
		}
		h := math.Sqrt(rise) / d
		// The center lies left of the way from start to end for a
		// counterclockwise arc of at most half a turn.
		if (g.modes.motion == clockwise) != (r < 0) {
			h = -h
		}
		return point{(from.x+to.x)/2 - float64(h*dy), (from.y+to.y)/2 + float64(h*dx)}, nil
	}
	if !b.given['I'] && !b.given['J'] {
		return point{}, refuse(name, "it needs I, J or R")
	}
	c := point{from.x + float64(b.value['I']*unit), from.y + float64(b.value['J']*unit)}
	r0, r1 := distance(from, c), distance(to, c)
	allowed := arcAgreementMM
	if unit != 1 {
		allowed = 0.0002 * unit
	}
	// Both are sums of decimal numbers in binary.
	if r0 == 0 || math.Abs(r0-r1) > allowed+1e-9 {
		return point{}, refuse(name, "its start is %.4f mm from the center and its end %.4f mm", r0, r1)
	}
	return c, nil
}

// arcAgreementMM is how far the two radii of an arc may differ in millimetre
// mode; in inches it is 0.0002 inch (section 3.5.3.2).
const arcAgreementMM = 0.002

// arcInside reports whether an arc stays in the area: its outermost points are
// its ends, which are judged when they are moved to, and where it crosses the
// directions of the axes.
func (g *Gate) arcInside(c point, r, first, sweep float64) bool {
	low, high := min(first, first+sweep), max(first, first+sweep)
	for k := math.Ceil(low / 90); k*90 <= high; k++ {
		if !g.almostInside(around(c, r, k*90)) {
			return false
		}
	}
	return true
}
