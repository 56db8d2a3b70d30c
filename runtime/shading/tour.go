package shading

import (
	"cmp"
	"context"
	"math"
	"slices"

	"wend/runtime/geom"
	"wend/runtime/plan"
	"wend/runtime/region"
	"wend/runtime/tour"
)

// Tour covers an area with the short way through points strewn evenly over it.
// Where the straight way from one to the next would leave the area, the line goes
// along the border. There is no line if the area is empty.
func Tour(ctx context.Context, area region.Region, o Options, work region.Work) (Line, error) {
	within, err := inner(area, o, work)
	if err != nil || len(within) == 0 {
		return Line{}, err
	}
	whole, _, _, err := area.Measure(work)
	if err != nil {
		return Line{}, err
	}
	room, _, _, err := within.Measure(work)
	if err != nil {
		return Line{}, err
	}
	// A way through n points is as long as the root of n times the area that they lie
	// in (J. Beardwood et al., "The shortest path through many points", 1959; from
	// memory). So the margin along the border, where no line may be, is made up for.
	apart := spread(o.LineWidthMM/o.SpacingMM) * o.LineWidthMM * room / whole
	var strokes [][]geom.Point
	grounds, err := groundsOf(within, work)
	if err != nil {
		return Line{}, err
	}
	for _, g := range grounds {
		line, err := g.tour(ctx, apart)
		if err != nil {
			return Line{}, err
		}
		strokes = append(strokes, line)
		if o.Border {
			for i := range g.rings {
				strokes = append(strokes, g.rings[i].Points)
			}
		}
	}
	if len(strokes) == 1 {
		return Line{strokes[0], make([]plan.Role, len(strokes[0])-1)}, nil
	}
	return woven(ctx, strokes, work)
}

const (
	kickWork     = 100 // steps that a kick of a tour takes
	fewestOfTour = 4   // points
)

// spread is how far apart the points of a tour lie, in widths of the line, that is
// to cover a share of an area: the root of the area that each has. They never lie
// closer than the line is wide, with which 0.93 is covered. The way from point to
// point is 0.97 times as long as that on average, and what it covers twice grows
// with the square of the share: measured with squares of 60 mm, from 144 to 14,400
// points, to one part in a hundred.
func spread(share float64) float64 {
	const once, twice = 0.966, 0.040
	root := math.Sqrt(max(0, float64(once*once)-float64(4*twice*share)))
	return max(1, 2*twice/(once-root))
}

// ground is a part of an area: its border and those of its holes.
type ground struct {
	rings []turn
	work  region.Work
}

// area is the ground as a region.
func (g *ground) area() region.Region {
	area := make(region.Region, len(g.rings))
	for i := range g.rings {
		area[i] = g.rings[i].Runs
	}
	return area
}

// groundsOf are the connected parts of an area.
func groundsOf(area region.Region, work region.Work) ([]*ground, error) {
	type outer struct {
		g    *ground
		ring region.Region
		box  geom.Box
		size float64
	}
	var outers []outer
	var holes []geom.Runs
	for _, ring := range area {
		if size := signedArea(ring.Points); size > 0 {
			g := &ground{work: work, rings: []turn{turnOf(ring)}}
			outers = append(outers, outer{g, region.Region{ring}, geom.Bounds(ring.Points), size})
		} else {
			holes = append(holes, ring)
		}
	}
	if err := work(len(outers)*len(holes), 0); err != nil {
		return nil, err
	}
	for _, hole := range holes {
		around := -1
		for i, o := range outers {
			if (around < 0 || o.size < outers[around].size) && o.box.Contains(hole.Points[0]) && o.ring.Contains(hole.Points[0]) {
				around = i
			}
		}
		if around >= 0 {
			outers[around].g.rings = append(outers[around].g.rings, turnOf(hole))
		}
	}
	grounds := make([]*ground, len(outers))
	for i := range outers {
		grounds[i] = outers[i].g
	}
	return grounds, nil
}

// tour is the way through points of the ground, whose mean distance is given.
func (g *ground) tour(ctx context.Context, apart float64) ([]geom.Point, error) {
	points, err := g.strewn(ctx, apart)
	if err != nil {
		return nil, err
	}
	if len(points) < fewestOfTour {
		return g.rings[0].Points, nil // too small for a tour
	}
	if err := g.work(kickWork*len(points), len(points)); err != nil {
		return nil, err
	}
	// In points alone, at first: what leaves the ground is rare, and dear to ask for.
	order, err := tour.Order(ctx, points, tour.Options{Kicks: 1 + len(points)/4})
	if err != nil {
		return nil, err
	}
	ways := map[[2]int]float64{}
	cost := func(a, b int) float64 {
		pair := [2]int{min(a, b), max(a, b)}
		mm, known := ways[pair]
		if !known {
			mm = geom.Length(g.way(points[pair[0]], points[pair[1]]))
			ways[pair] = mm
		}
		return mm
	}
	if order, err = tour.Order(ctx, points, tour.Options{From: order, Cost: cost}); err != nil {
		return nil, err
	}
	line := []geom.Point{points[order[0]]}
	for i := 1; i < len(order); i++ {
		line = append(line, g.way(points[order[i-1]], points[order[i]])[1:]...)
	}
	return geom.WithoutRepeats(line), nil
}

// exit is a place where a straight way crosses a ring.
type exit struct {
	share float64 // of the way
	ring  int
	mm    float64 // along the ring
}

// way is how one comes from a point of the ground to another: straight, and where
// that would leave it, along the border.
func (g *ground) way(a, b geom.Point) []geom.Point {
	reach := geom.Bounds([]geom.Point{a, b})
	var exits []exit
	for ring := range g.rings {
		m := &g.rings[ring]
		m.Visit(func(box geom.Box, _, _ int) bool { return box.Meets(reach) }, func(i int) {
			c, d := m.Points[i], m.Points[i+1]
			if (geom.Orientation(a, b, c) > 0) == (geom.Orientation(a, b, d) > 0) || (geom.Orientation(c, d, a) > 0) == (geom.Orientation(c, d, b) > 0) {
				return
			}
			if s, t, ok := geom.Intersect(a, b, c, d); ok {
				exits = append(exits, exit{s, ring, m.upTo[i] + float64(t*(m.upTo[i+1]-m.upTo[i]))})
			}
		})
	}
	slices.SortFunc(exits, func(e, f exit) int { return cmp.Compare(e.share, f.share) })
	line := []geom.Point{a}
	for i := 0; i+1 < len(exits); i += 2 {
		out, in := exits[i], exits[i+1]
		if out.ring != in.ring {
			continue // they touch there
		}
		m := &g.rings[out.ring]
		if mm := m.normal(in.mm - out.mm); mm <= m.length()/2 {
			line = m.stretch(line, out.mm, mm, true)
		} else {
			line = m.stretch(line, out.mm, m.length()-mm, false)
		}
	}
	return append(line, b)
}
