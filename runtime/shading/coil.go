package shading

import (
	"cmp"
	"context"
	"slices"

	"wend/runtime/geom"
	"wend/runtime/plan"
	"wend/runtime/region"
)

// A coil follows the border, turn within turn. Where each turn holds one other,
// as in a disc or a leaf, it is a spiral: every turn goes over into the next. Else the turns are closed lines, joined where two of them run
// side by side: both are opened there and the four ends joined crosswise, which
// adds no more than it takes away. Joined as a tree they are one closed line
// (for the idea of double spirals see H. Zhao et al., "Connected Fermat spirals
// for layered fabrication", ACM Transactions on Graphics 35(4), 2016; from
// memory).

// Coil covers an area with a line that follows its border. There is no line if
// the area is empty.
func Coil(ctx context.Context, area region.Region, o Options, work region.Work) (Line, error) {
	within, err := inner(area, o, work)
	if err != nil || len(within) == 0 {
		return Line{}, err
	}
	spirals, within, err := spirals(ctx, within, o, work)
	if err != nil {
		return Line{}, err
	}
	t := &turns{spacing: o.SpacingMM}
	if !o.Border {
		// Half a spacing within, so that it is no darker along the border than
		// elsewhere, and two fills side by side have no seam.
		if within, err = t.addThin(within, (o.SpacingMM-o.LineWidthMM)/2, o, work); err != nil {
			return Line{}, err
		}
	}
	if err := t.addTurns(ctx, within, o, work); err != nil {
		return Line{}, err
	}
	strokes := append(spirals, t.lines()...)
	if len(strokes) == 1 {
		return Line{strokes[0], make([]plan.Role, len(strokes[0])-1)}, nil
	}
	return woven(ctx, strokes, work)
}

// turns are those of an area, from the border inwards.
type turns struct {
	spacing float64
	all     []turn
	count   int // of gates
}

// finerArcs is how much finer than the tolerance arcs are made, since those
// around a corner grow from turn to turn.
const finerArcs = 10

// addThin shrinks an area by mm. Parts of it that are too thin for that get a turn
// along their middle.
func (t *turns) addThin(area region.Region, mm float64, o Options, work region.Work) (region.Region, error) {
	within, err := region.Offset(area, -mm, o.ToleranceMM/finerArcs, region.Round, work)
	if err != nil {
		return nil, err
	}
	covered, err := region.Offset(within, float64(1.01*mm)+o.ToleranceMM, o.ToleranceMM, region.Round, work)
	if err != nil {
		return nil, err
	}
	left, err := region.Difference([]region.Region{area, covered}, work)
	if err != nil {
		return nil, err
	}
	for _, line := range left {
		// The tips of corners are no parts.
		if box := geom.Bounds(line.Points); len(within) > 0 && box.Min.Distance(box.Max) < float64(3*t.spacing) {
			continue
		}
		if err := t.add(region.Region{line}, 0, t.spacing, work); err != nil {
			return nil, err
		}
	}
	return within, nil
}

// addTurns adds the turns of an area: its border and, a spacing within each, the
// next.
func (t *turns) addTurns(ctx context.Context, area region.Region, o Options, work region.Work) error {
	for level := 0; len(area) > 0; level++ {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := t.add(area, level, max(o.SpacingMM/2, o.LineWidthMM), work); err != nil {
			return err
		}
		var err error
		if area, err = region.Offset(area, -o.SpacingMM, o.ToleranceMM/finerArcs, region.Round, work); err != nil {
			return err
		}
	}
	return nil
}

// add adds the lines of an area as turns, led along its middle where it is narrower
// than a limit.
func (t *turns) add(area region.Region, level int, limit float64, work region.Work) error {
	lines, err := narrow(area, limit, work)
	if err != nil {
		return err
	}
	for i, line := range lines {
		if len(line.Points) < 2 {
			continue
		}
		m := turnOf(line)
		m.level, m.led = level, &line.Points[0] != &area[i].Points[0]
		t.all = append(t.all, m)
		// A spiral has places no farther apart than the turns.
		if steps := int(min(m.length()/t.spacing, mostRows)); steps > 0 {
			if err := work(steps, steps); err != nil {
				return err
			}
		}
	}
	return nil
}

// sets are things joined to sets.
type sets []int

func newSets(count int) sets {
	s := make(sets, count)
	for i := range s {
		s[i] = i
	}
	return s
}

func (s sets) of(i int) int {
	for s[i] != i {
		s[i] = s[s[i]]
		i = s[i]
	}
	return i
}

// join makes one set of those of two things and reports whether they were two.
func (s sets) join(i, j int) bool {
	i, j = s.of(i), s.of(j)
	s[max(i, j)] = min(i, j)
	return i != j
}

// lines are the lines through the parts of the area.
func (t *turns) lines() [][]geom.Point {
	near := t.pairs()
	slices.SortStableFunc(near, func(p, q pair) int { return cmp.Compare(p.distance, q.distance) })
	joined := newSets(len(t.all))
	for _, p := range near {
		if joined.join(p.a, p.b) {
			t.open(p)
		}
	}
	var lines [][]geom.Point
	for i := range t.all {
		if joined.of(i) == i {
			lines = append(lines, t.walk(i))
		}
	}
	return lines
}

// pair is two turns side by side.
type pair struct {
	a, b     int
	distance float64 // where they are nearest
	place    float64 // there, along a
}

// pairs are the turns that are no more than two spacings apart, of one level or
// neighbouring ones.
func (t *turns) pairs() []pair {
	var near []pair
	limit := float64(2.1 * t.spacing)
	for a := range t.all {
		for b := a + 1; b < len(t.all); b++ {
			m, n := &t.all[a], &t.all[b]
			if n.level > m.level+1 {
				break
			}
			reach := m.box.Grow(limit)
			if n.box.Min.X > reach.Max.X || n.box.Max.X < reach.Min.X || n.box.Min.Y > reach.Max.Y || n.box.Max.Y < reach.Min.Y {
				continue
			}
			best := pair{a: a, b: b, distance: limit}
			found := false
			for _, p := range n.Points {
				if mm, d, ok := m.nearest(p, best.distance-1e-9); ok {
					best.distance, best.place, found = d, mm, true
				}
			}
			if found {
				near = append(near, best)
			}
		}
	}
	return near
}
