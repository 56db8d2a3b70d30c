package lettering

import (
	"cmp"
	"context"
	"slices"

	"wend/runtime/geom"
	"wend/runtime/weave"
)

// ways are the places of a letter where the line may come in or go out, and
// what the shortest line through the whole letter costs between each two.
type ways struct {
	places []geom.Point
	// again[i][j] is how much line is gone over again from place i to place j,
	// in units; again[j][i] is the same.
	again [][]float64
	// bridges is how much line joins the letter's parts, whatever the way.
	bridges, drawn float64
}

// coarse is the tolerance, in units, within which ways are compared. Their
// lengths differ from those of the finest line by a fraction of that.
const coarse = 0.5

// waysOf finds the ways of a letter, once. The room may be nil.
func (g *Glyph) waysOf(ctx context.Context, room *weave.Room) (*ways, error) {
	// What is kept for all must not depend on when one of them gave up.
	g.once.Do(func() { g.ways, g.failed = g.findWays(context.WithoutCancel(ctx), room) })
	if g.failed != nil {
		return nil, g.failed
	}
	return g.ways, ctx.Err()
}

func (g *Glyph) flat(tolerance float64) [][]geom.Point {
	lines := make([][]geom.Point, len(g.strokes))
	for i, s := range g.strokes {
		lines[i] = s.flat(tolerance)
	}
	return lines
}

func (g *Glyph) findWays(ctx context.Context, room *weave.Room) (*ways, error) {
	w := &ways{places: g.places()}
	woven, err := weave.Between(ctx, g.flat(coarse), w.places, room)
	if err != nil {
		return nil, err
	}
	w.again, w.bridges, w.drawn = woven.RetraceMM, woven.LinkMM+g.added, woven.DrawnMM-g.added
	return w, nil
}

// routeKey names a route that was found: from place to place, at a fineness.
type routeKey struct {
	from, to, level int
}

// route is the line through the letter from one place to another, in units,
// exact to toleranceAt(level). It is not to be changed. The room may be nil.
func (g *Glyph) route(ctx context.Context, from, to, level int, room *weave.Room) ([]geom.Point, error) {
	if from > to {
		forward, err := g.route(ctx, to, from, level, room)
		return geom.Reversed(forward), err
	}
	key := routeKey{from, to, level}
	if known, ok := g.routes.Load(key); ok {
		return known.([]geom.Point), nil
	}
	woven, err := weave.Weave(ctx, g.flat(toleranceAt(level)), weave.Options{Start: &g.ways.places[from], End: &g.ways.places[to], Room: room})
	if err != nil {
		return nil, err
	}
	known, _ := g.routes.LoadOrStore(key, woven.Points)
	return known.([]geom.Point), nil
}

// Levels of fineness are powers of two, so that few lines serve all sizes.
const finestLevel = 16

// toleranceAt is the tolerance of a level, in units.
func toleranceAt(level int) float64 { return float64(Cap) / float64(int(1)<<level) }

// levelFor is the coarsest level that keeps a tolerance, in units.
func levelFor(tolerance float64) int {
	level := 0
	for level < finestLevel && toleranceAt(level) > tolerance {
		level++
	}
	return level
}

// mostPlaces keeps the search short; no letter of the faces has so many that
// matter.
const mostPlaces = 10

// places are where a letter may be entered and left: where handwriting says so;
// the ends of its strokes and its corners at the foot; the places that reach
// farthest to each side.
func (g *Glyph) places() []geom.Point {
	if g.doors != nil {
		return g.doors
	}
	var found []geom.Point
	add := func(p geom.Point) {
		if !slices.ContainsFunc(found, func(q geom.Point) bool { return q.Distance(p) <= geom.SamePoint }) {
			found = append(found, p)
		}
	}
	if g.in != nil {
		add(g.nearestNode(*g.in))
	}
	if g.out != nil {
		add(g.nearestNode(*g.out))
	}
	// The foot of the letter first, from both sides inward.
	var feet []geom.Point
	for _, s := range g.strokes {
		for _, p := range s {
			if p.inner {
				break
			}
			for _, q := range [2]geom.Point{p.P0, p.P3} {
				if max(q.Y, -q.Y) <= nearly {
					feet = append(feet, q)
				}
			}
		}
	}
	slices.SortFunc(feet, func(p, q geom.Point) int { return cmp.Or(cmp.Compare(p.X, q.X), cmp.Compare(p.Y, q.Y)) })
	for i := range (len(feet) + 1) / 2 {
		if len(found) >= mostPlaces-4 {
			break
		}
		add(feet[i])
		add(feet[len(feet)-1-i])
	}
	for _, side := range g.flanks() {
		add(side)
	}
	add(g.extreme(func(p, best geom.Point) bool { return p.X < best.X || p.X == best.X && p.Y < best.Y }))
	add(g.extreme(func(p, best geom.Point) bool { return p.X > best.X || p.X == best.X && p.Y < best.Y }))
	if len(feet) == 0 {
		add(g.footRight())
	}
	for _, s := range g.strokes {
		if s[0].inner {
			continue
		}
		for _, p := range [2]geom.Point{s.start(), s.end()} {
			if len(found) < mostPlaces {
				add(p)
			}
		}
	}
	return found
}

// flanks are the places at the height of a flank that lie farthest to the left and
// to the right.
func (g *Glyph) flanks() []geom.Point {
	var sides []geom.Point
	for _, s := range g.strokes {
		for _, p := range s {
			if p.P0.Y != flank || p.inner {
				continue
			}
			switch {
			case len(sides) == 0:
				sides = []geom.Point{p.P0, p.P0}
			case p.P0.X < sides[0].X:
				sides[0] = p.P0
			case p.P0.X > sides[1].X:
				sides[1] = p.P0
			}
		}
	}
	return sides
}

// nearestNode is the node of a letter that an anchor means.
func (g *Glyph) nearestNode(anchor geom.Point) geom.Point {
	return g.extreme(func(p, best geom.Point) bool { return p.Distance(anchor) < best.Distance(anchor) })
}
