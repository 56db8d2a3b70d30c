package shading

import (
	"context"
	"math"

	"wend/runtime/geom"
	"wend/runtime/region"
)

// farthest is how far, in spacings, a corner of a turn may be from the next turn
// within: as it is with an angle of 30 degrees.
const farthest = 4

// fewestOfSpiral is how many turns a spiral has at the least: its first one goes
// away from the border, and its last one comes close to the one before, which shows
// where they are few.
const fewestOfSpiral = 5

// spirals covers those parts of an area that a spiral can cover, and gives what is
// left of it.
func spirals(ctx context.Context, area region.Region, o Options, work region.Work) (lines [][]geom.Point, left region.Region, err error) {
	for i, ring := range area {
		var line []geom.Point
		if whole(area, i) {
			if line, err = spiralOf(ctx, region.Region{ring}, o, work); err != nil {
				return nil, nil, err
			}
		}
		if line == nil {
			left = append(left, ring)
		} else {
			lines = append(lines, line)
		}
	}
	return lines, left, nil
}

// whole reports whether a ring of an area goes around a part without holes.
func whole(area region.Region, i int) bool {
	if signedArea(area[i].Points) <= 0 {
		return false
	}
	around, box := region.Region{area[i]}, geom.Bounds(area[i].Points)
	for j, other := range area {
		if j != i && box.Contains(other.Points[0]) && signedArea(other.Points) < 0 && around.Contains(other.Points[0]) {
			return false
		}
	}
	return true
}

// spiralOf is the spiral over an area of one ring, or nil if there is none.
func spiralOf(ctx context.Context, area region.Region, o Options, work region.Work) ([]geom.Point, error) {
	t := &turns{spacing: o.SpacingMM}
	for level := 0; len(area) > 0; level++ {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if len(area) > 1 {
			return nil, nil
		}
		if err := t.add(area, level, max(o.SpacingMM/2, o.LineWidthMM), work); err != nil {
			return nil, err
		}
		var err error
		if area, err = region.Offset(area, -o.SpacingMM, o.ToleranceMM/finerArcs, region.Round, work); err != nil {
			return nil, err
		}
		if len(t.all) <= level || t.all[level].led && len(area) > 0 {
			return nil, nil
		}
	}
	return t.spiral(o), nil
}

// resting is the share of each turn on which a spiral stays beside the border; on
// the rest of it, a tenth at the least, it goes over to the next turn. Without a
// border its first turn begins half a line within the area. With w and s for width
// and spacing it is then w/2 + (1 - share) s/2 from there on average, which is to
// be s/2, as far as closed turns are. So it is as dark as those.
func resting(o Options) float64 {
	if o.Border {
		return 0
	}
	return min(o.LineWidthMM/o.SpacingMM, 0.9)
}

// spiral is one line through turns of which each holds the next, or nil if that
// is not how they are.
func (t *turns) spiral(o Options) []geom.Point {
	if len(t.all) < fewestOfSpiral {
		return nil
	}
	rest := resting(o)
	first := &t.all[0]
	place := first.restful()
	var line []geom.Point
	if o.Border {
		for _, mm := range first.places(place, t.spacing) {
			line = append(line, first.at(mm))
		}
	}
	for i := range len(t.all) - 1 {
		m, next := &t.all[i], &t.all[i+1]
		for k, mm := range m.places(place, t.spacing) {
			onNext, far, ok := next.nearest(m.at(mm), farthest*t.spacing)
			if !ok || far > farthest*t.spacing {
				return nil // the next turn is not beside this one all the way
			}
			p := m.at(mm).Mix(next.at(onNext), max(0, ((mm-place)/m.length()-rest)/(1-rest)))
			if k > 0 && p.Distance(line[len(line)-1]) > 3*t.spacing {
				return nil // it is beside it on two sides
			}
			line = append(line, p)
		}
		place, _, _ = next.nearest(m.at(place), math.Inf(1))
	}
	last := &t.all[len(t.all)-1]
	for _, mm := range last.places(place, t.spacing) {
		line = append(line, last.at(mm))
	}
	return geom.WithoutRepeats(line)
}
