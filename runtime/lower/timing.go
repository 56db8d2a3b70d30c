package lower

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"wend/runtime/geom"
	"wend/runtime/machine"
)

// The board model. The board holds a short queue of moves. Each move is a
// trapezoid: it starts at the speed with which the line came out of the
// corner before, runs up with the acceleration that the axes allow in its
// direction, at most to its feed, and down to what the corner after allows.
// Since it knows no move beyond its queue, it plans to stand still at the end
// of the last. All this is about v², which changes by 2 a L along a move of
// length L: going backward from the known end gives the largest v² in each
// corner from which everything ahead can still be met, going forward what can
// be reached. The two passes are exact for the model.

// trapezoid is what the model knows of one move.
type trapezoid struct {
	length float64 // mm
	gain   float64 // 2 a L: how much v² can change along it, mm²/s²
	corner float64 // v² that the corner before the move allows
}

// board is a machine with the instructions that it is to draw.
type board struct {
	in     *machine.Instructions
	step   stepper
	limits axisLimits
}

// travel is the way of move i, in mm of motor travel.
func (b *board) travel(i int) geom.Point {
	from := b.in.Start
	if i > 0 {
		from = b.in.Moves[i-1].To
	}
	return b.step.travel(from, b.in.Moves[i].To)
}

// trapezoids adds what is known of the moves from..to-1.
func (b *board) trapezoids(out []trapezoid, from, to int) []trapezoid {
	const part = timingBlock / 2
	first := len(out)
	out = slices.Grow(out, to-from)[:first+to-from]
	inParallel((to-from+part-1)/part, func(c int) {
		i := from + c*part
		var before geom.Point
		if i > 0 {
			before = b.travel(i - 1)
			before = before.Times(1 / before.Length())
		}
		for ; i < min(from+(c+1)*part, to); i++ {
			travel := b.travel(i)
			length := travel.Length()
			direction := travel.Times(1 / length)
			move := trapezoid{length: length, gain: 2 * along(b.limits.acceleration, direction) * length}
			if i > 0 {
				move.corner = b.limits.cornerSpeedSquared(before, direction)
			}
			out[first+i-from] = move
			before = direction
		}
	})
	// The board stands still where it waits for the operator.
	pauses := b.in.Pauses
	next, _ := slices.BinarySearchFunc(pauses, from, func(pause machine.Pause, i int) int { return cmp.Compare(pause.Before, i) })
	for ; next < len(pauses) && pauses[next].Before < to; next++ {
		out[first+pauses[next].Before-from].corner = 0
	}
	return out
}

// timingBlock is how many moves are timed at a time: so few that what is known of
// them stays near the processor, and so many that sharing them costs nothing.
const timingBlock = 1 << 13

// drawingTime sets the feeds, and is the time of the board model with them, and the
// least time within the same limits when the whole line is known.
//
// The line is taken block by block, each with as many moves beyond it as have a
// say in how it is drawn: those in the queue, and those that braking may reach
// into. So the memory does not grow with the line, and the times are those of
// the whole line at once, to the last bit. It goes on beside what makes the moves.
func drawingTime(p *machine.Profile, in supply, limits axisLimits, feeds *feeder, block int, clock *clock) (seconds, bound float64) {
	b := board{in: in.Instructions, step: stepper{scale: p.StepsPerMM()}, limits: limits}
	queue := p.Board.QueueMoves - 1 // the move that is being drawn holds one place
	queued, whole := planner{clock: clock}, planner{}
	var moves []trapezoid
	// Feeds take the place of limits up to the end of the block before: those beyond
	// that block were kept.
	limitsTo := func(from, end int) {
		for i := from + len(whole.speeds); i < end; i++ {
			whole.speeds = append(whole.speeds, float64(limit(&in.Moves[i])))
		}
	}
	more := max(queue, 1)
	for from := 0; from < in.upTo(from+1); from += block {
		to := min(from+block, in.upTo(from+block))
		end := min(to+more, in.upTo(to+more))
		whole.speeds = slices.Delete(whole.speeds, 0, min(block, len(whole.speeds)))
		limitsTo(from, end)
		moves = b.trapezoids(moves[:0], from, end)
		if to < end {
			// Twice what braking to a standstill takes, so that rounding has no say.
			enough := 2 * whole.speeds[to-from] * whole.speeds[to-from]
			for k, gained := to, 0.0; ; k++ {
				if k == end {
					end = min(end+more, in.upTo(end+more))
					moves = b.trapezoids(moves, k, end)
				}
				if k == end {
					break
				}
				if gained += moves[k-from].gain; gained >= enough {
					break
				}
			}
		}
		limitsTo(from, end)
		var group sync.WaitGroup
		group.Go(func() { whole.seeAll(moves, to-from) })
		in.upTo(end + halfWindow)
		feeds.set(end, func(i int) float64 {
			if i < end {
				return moves[i-from].length
			}
			return b.travel(i).Length()
		})
		queued.speeds = queued.speeds[:0]
		for i := range in.Moves[from:end] {
			queued.speeds = append(queued.speeds, float64(in.Moves[from+i].Feed)/60)
		}
		queued.seeQueue(moves, to-from, queue)
		group.Wait()
	}
	return queued.seconds, whole.seconds
}

// planner draws moves, each as fast as what it sees of those after it allows.
type planner struct {
	speeds  []float64 // of the moves, mm/s
	caps    []float64 // v² that corner and speeds allow before each move but the first, and after the last
	entry   float64   // v² where the next move begins
	speed   float64   // its root
	seconds float64   // so far
	clock   *clock    // is told when each move ends; nil: nobody asks
}

// limit works out the caps: 0 after the last move.
func (p *planner) limit(moves []trapezoid) {
	p.caps = append(p.caps[:0], 0)
	for i := 1; i < len(moves); i++ {
		slower := min(p.speeds[i-1], p.speeds[i])
		p.caps = append(p.caps, min(moves[i].corner, slower*slower))
	}
	p.caps = append(p.caps, 0)
}

// seeQueue draws the first of some moves with a queue of some beyond the one
// being drawn.
func (p *planner) seeQueue(moves []trapezoid, first, queue int) {
	p.limit(moves)
	n, caps := len(moves), p.caps
	for i := range first {
		// v² at the end of move i from which all that is queued can be met.
		exit, gained := caps[i+1], 0.0
		last := min(n, i+1+queue)
		for k := i + 1; k < last; k++ {
			gained += moves[k].gain
			if gained >= exit {
				break
			}
			if k+1 == last {
				exit = gained
			} else {
				exit = min(exit, caps[k+1]+gained)
			}
		}
		if queue == 0 {
			exit = 0
		}
		p.draw(&moves[i], p.speeds[i], exit)
	}
}

// seeAll draws the first of some moves with all of them known.
func (p *planner) seeAll(moves []trapezoid, first int) {
	p.limit(moves)
	allowed := p.caps
	for i := len(moves) - 1; i > 0; i-- {
		allowed[i] = min(allowed[i], allowed[i+1]+moves[i].gain)
	}
	for i := range first {
		p.draw(&moves[i], p.speeds[i], allowed[i+1])
	}
}

// draw goes along a move to at most a v² at its end.
func (p *planner) draw(move *trapezoid, speed, exit float64) {
	exit = min(exit, p.entry+move.gain)
	out := math.Sqrt(exit)
	p.seconds += move.seconds(p.entry, exit, p.speed, out, speed)
	p.entry, p.speed = exit, out
	p.clock.ends(p.seconds)
}

// seconds is the time of the move from one v² to another, of which the roots v0 and
// v1 are given too, at most at a speed: accelerating takes (v1² - v0²)/2a of the
// way, so the peak is √(a L + (v0² + v1²)/2) if the speed allows it.
func (m *trapezoid) seconds(entry, exit, v0, v1, speed float64) float64 {
	acceleration := m.gain / (2 * m.length)
	peak2 := (m.gain + entry + exit) / 2
	if peak2 <= speed*speed {
		peak := math.Sqrt(peak2)
		return (2*peak - v0 - v1) / acceleration
	}
	ramps := (float64(2*speed*speed) - entry - exit) / (2 * acceleration)
	return (2*speed-v0-v1)/acceleration + max(0, m.length-ramps)/speed
}
