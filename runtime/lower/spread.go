package lower

import (
	"iter"
	"math"

	"wend/runtime/geom"
	"wend/runtime/machine"
)

// Where only one axis reverses, the other may go on: the line is nearly parallel
// to it there, and the motor that reverses runs through its slack meanwhile. The
// stylus is off the line by a part of the tolerance.
const (
	leadMM        = 1.0     // over at most this way the stylus is led off the line and back
	leastLeadMM   = 0.05    // and over at least this
	leastSpreadMM = 0.15    // along the line; on a shorter way standing still is as fast
	runShare      = 1.0 / 3 // of the runs before and after, for all that is near the turn
)

// spreader decides which take-ups are made in motion.
type spreader struct {
	courses  *courses
	steps    geom.Point                  // how far whole steps move the stylus on each axis, mm
	scale    geom.Point                  // steps per mm
	band     geom.Point                  // what is left beside that, mm
	bandMM   func(geom.Point) geom.Point // the same for other steps
	original func(axis, vertex int) float64
}

func (s *spreader) course(axis int) *course {
	if axis == 0 {
		return &s.courses.x
	}
	return &s.courses.y
}

// choose gives each turn that can be spread its spread.
func (s *spreader) choose() {
	for axis := range 2 {
		c := s.course(axis)
		for i := range c.turns {
			c.turns[i].spread = s.stretch(axis, i)
		}
	}
	upTo := s.courses.upTo
	// Where both axes reverse near each other, neither is spread.
	bounds := func(t *turn) (from, to float64) {
		if t.spread != nil {
			return t.spread.from, t.spread.to
		}
		return upTo[t.vertex], upTo[t.vertex]
	}
	end, crowded, before := math.Inf(-1), false, (*turn)(nil)
	for t := range s.inOrder() {
		begin, to := bounds(t)
		near := begin-end < 2*leastLeadMM
		if before != nil && (crowded || near) {
			before.spread = nil
		}
		end, crowded, before = to, near, t
	}
	if before != nil && crowded {
		before.spread = nil
	}
	ended, open := 0.0, (*spread)(nil)
	for t := range s.inOrder() {
		from, to := bounds(t)
		if open != nil {
			open.trail = open.to + min(leadMM, (from-open.to)/2)
		}
		if open = t.spread; open != nil {
			open.lead = open.from - min(leadMM, (open.from-ended)/2)
		}
		ended = to
	}
	if open != nil {
		open.trail = open.to + min(leadMM, (upTo[len(upTo)-1]-open.to)/2)
	}
}

// inOrder is the turns of both axes along the line, of x first where both turn.
func (s *spreader) inOrder() iter.Seq[*turn] {
	return func(yield func(*turn) bool) {
		x, y := s.courses.x.turns, s.courses.y.turns
		for len(x)+len(y) > 0 {
			next := &x
			if len(x) == 0 || len(y) > 0 && y[0].vertex < x[0].vertex {
				next = &y
			}
			if !yield(&(*next)[0]) {
				return
			}
			*next = (*next)[1:]
		}
	}
}

// stretch is the spread of a turn, without the ways that lead to it and from it;
// nil if it is too short.
func (s *spreader) stretch(axis, index int) *spread {
	c := s.course(axis)
	t := &c.turns[index]
	before, after := c.at[0], c.at[len(c.at)-1]
	firstVertex, lastVertex := 0, len(c.at)-1
	if index > 0 {
		before, firstVertex = c.turns[index-1].extreme, c.turns[index-1].vertex
	}
	if index+1 < len(c.turns) {
		after, lastVertex = c.turns[index+1].extreme, c.turns[index+1].vertex
	}
	runs := min(math.Abs(t.extreme-before), math.Abs(t.extreme-after)) * runShare
	ofAxis := func(mm geom.Point) float64 {
		if axis == 0 {
			return mm.X * s.scale.X
		}
		return mm.Y * s.scale.Y
	}
	width := min(2*ofAxis(s.band), runs)
	from, to := s.reach(c, t, width, firstVertex, lastVertex)
	if to.along-from.along < leastSpreadMM {
		return nil
	}
	// Where the line wavers, that has a share of the tolerance too.
	wavers := s.steps
	for v := from.vertex; v <= to.vertex; v++ {
		wavers.X = max(wavers.X, s.steps.X+float64(math.Abs(s.courses.x.at[v]-s.original(0, v))/s.scale.X))
		wavers.Y = max(wavers.Y, s.steps.Y+math.Abs(s.courses.y.at[v]-s.original(1, v))/s.scale.Y)
	}
	if wavers != s.steps {
		width = min(2*ofAxis(s.bandMM(wavers)), runs)
		if from, to = s.reach(c, t, width, firstVertex, lastVertex); to.along-from.along < leastSpreadMM {
			return nil
		}
	}
	length := to.along - from.along
	return &spread{
		from: from.along, third: from.along + length/3, twoThirds: to.along - length/3, to: to.along,
		middle: t.extreme - float64(t.side*width/2), off: float64(t.side * width / 2),
	}
}

// place is somewhere along the line.
type place struct {
	along  float64
	vertex int // the nearest outside
}

// reach is how far to both sides of a turn its axis stays within a width of its
// extreme, on its own runs.
func (s *spreader) reach(c *course, t *turn, width float64, first, last int) (from, to place) {
	upTo := s.courses.upTo
	off := func(v int) float64 { return float64(t.side * (t.extreme - c.at[v])) }
	v := t.vertex
	for v > first && off(v-1) <= width {
		v--
	}
	from = place{upTo[v], v}
	if v > first {
		share := (width - off(v)) / (off(v-1) - off(v))
		from = place{upTo[v] - float64(share*(upTo[v]-upTo[v-1])), v - 1}
	}
	v = t.vertex
	for v < last && off(v+1) <= width {
		v++
	}
	to = place{upTo[v], v}
	if v < last {
		share := (width - off(v)) / (off(v+1) - off(v))
		to = place{upTo[v] + float64(share*(upTo[v+1]-upTo[v])), v + 1}
	}
	return from, to
}

// newCourses is the way of both axes along the kept vertices.
func newCourses(p *machine.Profile, step *stepper, points []geom.Point, kept []int32, opts Options) *courses {
	n := len(kept)
	c := &courses{upTo: make([]float64, n)}
	x, y := make([]float64, n), make([]float64, n)
	for i, k := range kept {
		at := step.exact(points[k])
		x[i], y[i] = at.X, at.Y
		if i > 0 {
			c.upTo[i] = c.upTo[i-1] + points[k].Distance(points[kept[i-1]])
		}
	}
	if !opts.Compensate {
		c.x, c.y = newCourse(0, 0, x), newCourse(0, 0, y)
		return c
	}
	inParallel(2, func(axis int) {
		if axis == 0 {
			c.x = newCourse(p.X.SlackMM*p.X.StepsPerMM(), opts.Gap.X, x)
		} else {
			c.y = newCourse(p.Y.SlackMM*p.Y.StepsPerMM(), opts.Gap.Y, y)
		}
	})
	if opts.AtRest {
		return c
	}
	s := &spreader{
		courses: c, scale: step.scale, bandMM: p.TakeUpBandMM,
		original: func(axis, vertex int) float64 {
			at := step.exact(points[kept[vertex]])
			if axis == 0 {
				return at.X
			}
			return at.Y
		},
	}
	s.steps = p.AxisStepsMM(true)
	if c.x.slack > 0 {
		s.steps.X -= 0.5 / s.scale.X
	}
	if c.y.slack > 0 {
		s.steps.Y -= 0.5 / s.scale.Y
	}
	s.band = s.bandMM(s.steps)
	s.choose()
	return c
}
