package lower

import (
	"math"
	"slices"

	"wend/runtime/machine"
)

// course is the way of one axis along a line, for the stylus, with the places
// where the axis reverses. What lies between two of them runs one way, however
// the line wavers: rounding makes steps to and fro of a line that is nearly
// parallel to the other axis, and each would rattle the gears.
type course struct {
	slack   int32     // in whole steps
	exact   float64   // and as it is
	gap     int32     // what is left of it where the line starts
	at      []float64 // at each vertex, in steps
	turns   []turn
	first   int8 // side of the first turn; they alternate
	spreads [][]spread
	// ahead is how far the motor is ahead of the stylus before the first turn, and
	// after one at the largest place and at the smallest.
	ahead [3]float64
	least []float64 // of a run, see monotone; given back when all are fitted
}

// turn is a reversal of an axis. It takes up the slack at rest, at its vertex,
// or in motion, see spread. A line may have as many as vertices.
type turn struct {
	extreme float64 // the largest place that the axis came to, or the smallest, in steps
	vertex  int32
	spread  int32 // one of the course's, from 1; 0: at rest
}

// side is +1 where a turn is at the largest place of the axis, -1 at the smallest.
func (c *course) side(turn int) int8 {
	if turn%2 == 0 {
		return c.first
	}
	return -c.first
}

// toward is the way from the line to beyond the extreme of a turn, 1 or -1.
func (c *course) toward(turn int) float64 { return float64(c.side(turn)) }

// spreadsTogether is how many spreads one piece of memory holds: growing would hold
// all of them twice, and leave as much behind again and again.
const spreadsTogether = 1 << 8

// inMotion gives a turn its spread.
func (c *course) inMotion(turn int, s spread) {
	last := len(c.spreads) - 1
	if last < 0 || len(c.spreads[last]) == spreadsTogether {
		c.spreads = append(c.spreads, make([]spread, 0, spreadsTogether))
		last++
	}
	c.spreads[last] = append(c.spreads[last], s)
	c.turns[turn].spread = int32(last*spreadsTogether + len(c.spreads[last]))
}

// spreadOf is the spread of a turn; nil where it is made at rest.
func (c *course) spreadOf(turn int) *spread {
	if n := c.turns[turn].spread; n > 0 {
		return &c.spreads[(n-1)/spreadsTogether][(n-1)%spreadsTogether]
	}
	return nil
}

// waverSteps is how far an axis comes back before it reverses, and flatSteps
// how far the line may be from an extreme to count as being there still.
const (
	waverSteps = 1.0
	flatSteps  = 0.01
)

// newCourse takes the slack in steps. It finds where an axis reverses and makes
// what is between run one way. The places are the caller's, and changed: by half
// a step at most, and by up to one where the line starts, which is left where it
// is.
func newCourse(slack float64, gap int32, at []float64) course {
	c := course{slack: roundSteps(slack), exact: slack, at: at}
	c.gap = max(0, min(c.slack, gap))
	c.ahead = [3]float64{c.lead(c.gap), c.lead(c.flank(-1)), c.lead(c.flank(1))}
	if c.slack == 0 {
		return c
	}
	// Turns are counted before any is kept: growing would hold them twice.
	count := 0
	c.find(func(side int8, _ int, _ float64) {
		if count++; count == 1 {
			c.first = side
		}
	})
	c.turns = make([]turn, 0, count)
	c.find(func(_ int8, vertex int, extreme float64) {
		c.turns = append(c.turns, turn{extreme: extreme, vertex: int32(vertex)})
	})
	c.fit()
	c.least = nil
	return c
}

// flank is what is left of the slack while an axis moves in a direction.
func (c *course) flank(direction int8) int32 {
	if direction > 0 {
		return 0
	}
	return c.slack
}

// left is what is left of the slack, in steps, after so many turns.
func (c *course) left(turns int) int32 {
	if turns == 0 {
		return c.gap
	}
	return c.flank(-c.side(turns - 1))
}

// leads are how far the motor is ahead of the stylus before a turn and after it.
func (c *course) leads(turn int) (from, to float64) {
	return c.leadAfter(turn), c.leadAfter(turn + 1)
}

// leadAfter is how far the motor is ahead of the stylus after so many turns.
func (c *course) leadAfter(turns int) float64 {
	switch {
	case turns == 0:
		return c.ahead[0]
	case c.side(turns-1) > 0:
		return c.ahead[1]
	}
	return c.ahead[2]
}

// lead is how far a motor is ahead of the stylus when so much of its slack is
// left. That is a whole number of steps where the line starts, and from there on
// what the slack really is.
func (c *course) lead(gap int32) float64 {
	start := float64(c.slack - c.slack/2 - c.gap)
	if c.slack == 0 {
		return start
	}
	return start + float64(float64(c.gap-gap)*(c.exact/float64(c.slack)))
}

// find passes on the reversals, in order: side, vertex, extreme.
func (c *course) find(found func(side int8, vertex int, extreme float64)) {
	side := int8(0)
	switch c.gap {
	case 0:
		side = 1
	case c.slack:
		side = -1
	}
	direction := float64(side)
	extreme, vertex := c.at[0], 0
	for i, at := range c.at {
		ahead := direction * (at - extreme)
		switch {
		case direction == 0:
			// The stylus does not follow before the rest of the slack is taken up.
			if math.Abs(at-extreme) <= waverSteps {
				continue
			}
			direction = math.Copysign(1, at-extreme)
			side = int8(direction)
			found(-side, 0, extreme)
			extreme, vertex = at, i
		case ahead >= -flatSteps:
			vertex = i
			if ahead > 0 {
				extreme = at
			}
		case ahead < -waverSteps:
			found(side, vertex, extreme)
			side, direction = -side, -direction
			extreme, vertex = at, i
		}
	}
}

// fit makes each run between two turns monotone: at each vertex the middle
// between the farthest place before and the nearest place after.
func (c *course) fit() {
	if len(c.turns) == 0 && c.gap != 0 && c.gap != c.slack {
		for i := range c.at {
			c.at[i] = c.at[0] // the axis stays within its slack
		}
		return
	}
	for k := 0; k <= len(c.turns); k++ {
		first, last := 0, len(c.at)-1
		direction := 1.0
		if c.gap != 0 {
			direction = -1
		}
		if k > 0 {
			first, direction = int(c.turns[k-1].vertex), -c.toward(k-1)
		}
		if k < len(c.turns) {
			last = int(c.turns[k].vertex)
		}
		c.monotone(first, last, direction)
	}
	for i := range c.turns {
		t := &c.turns[i]
		c.at[t.vertex] = t.extreme
	}
}

// runsOneWay reports whether no vertex lies back from the one before, from a
// vertex to another.
func (c *course) runsOneWay(first, last int) bool {
	up, down := false, false
	for i := first; i < last; i++ {
		up = up || c.at[i+1] > c.at[i]
		down = down || c.at[i+1] < c.at[i]
	}
	return !up || !down
}

func (c *course) monotone(first, last int, direction float64) {
	at := c.at[first : last+1]
	if len(at) < 2 {
		return
	}
	if c.runsOneWay(first, last) && direction*(at[len(at)-1]-at[0]) >= 0 {
		return
	}
	start, lowest := at[0], direction*at[len(at)-1]
	c.least = slices.Grow(c.least[:0], len(at))
	least := c.least[:len(at)]
	for i := len(at) - 1; i >= 0; i-- {
		lowest = min(lowest, direction*at[i])
		least[i] = lowest
	}
	farthest := direction * start
	for i := range at {
		farthest = max(farthest, direction*at[i])
		at[i] = direction * (farthest + least[i]) / 2
		if first == 0 {
			at[i] = direction * max(direction*at[i], direction*start)
		}
	}
}

// spread is a take-up in motion, by places along the line in mm. From where the
// axis is near its extreme to where it is no longer, the stylus rests on that
// axis in the middle of what it is off by, while the motor runs through the
// slack. Over a way before and after, the stylus is led to that middle and back
// to the line.
type spread struct {
	lead, from, third, twoThirds, to, trail float64
	middle                                  float64 // where the stylus rests, in steps
	off                                     float64 // the middle less the line just before the rest begins and after it ends
	straight                                bool    // the other axis runs one way there
}

// The motor runs through the slack in three pieces: first not so fast, since it
// comes the other way, and fastest in the middle.
const (
	firstThird   = 0.65 / 3
	secondThirds = (0.65 + 1.25) / 3
)

// motor is where the motor of an axis stands at a place along the line where the
// stylus would be at so many steps. k is the number of turns that are behind, or
// whose spread has begun.
func (c *course) motor(along, at float64, k int) float64 {
	if k > 0 {
		if s := c.spreadOf(k - 1); s != nil && along < s.trail {
			from, to := c.leads(k - 1)
			run := math.Round(to - from)
			switch {
			case along < s.from:
				return at + from + float64(s.off*(along-s.lead)/(s.from-s.lead))
			case along < s.third:
				return s.middle + from + float64(run*firstThird*(along-s.from)/(s.third-s.from))
			case along < s.twoThirds:
				return s.middle + from + float64(run*(firstThird+float64((secondThirds-firstThird)*(along-s.third)/(s.twoThirds-s.third))))
			case along <= s.to:
				return s.middle + from + float64(run*(secondThirds+float64((1-secondThirds)*(along-s.twoThirds)/(s.to-s.twoThirds))))
			}
			return at + to + float64(s.off*(s.trail-along)/(s.trail-s.to))
		}
	}
	return at + c.leadAfter(k)
}

// courses are both axes.
type courses struct {
	x, y course
	upTo []float64 // length of the line up to each vertex, mm
}

func (c *courses) gap() machine.Gap { return machine.Gap{X: c.x.gap, Y: c.y.gap} }

func (c *courses) endGap() machine.Gap {
	return machine.Gap{X: c.x.left(len(c.x.turns)), Y: c.y.left(len(c.y.turns))}
}

// length is along the line, in mm; none where there is no spread.
func (s *spread) length() float64 {
	if s == nil {
		return 0
	}
	return s.to - s.from
}
