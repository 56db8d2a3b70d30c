package gate

import "math"

// mostChords bounds what one arc may become.
const mostChords = 100_000

// arc cuts an arc into chords. The true arc is judged, not only its chords: it
// must stay in the area at its leftmost, rightmost, lowest and highest points.
func (g *Gate) arc(b block, to place) ([]Item, error) {
	name := g.modes.motion.String()
	from := g.want
	center, err := g.center(b, name, from, to)
	if err != nil {
		return nil, err
	}
	r := math.Hypot(from.x-center.x, from.y-center.y)
	first := math.Atan2(from.y-center.y, from.x-center.x)
	sweep := math.Atan2(to.y-center.y, to.x-center.x) - first
	// A full turn where start and end are one place.
	if g.modes.motion == counterclockwise {
		for sweep <= 1e-9 {
			sweep += 2 * math.Pi
		}
	} else {
		for sweep >= -1e-9 {
			sweep -= 2 * math.Pi
		}
	}
	if !g.arcInside(center, r, first, sweep) {
		return nil, refuse(name, "the arc around (%.3f, %.3f) leaves the area", center.x, center.y)
	}
	feed, err := g.feed(b, r*math.Abs(sweep))
	if err != nil {
		return nil, err
	}
	// The sagitta of a chord over an angle a is r (1 - cos a/2).
	angle := math.Pi / 2
	if r > g.limits.ToleranceMM {
		angle = min(angle, 2*math.Acos(1-g.limits.ToleranceMM/r))
	}
	chords := math.Ceil(math.Abs(sweep) / angle)
	if !(chords <= mostChords) {
		return nil, refuse(name, "the arc is too long")
	}
	var items []Item
	for i := 1.0; i <= chords; i++ {
		p := to
		if i < chords {
			a := first + sweep*i/chords
			p = place{center.x + r*math.Cos(a), center.y + r*math.Sin(a)}
		}
		item, err := g.move(p, feed)
		if err != nil {
			return nil, err
		}
		if item != nil {
			items = append(items, *item)
		}
	}
	return items, nil
}

// center finds the middle of an arc from the words of its line (NISTIR 6556,
// section 3.5.3).
func (g *Gate) center(b block, name string, from, to place) (place, error) {
	unit := g.modes.unit
	if b.given['R'] {
		if b.given['I'] || b.given['J'] {
			return place{}, refuse("R", "I or J says the center already")
		}
		r := b.value['R'] * unit
		dx, dy := to.x-from.x, to.y-from.y
		d := math.Hypot(dx, dy)
		if d == 0 {
			return place{}, refuse("R", "the arc ends where it begins, so R does not tell which one is meant")
		}
		rise := r*r - d*d/4
		if rise < 0 {
			if d/2-math.Abs(r) > arcAgreementMM {
				return place{}, refuse("R", "a radius of %.3f mm cannot span %.3f mm", math.Abs(r), d)
			}
			rise = 0
		}
		h := math.Sqrt(rise) / d
		// The center lies left of the way from start to end for a
		// counterclockwise arc of at most half a turn.
		if (g.modes.motion == clockwise) != (r < 0) {
			h = -h
		}
		return place{(from.x+to.x)/2 - h*dy, (from.y+to.y)/2 + h*dx}, nil
	}
	if !b.given['I'] && !b.given['J'] {
		return place{}, refuse(name, "it needs I, J or R")
	}
	c := place{from.x + b.value['I']*unit, from.y + b.value['J']*unit}
	r0 := math.Hypot(from.x-c.x, from.y-c.y)
	r1 := math.Hypot(to.x-c.x, to.y-c.y)
	allowed := arcAgreementMM
	if unit != 1 {
		allowed = 0.0002 * unit
	}
	if r0 == 0 || math.Abs(r0-r1) > allowed {
		return place{}, refuse(name, "its start is %.4f mm from the center and its end %.4f mm", r0, r1)
	}
	return c, nil
}

// arcAgreementMM is how far the two radii of an arc may differ in millimetre
// mode; in inches it is 0.0002 inch (section 3.5.3.2).
const arcAgreementMM = 0.002

// arcInside tells whether an arc stays in the area: its outermost points are
// its ends, which are judged when they are moved to, and where it crosses the
// directions of the axes.
func (g *Gate) arcInside(c place, r, first, sweep float64) bool {
	low, high := min(first, first+sweep), max(first, first+sweep)
	for k := math.Ceil(low / (math.Pi / 2)); k*math.Pi/2 <= high; k++ {
		a := k * math.Pi / 2
		if !g.almostInside(place{c.x + r*math.Cos(a), c.y + r*math.Sin(a)}) {
			return false
		}
	}
	return true
}
