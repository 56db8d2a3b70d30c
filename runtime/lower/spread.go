package lower

import (
	"iter"
	"math"
	"slices"

	"wend/runtime/geom"
	"wend/runtime/machine"
)

// Where only one axis reverses, the other may go on: the line is nearly parallel
// to it there, and the motor that reverses runs through its slack meanwhile. The
// stylus is off the line by a part of the tolerance.
const (
	leadMM        = 1.0  // over at most this way the stylus is led off the line and back
	leastLeadMM   = 0.05 // and over at least this
	leastSpreadMM = 0.08 // along the line; on a shorter way standing still is as fast
	halfStep      = 0.5
	runShare      = 1.0 / 3 // of the runs before and after, for all that is near the turn
)

// spreader decides which take-ups are made in motion.
type spreader struct {
	courses  *courses
	steps    geom.Point                  // how far whole steps move the stylus on each axis, mm
	scale    geom.Point                  // steps per mm
	bandMM   func(geom.Point) geom.Point // how far the stylus may be off on each axis while the other is off, mm
	original func(vertex int) geom.Point // before each axis was made to run one way, in steps
	atRest   [][2]float64                // parts of the line on which slack is taken up at rest
	most     [2]float64                  // mostOff of each axis where the line does not waver
}

func (s *spreader) course(axis int) *course {
	if axis == 0 {
		return &s.courses.x
	}
	return &s.courses.y
}

// choose gives each turn that can be spread its spread.
func (s *spreader) choose() {
	inParallel(2, func(axis int) {
		c := s.course(axis)
		for i := range c.turns {
			if spread, ok := s.stretch(axis, i); ok {
				c.inMotion(i, spread)
			}
		}
	})
	upTo := s.courses.upTo
	// Where both axes reverse near each other, at most one is spread: the one on the
	// longer way, if the other reverses well outside of it.
	bounds := func(c *course, turn int) (from, to float64) {
		if s := c.spreadOf(turn); s != nil {
			return s.from, s.to
		}
		here := upTo[c.turns[turn].vertex]
		return here, here
	}
	var before *course
	turnBefore := 0
	for c, i := range s.inOrder() {
		if before != nil {
			t, next := &before.turns[turnBefore], &c.turns[i]
			near := func() bool {
				_, end := bounds(before, turnBefore)
				begin, _ := bounds(c, i)
				return (t.spread > 0 || next.spread > 0) && begin-end < 2*leastLeadMM
			}
			if near() {
				if before.spreadOf(turnBefore).length() < c.spreadOf(i).length() {
					t.spread = 0
				} else {
					next.spread = 0
				}
				if near() {
					t.spread, next.spread = 0, 0
				}
			}
		}
		before, turnBefore = c, i
	}
	ended, open := 0.0, (*spread)(nil)
	for c, i := range s.inOrder() {
		from, to := bounds(c, i)
		if open != nil {
			open.trail = min(open.trail, open.to+min(leadMM, (from-open.to)/2))
		}
		if open = c.spreadOf(i); open != nil {
			open.lead = max(open.lead, open.from-min(leadMM, (open.from-ended)/2))
		}
		ended = to
	}
	if open != nil {
		open.trail = min(open.trail, open.to+min(leadMM, (upTo[len(upTo)-1]-open.to)/2))
	}
}

// inOrder is the turns of both axes along the line, of x first where both turn.
func (s *spreader) inOrder() iter.Seq2[*course, int] {
	return func(yield func(*course, int) bool) {
		x, y := &s.courses.x, &s.courses.y
		i, j := 0, 0
		for i+j < len(x.turns)+len(y.turns) {
			if i == len(x.turns) || j < len(y.turns) && y.turns[j].vertex < x.turns[i].vertex {
				if !yield(y, j) {
					return
				}
				j++
				continue
			}
			if !yield(x, i) {
				return
			}
			i++
		}
	}
}

// stretch is the spread of a turn, without the ways that lead to it and from it, if
// it is not too short.
func (s *spreader) stretch(axis, index int) (spread, bool) {
	c := s.course(axis)
	t := &c.turns[index]
	before, after := c.at[0], c.at[len(c.at)-1]
	firstVertex, lastVertex := 0, len(c.at)-1
	if index > 0 {
		before, firstVertex = c.turns[index-1].extreme, int(c.turns[index-1].vertex)
	}
	if index+1 < len(c.turns) {
		after, lastVertex = c.turns[index+1].extreme, int(c.turns[index+1].vertex)
	}
	runs := min(math.Abs(t.extreme-before), math.Abs(t.extreme-after)) * runShare
	var mostOff, rest float64
	var from, to station
	fits := func(most float64) bool {
		mostOff = most
		if mostOff <= halfStep {
			return false
		}
		mostOff = min(mostOff, runs/2)
		rest = c.rest(index, mostOff)
		width := float64(c.toward(index)*(t.extreme-rest)) + mostOff
		from, to = s.reach(c, index, width, width-max(0, c.missing(index)), firstVertex, lastVertex)
		return to.along-from.along >= leastSpreadMM
	}
	if !fits(s.most[axis]) {
		return spread{}, false
	}
	// Where the line wavers, that has a share of the tolerance too.
	var wavers geom.Point
	for v := from.vertex; v <= to.vertex; v++ {
		here := s.wavers(v)
		wavers = geom.Point{X: max(wavers.X, here.X), Y: max(wavers.Y, here.Y)}
	}
	if wavers != (geom.Point{}) && !fits(s.mostOff(axis, wavers)) {
		return spread{}, false
	}
	// On the way to it and from it the line may waver no more than that.
	lead, trail := s.steady(from, -1, firstVertex, wavers), s.steady(to, 1, lastVertex, wavers)
	if from.along-lead < leastLeadMM || trail-to.along < leastLeadMM || s.refused(lead, trail) {
		return spread{}, false
	}
	length := to.along - from.along
	return spread{
		lead: lead, trail: trail, from: from.along, third: from.along + length/3, twoThirds: to.along - length/3, to: to.along,
		middle: rest, off: float64(c.toward(index) * max(0, mostOff-halfStep)),
		straight: s.course(1-axis).runsOneWay(from.vertex, to.vertex),
	}, true
}

// wavers is by how much a vertex was moved so that each axis runs one way, in mm.
func (s *spreader) wavers(v int) geom.Point {
	at := s.original(v)
	return geom.Point{X: math.Abs(s.courses.x.at[v]-at.X) / s.scale.X, Y: math.Abs(s.courses.y.at[v]-at.Y) / s.scale.Y}
}

// steady is how far the line goes on from a place, by steps of a vertex as far as
// the last, before an axis wavers by more.
func (s *spreader) steady(from station, by, last int, most geom.Point) float64 {
	const binary = 1e-9
	reached := from.along
	for v := from.vertex; ; v += by {
		if here := s.wavers(v); here.X > most.X+binary || here.Y > most.Y+binary {
			break
		}
		reached = s.courses.upTo[v]
		if v == last || math.Abs(reached-from.along) >= leadMM {
			break
		}
	}
	return reached
}

// refused reports whether slack is to be taken up at rest between two places.
func (s *spreader) refused(lead, trail float64) bool {
	for _, part := range s.atRest {
		if part[0] <= trail && lead <= part[1] {
			return true
		}
	}
	return false
}

// mostOff is how many steps the stylus may be off along an axis where the line
// wavers by so many mm: what of the tolerance the other axis leaves. Of its own
// rounding nothing is kept back, since it rests where its motor is on a whole step.
func (s *spreader) mostOff(axis int, wavers geom.Point) float64 {
	band := s.bandMM(s.steps.Add(wavers))
	if axis == 0 {
		return float64((band.X - wavers.X) * s.scale.X)
	}
	return float64((band.Y - wavers.Y) * s.scale.Y)
}

// rest is where the stylus rests, in steps, while an axis reverses: as far before
// the extreme as it may be off at most, with its motor on a whole step.
func (c *course) rest(turn int, mostOff float64) float64 {
	ahead, _ := c.leads(turn)
	whole := math.Ceil(float64(c.toward(turn)*(c.turns[turn].extreme+ahead)) - mostOff + max(0, -c.missing(turn)))
	return float64(c.toward(turn)*whole) - ahead
}

// missing is what whole steps leave of the slack that is taken up in a turn, in
// steps. Where they go beyond it, which is less than none, the stylus moves by that
// at the end of its rest.
func (c *course) missing(turn int) float64 {
	from, to := c.leads(turn)
	run := math.Abs(to - from)
	return run - math.Round(run)
}

// station is somewhere along the line.
type station struct {
	along  float64
	vertex int // the nearest outside
}

// reach is how far to both sides of a turn its axis stays within a width of its
// extreme, before it and after it, on its own runs.
func (s *spreader) reach(c *course, turn int, before, after float64, first, last int) (from, to station) {
	upTo, t, toward := s.courses.upTo, c.turns[turn], c.toward(turn)
	off := func(v int) float64 { return float64(toward * (t.extreme - c.at[v])) }
	v := int(t.vertex)
	for v > first && off(v-1) <= before {
		v--
	}
	from = station{upTo[v], v}
	if v > first {
		share := (before - off(v)) / (off(v-1) - off(v))
		from = station{upTo[v] - float64(share*(upTo[v]-upTo[v-1])), v - 1}
	}
	v = int(t.vertex)
	for v < last && off(v+1) <= after {
		v++
	}
	to = station{upTo[v], v}
	if v < last {
		share := (after - off(v)) / (off(v+1) - off(v))
		to = station{upTo[v] + float64(share*(upTo[v+1]-upTo[v])), v + 1}
	}
	return from, to
}

// newCourses is the way of both axes along the kept vertices.
func newCourses(p *machine.Profile, step *stepper, points []geom.Point, kept []int32, opts Options) *courses {
	n := len(kept)
	c := &courses{upTo: make([]float64, n)}
	slack := geom.Point{X: p.X.SlackMM * p.X.StepsPerMM(), Y: p.Y.SlackMM * p.Y.StepsPerMM()}
	gap := opts.Gap
	if !opts.Compensate {
		slack, gap = geom.Point{}, machine.Gap{}
	}
	inParallel(3, func(part int) {
		switch part {
		case 0:
			for i := 1; i < n; i++ {
				c.upTo[i] = points[kept[i]].Distance(points[kept[i-1]])
			}
			for i := 1; i < n; i++ {
				c.upTo[i] += c.upTo[i-1]
			}
		case 1:
			x := make([]float64, n)
			for i, k := range kept {
				x[i] = step.exact(points[k]).X
			}
			c.x = newCourse(slack.X, gap.X, x)
		case 2:
			y := make([]float64, n)
			for i, k := range kept {
				y[i] = step.exact(points[k]).Y
			}
			c.y = newCourse(slack.Y, gap.Y, y)
		}
	})
	if !opts.Compensate {
		return c
	}
	s := &spreader{
		courses: c, scale: step.scale, bandMM: p.TakeUpBandMM,
		original: func(vertex int) geom.Point { return step.exact(points[kept[vertex]]) },
	}
	for _, part := range opts.AtRest {
		from, _ := slices.BinarySearch(kept, int32(part.From))
		to, _ := slices.BinarySearch(kept, int32(part.To))
		s.atRest = append(s.atRest, [2]float64{c.upTo[max(0, from-1)], c.upTo[min(to, n-1)]})
	}
	s.steps = p.AxisStepsMM(true)
	if c.x.slack > 0 {
		s.steps.X -= 0.5 / s.scale.X
	}
	if c.y.slack > 0 {
		s.steps.Y -= 0.5 / s.scale.Y
	}
	s.most = [2]float64{s.mostOff(0, geom.Point{}), s.mostOff(1, geom.Point{})}
	s.choose()
	return c
}
