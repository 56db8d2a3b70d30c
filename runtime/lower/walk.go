package lower

import (
	"cmp"
	"math"
	"slices"

	"wend/runtime/geom"
	"wend/runtime/machine"
	"wend/runtime/plan"
)

// walker makes the moves of the motors along a line.
type walker struct {
	sheet   *plan.Sheet
	kept    []int32
	courses *courses
	speeds  *speeds
	limits  axisLimits
	step    stepper
	stops   []float64 // where a spread begins, bends and ends
	move    func(to machine.Steps, piece int, speed float64, spread bool)
}

// stopsOfSpread is how many vertices a spread has of its own.
const stopsOfSpread = 6

// rests is how many turns take up their slack at rest.
func (c *courses) rests() int {
	count := 0
	for _, course := range []*course{&c.x, &c.y} {
		for i := range course.turns {
			if course.turns[i].spread == 0 {
				count++
			}
		}
	}
	return count
}

// bends are where the motors' way has vertices that the line has not.
func (c *courses) bends() []float64 {
	all := make([]float64, 0, stopsOfSpread*(len(c.x.turns)+len(c.y.turns)-c.rests()))
	for _, course := range []*course{&c.x, &c.y} {
		for i := range course.turns {
			if s := course.spreadOf(i); s != nil {
				all = append(all, s.lead, s.from, s.third, s.twoThirds, s.to, s.trail)
			}
		}
	}
	slices.Sort(all)
	return all
}

// start is where the motors stand before the first move.
func (w *walker) start() machine.Steps {
	c := w.courses
	return machine.Steps{
		X: roundSteps(c.x.motor(0, c.x.at[0], 0)),
		Y: roundSteps(c.y.motor(0, c.y.at[0], 0)),
	}
}

// walk passes on all moves that turn a motor, in order, and calls vertex before
// those of each piece and after the last.
func (w *walker) walk(vertex func(i int)) {
	c := w.courses
	last := w.start()
	stops := w.stops
	turnX, turnY := 0, 0
	passed := false // the vertex
	for i := range w.kept {
		vertex(i)
		if i+1 == len(w.kept) {
			break
		}
		// Slack that is taken up at rest.
		here := c.upTo[i]
		turns := turnX + turnY
		for turnX < len(c.x.turns) && c.x.turns[turnX].spread == 0 && int(c.x.turns[turnX].vertex) == i {
			turnX++
		}
		for turnY < len(c.y.turns) && c.y.turns[turnY].spread == 0 && int(c.y.turns[turnY].vertex) == i {
			turnY++
		}
		// Without one the motors stand where the piece before has led them.
		if turnX+turnY > turns && !passed {
			if rest := w.motors(here, c.x.at[i], c.y.at[i], turnX, turnY); rest != last {
				w.move(rest, i, along(w.limits.speed, w.step.travel(last, rest)), false)
				last = rest
			}
		}
		begun := here
		length := c.upTo[i+1] - here
		to := func(end float64) {
			if c.x.isLedTo(turnX, here) {
				turnX++
			}
			if c.y.isLedTo(turnY, here) {
				turnY++
			}
			share := 1.0
			if length > 0 {
				share = (end - c.upTo[i]) / length
			}
			spread := inSpread(&c.x, turnX, here) || inSpread(&c.y, turnY, here)
			straight := w.goesStraight(turnX, turnY, (here+end)/2)
			here = end
			next := w.motors(end, mix(c.x.at[i], c.x.at[i+1], share), mix(c.y.at[i], c.y.at[i+1], share), turnX, turnY)
			if next == last {
				return
			}
			speed := w.speeds.of(i)
			if spread {
				travel := w.step.travel(last, next)
				if straight {
					speed = math.Inf(1)
				} else if way := end - begun; way > 0 {
					speed *= travel.Length() / way
				}
				speed = min(speed, along(w.limits.speed, travel))
			}
			w.move(next, i, speed, spread)
			last, begun = next, end
		}
		for len(stops) > 0 && stops[0] <= here {
			stops = stops[1:]
		}
		for len(stops) > 0 && stops[0] < c.upTo[i+1] {
			to(stops[0])
			stops = stops[1:]
		}
		// No vertex is needed where the stylus goes straight.
		passed = w.goesStraight(turnX, turnY, c.upTo[i+1]) && c.upTo[i+1] > here && !w.pausesAt(i+1)
		if !passed {
			to(c.upTo[i+1])
		}
	}
}

func (w *walker) motors(along, x, y float64, turnX, turnY int) machine.Steps {
	return machine.Steps{
		X: roundSteps(w.courses.x.motor(along, x, turnX)),
		Y: roundSteps(w.courses.y.motor(along, y, turnY)),
	}
}

// isLedTo reports whether a turn is spread and the way to that has begun.
func (c *course) isLedTo(turn int, along float64) bool {
	if turn == len(c.turns) {
		return false
	}
	s := c.spreadOf(turn)
	return s != nil && s.lead <= along
}

func inSpread(c *course, k int, along float64) bool {
	if k == 0 {
		return false
	}
	s := c.spreadOf(k - 1)
	return s != nil && along < s.trail
}

// goesStraight reports whether the stylus rests on one axis and runs one way on
// the other.
func (w *walker) goesStraight(turnX, turnY int, along float64) bool {
	straight := func(c *course, k int) bool {
		if k == 0 {
			return false
		}
		s := c.spreadOf(k - 1)
		return s != nil && s.straight && s.from < along && along < s.to
	}
	return straight(&w.courses.x, turnX) || straight(&w.courses.y, turnY)
}

func (w *walker) pausesAt(i int) bool {
	_, found := slices.BinarySearchFunc(w.sheet.Pauses, int(w.kept[i]), func(p plan.Pause, v int) int { return cmp.Compare(p.Vertex, v) })
	return found
}

func mix(a, b, share float64) float64 {
	if share == 1 {
		return b
	}
	return a + float64((b-a)*share)
}

// windowMM is within which way two moves must not part by more than a corner
// and the acceleration on the way between them allow.
const windowMM = 0.35

// holdBack slows moves of a spread. Its bends are near each other, and the
// corner rule looks at one at a time: together they must not ask for more of an
// axis than one corner may, and the acceleration on the way between them. In a
// gentle bend by an angle g the corner rule allows v g = sqrt(8 a d), d the
// corner deviation. So for a change of g in direction over a way D,
// v g <= sqrt(8 a d) + a D/v.
func (l axisLimits) holdBack(travel func(i int) geom.Point, moves []machine.Move, from, to int) {
	// A little less: the speed changes along the moves too.
	const share = 0.98
	jump := geom.Point{
		X: float64(share * math.Sqrt(float64(8*l.acceleration.X*l.cornerDeviation))),
		Y: float64(share * math.Sqrt(float64(8*l.acceleration.Y*l.cornerDeviation))),
	}
	most := func(jump, acceleration, way, change float64) float64 {
		if change < 1e-9 {
			return math.Inf(1)
		}
		return (jump + math.Sqrt(float64(jump*jump)+float64(4*acceleration*way*change))) / (2 * change)
	}
	for a := from; a < to; a++ {
		in := travel(a)
		in = in.Times(1 / in.Length())
		way := 0.0
		for b := a + 1; b < to && way <= windowMM; b++ {
			out := travel(b)
			length := out.Length()
			if b > a+1 {
				change := out.Times(1 / length).Sub(in)
				speed := float32(min(
					most(jump.X, l.acceleration.X, way, math.Abs(change.X)),
					most(jump.Y, l.acceleration.Y, way, math.Abs(change.Y)),
				))
				for k := a + 1; k < b; k++ {
					setLimit(&moves[k], min(limit(&moves[k]), speed))
				}
			}
			way += length
		}
	}
}
