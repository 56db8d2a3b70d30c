package lower

import (
	"math"
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

func movesOf(p *machine.Profile, in *machine.Instructions, limits axisLimits) []trapezoid {
	n := len(in.Moves)
	step := stepper{scale: p.StepsPerMM()}
	place := func(i int) machine.Steps {
		if i == 0 {
			return in.Start
		}
		return in.Moves[i-1].To
	}
	out := make([]trapezoid, n)
	inParallel((n+chunk-1)/chunk, func(c int) {
		from, to := c*chunk, min((c+1)*chunk, n)
		var before geom.Point
		if from > 0 {
			before = step.travel(place(from-1), place(from))
			before = before.Times(1 / before.Length())
		}
		for i := from; i < to; i++ {
			travel := step.travel(place(i), place(i+1))
			length := travel.Length()
			direction := travel.Times(1 / length)
			out[i] = trapezoid{length: length, gain: 2 * along(limits.acceleration, direction) * length}
			if i > 0 {
				out[i].corner = limits.cornerSpeedSquared(before, direction)
			}
			before = direction
		}
	})
	// The board stands still where it waits for the operator.
	for _, pause := range in.Pauses {
		if pause.Before < n {
			out[pause.Before].corner = 0
		}
	}
	return out
}

// drawingTime is the time of the board model, and the least time within the
// same limits when the whole line is known.
func drawingTime(p *machine.Profile, in *machine.Instructions, raw []float32, limits axisLimits) (seconds, bound float64) {
	moves := movesOf(p, in, limits)
	var group sync.WaitGroup
	group.Go(func() {
		speeds := make([]float64, len(moves))
		for i := range speeds {
			speeds[i] = float64(raw[i])
		}
		bound = wholeLineTime(moves, speeds)
	})
	speeds := make([]float64, len(moves))
	for i := range speeds {
		speeds[i] = float64(in.Moves[i].Feed) / 60
	}
	// The move that is being drawn holds one place of the queue.
	seconds = queueTime(moves, speeds, p.Board.QueueMoves-1)
	group.Wait()
	return seconds, bound
}

// cornerCaps is the v² that corner and speeds allow before each move, 0 before
// the first and after the last.
func cornerCaps(moves []trapezoid, speeds []float64) []float64 {
	caps := make([]float64, len(moves)+1)
	for i := 1; i < len(moves); i++ {
		slower := min(speeds[i-1], speeds[i])
		caps[i] = min(moves[i].corner, slower*slower)
	}
	return caps
}

// queueTime is the time with a queue of some moves beyond the one being drawn.
func queueTime(moves []trapezoid, speeds []float64, queue int) float64 {
	n := len(moves)
	caps := cornerCaps(moves, speeds)
	seconds, entry := 0.0, 0.0
	for i := range n {
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
		exit = min(exit, entry+moves[i].gain)
		seconds += moves[i].seconds(entry, exit, speeds[i])
		entry = exit
	}
	return seconds
}

// wholeLineTime is the time when every move is known from the beginning.
func wholeLineTime(moves []trapezoid, speeds []float64) float64 {
	n := len(moves)
	allowed := cornerCaps(moves, speeds)
	for i := n - 1; i > 0; i-- {
		allowed[i] = min(allowed[i], allowed[i+1]+moves[i].gain)
	}
	seconds, entry := 0.0, 0.0
	for i := range n {
		exit := min(allowed[i+1], entry+moves[i].gain)
		seconds += moves[i].seconds(entry, exit, speeds[i])
		entry = exit
	}
	return seconds
}

// seconds is the time of the move from one v² to another, at most at a
// speed: accelerating takes (v1² - v0²)/2a of the way, so the peak is
// √(a L + (v0² + v1²)/2) if the speed allows it.
func (m *trapezoid) seconds(entry, exit, speed float64) float64 {
	acceleration := m.gain / (2 * m.length)
	peak2 := (m.gain + entry + exit) / 2
	v0, v1 := math.Sqrt(entry), math.Sqrt(exit)
	if peak2 <= speed*speed {
		peak := math.Sqrt(peak2)
		return (2*peak - v0 - v1) / acceleration
	}
	ramps := (float64(2*speed*speed) - entry - exit) / (2 * acceleration)
	return (2*speed-v0-v1)/acceleration + max(0, m.length-ramps)/speed
}
