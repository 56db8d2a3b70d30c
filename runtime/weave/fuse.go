package weave

import (
	"cmp"
	"context"
	"math"
	"slices"

	"wend/runtime/geom"
)

// strokeEnd is one end of a stroke; both are the same for a dot.
type strokeEnd struct {
	stroke int
	last   bool
}

// place on the body of a stroke: the segment that begins at a vertex, and where
// on it.
type bodyPlace struct {
	stroke, vertex int
	along          float64
	point          geom.Point
}

// fuseEnds moves ends of strokes that come within a tolerance of each other to
// one point, and single ends within the tolerance of another stroke, or of a
// farther part of their own, onto it. No end moves by more than the tolerance.
// Looking at segments is charged (see Options.Charge).
func fuseEnds(ctx context.Context, strokes [][]geom.Point, tolerance float64, charge func(operations, bytes int) error) ([][]geom.Point, error) {
	f := &fusion{tolerance: tolerance, strokes: make([][]geom.Point, len(strokes))}
	for i, stroke := range strokes {
		f.strokes[i] = slices.Clone(stroke)
	}
	single := f.amongEnds()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	return f.strokes, f.onBodies(ctx, single, charge)
}

type fusion struct {
	tolerance float64
	strokes   [][]geom.Point
}

func (f *fusion) at(e strokeEnd) *geom.Point {
	if s := f.strokes[e.stroke]; e.last {
		return &s[len(s)-1]
	} else {
		return &s[0]
	}
}

// farAlong is how long the way along a stroke must be between two places that
// count as separate though they lie within the tolerance.
func (f *fusion) farAlong() float64 { return 4 * f.tolerance }

// amongEnds moves each end to the first one within the tolerance and lists the
// ends that have none.
func (f *fusion) amongEnds() []strokeEnd {
	type cluster struct {
		first strokeEnd
		point geom.Point
		size  int
	}
	var clusters []cluster
	cells := map[[2]int64][]int{}
	cellOf := func(p geom.Point) [2]int64 {
		return [2]int64{int64(math.Floor(p.X / f.tolerance)), int64(math.Floor(p.Y / f.tolerance))}
	}
	for i, s := range f.strokes {
		if len(s) == 0 {
			continue
		}
		ends := []strokeEnd{{i, false}, {i, true}}
		short := lengthOf(s) <= f.farAlong()
		if len(s) == 1 {
			ends = ends[:1]
		} else if s[0].Distance(s[len(s)-1]) <= geom.SamePoint {
			continue
		}
		for _, e := range ends {
			p := f.at(e)
			home := cellOf(*p)
			best, least := -1, f.tolerance
			for dx := int64(-1); dx <= 1; dx++ {
				for dy := int64(-1); dy <= 1; dy++ {
					for _, k := range cells[[2]int64{home[0] + dx, home[1] + dy}] {
						c := &clusters[k]
						if short && c.first.stroke == i {
							continue
						}
						if d := c.point.Distance(*p); d < least || d == least && (best < 0 || k < best) {
							best, least = k, d
						}
					}
				}
			}
			if best >= 0 {
				*p = clusters[best].point
				clusters[best].size++
				continue
			}
			cells[home] = append(cells[home], len(clusters))
			clusters = append(clusters, cluster{e, *p, 1})
		}
	}
	var single []strokeEnd
	for _, c := range clusters {
		if c.size == 1 {
			single = append(single, c.first)
		}
	}
	return single
}

func lengthOf(line []geom.Point) float64 {
	sum := 0.0
	for i := 1; i < len(line); i++ {
		sum += line[i].Distance(line[i-1])
	}
	return sum
}

// onBodies moves ends onto the nearest stroke within the tolerance. The stroke
// gets a vertex there, so that the two still meet when an end of that stroke is
// moved later on.
func (f *fusion) onBodies(ctx context.Context, ends []strokeEnd, charge func(operations, bytes int) error) error {
	type segment struct{ stroke, vertex int }
	var segments []segment
	box, total := geom.EmptyBox(), 0.0
	along := make([][]float64, len(f.strokes)) // to each vertex from the first
	for i, s := range f.strokes {
		along[i] = make([]float64, len(s))
		for k, p := range s {
			box = box.Include(p)
			if k > 0 {
				segments = append(segments, segment{i, k - 1})
				along[i][k] = along[i][k-1] + p.Distance(s[k-1])
			}
		}
		if len(s) > 0 {
			total += along[i][len(s)-1]
		}
	}
	g := newGrid(len(segments), total, box, 0, nil)
	for k, s := range segments {
		g.add(int32(k), f.strokes[s.stroke][s.vertex], f.strokes[s.stroke][s.vertex+1])
	}
	// The bodies stay as they are while ends are moved.
	bodies := f.strokes
	f.strokes = make([][]geom.Point, len(bodies))
	for i, s := range bodies {
		f.strokes[i] = slices.Clone(s)
	}
	var places []bodyPlace
	seen := 0
	for _, e := range ends {
		if seen >= seenPerCheck {
			if err := ctx.Err(); err != nil {
				return err
			}
			if charge != nil {
				if err := charge(10*seen, 0); err != nil {
					return err
				}
			}
			seen = 0
		}
		p := *f.at(e)
		best, bestSegment, least := bodyPlace{}, int32(-1), f.tolerance
		g.near(p, p, f.tolerance, func(k int32) {
			seen++
			s := segments[k]
			if s.stroke == e.stroke {
				whole := along[e.stroke][len(along[e.stroke])-1]
				near := along[e.stroke][s.vertex]
				if e.last {
					near = whole - along[e.stroke][s.vertex+1]
				}
				if near <= f.farAlong() {
					return
				}
			}
			a, b := bodies[s.stroke][s.vertex], bodies[s.stroke][s.vertex+1]
			q := nearestOn(p, a, b)
			if d := q.Distance(p); d < least || d == least && (bestSegment < 0 || k < bestSegment) {
				best, bestSegment, least = bodyPlace{s.stroke, s.vertex, q.Distance(a), q}, k, d
			}
		})
		if bestSegment >= 0 {
			*f.at(e) = best.point
			places = append(places, best)
		}
	}
	slices.SortFunc(places, func(p, q bodyPlace) int {
		return cmp.Or(p.stroke-q.stroke, p.vertex-q.vertex, cmp.Compare(p.along, q.along))
	})
	for len(places) > 0 {
		i := places[0].stroke
		var with []geom.Point
		for k, p := range f.strokes[i] {
			with = append(with, p)
			for len(places) > 0 && places[0].stroke == i && places[0].vertex == k {
				with = append(with, places[0].point)
				places = places[1:]
			}
		}
		f.strokes[i] = with
	}
	return nil
}

// seenPerCheck is how many segments are looked at between two looks at the
// context.
const seenPerCheck = 1 << 18
