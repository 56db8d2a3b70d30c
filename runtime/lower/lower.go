// Package lower turns a plan into instructions for one machine, in small
// steps: vertices that the tolerance does not need are left out; skew and
// slack of the machine are made up for; each place is rounded to whole steps
// by itself; each move gets the largest speed that the axes, the curvature of
// the line and the link allow; and the time it will take is computed from a
// model of the motion board.
//
// It does not check the plan against the page (see runtime/bounds), but the
// motors' path against the area: taking up slack may lead outside the page.
package lower

import (
	"context"
	"math"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/machine"
	"wend/runtime/plan"
)

// Options say what is wanted beyond the profile.
type Options struct {
	// Compensate makes up for slack and skew. Otherwise the motors follow the
	// line itself, as for a machine without either.
	Compensate bool
	// Gap is where each axis stands in its slack where the line starts. The zero
	// value is right if the start was approached from the lower left.
	Gap machine.Gap
	// AtRest are parts of the line where slack is taken up at rest, at the vertices
	// where an axis turns. That takes longer than to take it up in motion, and leaves
	// the line exactly.
	AtRest []Part
	// Times asks for Result.At.
	Times bool
}

// Part is a part of a sheet's line: from a vertex to another.
type Part struct{ From, To int }

// Result is a lowered sheet with what is known of its drawing.
type Result struct {
	*machine.Instructions
	// Seconds is the drawing time by the board model; pauses take none.
	Seconds float64
	// BoundSeconds is the least time in which the same path can be drawn
	// within the same limits by a planner that sees the whole line, however
	// fast the link.
	BoundSeconds float64
	// Kept is how many vertices of the plan's line are left.
	Kept int
	// At is when the stylus is at each vertex of the plan's line, in seconds, if
	// that was asked for. Vertices that were left out are passed at an even speed.
	At []float32
}

// Sheet lowers one sheet of a plan. The diagnostics are errors where the
// motors would leave the area, and a warning where the link forces the
// drawing to be much slower than planned. The error is ctx's.
func Sheet(ctx context.Context, p *machine.Profile, whole *plan.Plan, sheet *plan.Sheet, opts Options) (*Result, diag.List, error) {
	pinned := make([]int, 0, len(sheet.Pauses))
	for _, pause := range sheet.Pauses {
		if pause.Vertex > 0 && pause.Vertex < len(sheet.Points)-1 {
			pinned = append(pinned, pause.Vertex)
		}
	}
	kept, err := simplify(ctx, sheet.Points, pinned, p.SimplifyToleranceMM())
	if err != nil {
		return nil, nil, err
	}
	limits := limitsOf(p)
	in := &machine.Instructions{Compensated: opts.Compensate, Places: spansOf(whole), Stylus: sheet.Points[0]}
	var clock *clock
	if opts.Times {
		clock = newClock(kept)
	}
	edges := newEdges(p)
	made := walk(p, sheet, kept, limits, opts, in, edges, clock)
	result := &Result{Instructions: in, Kept: len(kept)}
	feeds := newFeeder(p, in)
	result.Seconds, result.BoundSeconds = drawingTime(p, supply{in, made}, limits, feeds, timingBlock, clock)
	if err := ctx.Err(); err != nil {
		return nil, nil, err
	}
	diagnostics := edges.report(in)
	if clock != nil {
		result.At = clock.vertices(sheet.Points)
	}
	if d, slow := feeds.report.diagnose(p, in, result.Seconds); slow {
		diagnostics = append(diagnostics, d)
	}
	return result, diagnostics, ctx.Err()
}

func spansOf(whole *plan.Plan) []source.Span {
	spans := make([]source.Span, len(whole.Places))
	for i, place := range whole.Places {
		spans[i] = place.Span
	}
	return spans
}

// speedsPerPart is how many pieces the speeds of a line are worked out for at a time.
const speedsPerPart = 1 << 12

// lineSpeeds passes on, for each piece between kept vertices, the largest speed in
// mm/s along it: what the axes allow in its direction, and such that in each
// vertex the slower of the two pieces keeps what the curvature there allows. A
// piece is straight in itself: the larger of what its ends allow will do, but
// after a vertex that allows less than both its neighbours. It reads the line
// before rounding, since the rounding of short pieces would look like curvature.
//
// They come in parts, beside the walk that asks for them, so that few are held.
func lineSpeeds(points []geom.Point, kept []int32, limits axisLimits) *speeds {
	s := &speeds{filled: make(chan []float32, 1), emptied: make(chan []float32, 3)}
	go func() {
		defer close(s.filled)
		n := len(kept)
		at := func(i int) geom.Point { return points[kept[i]] }
		legOf := func(i int) leg {
			if i+1 >= n {
				return leg{}
			}
			return newLeg(at(i), at(i+1))
		}
		next := legOf(0)
		before, here := math.Inf(1), math.Inf(1)
		var part []float32
		for i := range n - 1 {
			leg := next
			next = legOf(i + 1)
			after := math.Inf(1)
			if i+2 < n {
				after = limits.curveSpeedSquared(leg, next, at(i), at(i+2))
			}
			most := max(here, after)
			if here <= before && here <= after {
				most = here
			}
			speed := alongOf(limits.speed, leg.Point, leg.length)
			if most < speed*speed {
				speed = math.Sqrt(most)
			}
			if part = append(part, float32(speed)); len(part) == speedsPerPart || i+2 == n {
				s.filled <- part
				part = nil
				select {
				case part = <-s.emptied:
					part = part[:0]
				default:
				}
			}
			before, here = here, after
		}
	}()
	return s
}

// speeds are those of the pieces of a line, in order.
type speeds struct {
	filled, emptied chan []float32
	part            []float32
	first           int // piece of the part
}

// of is the speed of a piece. None before it is asked for after it.
func (s *speeds) of(piece int) float64 {
	for piece >= s.first+len(s.part) {
		s.first += len(s.part)
		if s.part != nil {
			s.emptied <- s.part
		}
		s.part = <-s.filled
	}
	return float64(s.part[piece-s.first])
}

// end lets go of those that were not asked for.
func (s *speeds) end() {
	for range s.filled {
	}
}

// limit is the largest speed of a move in mm/s, at first. It is held in place of the
// feed until that is set: all limits beside the moves would be a quarter more.
func limit(move *machine.Move) float32 { return math.Float32frombits(move.Feed) }

func setLimit(move *machine.Move, mmPerS float32) { move.Feed = math.Float32bits(mmPerS) }

// stretch is the line up to some move.
type stretch struct {
	moves  []machine.Move // so far
	pauses []machine.Pause
	cause  any // of a panic, which ends it
}

// supply is instructions that are being made. Their moves and pauses are those that
// are known.
type supply struct {
	*machine.Instructions
	made <-chan stretch // nil: all are there
}

// upTo waits for so many moves, and is how many there are: fewer if that is all.
func (s *supply) upTo(n int) int {
	for len(s.Moves) < n && s.made != nil {
		next, more := <-s.made
		switch {
		case !more:
			s.made = nil
		case next.cause != nil:
			panic(next.cause) // where it is told as a fault of ours
		default:
			s.Moves, s.Pauses = next.moves, next.pauses
		}
	}
	return len(s.Moves)
}

// movesPerStretch is how many moves are made until they are passed on.
const movesPerStretch = 1 << 12

// walk makes the moves of the motors with the limit of each, and passes them on as it
// goes along. Beside the moves and pauses all is filled in when it returns.
func walk(p *machine.Profile, sheet *plan.Sheet, kept []int32, limits axisLimits, opts Options, in *machine.Instructions, edges *edges, clock *clock) <-chan stretch {
	step := newStepper(p, opts.Compensate)
	both := newCourses(p, &step, sheet.Points, kept, opts)
	w := &walker{sheet: sheet, kept: kept, courses: both, limits: limits, step: step, stops: both.bends()}
	in.Gap, in.EndGap, in.Start = both.gap(), both.endGap(), w.start()
	edges.look(in.Start, 0)

	// Moves are the largest part of a build's memory, and growing would hold them
	// twice; there are seldom fewer than this, and never more.
	room := max(0, len(kept)-1) + both.rests() + len(w.stops)
	made := make(chan stretch, room/movesPerStretch+2)
	go func() {
		defer func() {
			if cause := recover(); cause != nil {
				made <- stretch{cause: cause}
			}
			close(made)
		}()
		m := &maker{board: board{in: &machine.Instructions{Start: in.Start, Moves: make([]machine.Move, 0, room)}, step: step, limits: limits}, begun: -1}
		w.speeds = lineSpeeds(sheet.Points, kept, limits)
		defer w.speeds.end()
		looked := 0
		pass := func(n int) {
			for ; looked < n; looked++ {
				edges.look(m.in.Moves[looked].To, looked)
			}
			made <- stretch{moves: m.in.Moves[:n], pauses: m.in.Pauses}
		}
		w.move = func(to machine.Steps, piece int, speed float64, spread bool) {
			m.move(machine.Move{To: to, Place: sheet.Place[kept[piece]]}, speed, spread)
			clock.moves(piece)
			if len(m.in.Moves)%movesPerStretch == 0 {
				pass(m.settled())
			}
		}
		pauses := sheet.Pauses
		w.walk(func(i int) {
			for len(pauses) > 0 && pauses[0].Vertex <= int(kept[i]) {
				m.in.Pauses = append(m.in.Pauses, machine.Pause{Before: len(m.in.Moves), Message: pauses[0].Message})
				pauses = pauses[1:]
			}
		})
		m.holdBack()
		pass(len(m.in.Moves))
	}()
	return made
}

// maker adds moves with their limits. A spread and as much of the line before and
// after as its bends are looked at together with is held until it is over.
type maker struct {
	board
	begun int     // the first move that is held; -1: none is
	after float64 // how far beyond the spread the last move leads, mm
}

func (m *maker) move(move machine.Move, speed float64, spread bool) {
	setLimit(&move, float32(speed))
	n := len(m.in.Moves)
	if n == cap(m.in.Moves) {
		// They would lie elsewhere then, and what was passed on be without its feeds.
		panic("a line has more moves than it has turns, bends and vertices")
	}
	m.in.Moves = append(m.in.Moves, move)
	switch {
	case spread && m.begun < 0:
		m.begun, m.after = m.back(n), 0
	case spread:
		m.after = 0
	case m.begun >= 0:
		if m.after += m.travel(n).Length(); m.after > windowMM {
			m.holdBack()
		}
	}
}

// back is the move with which the window before one begins.
func (m *maker) back(n int) int {
	for before := 0.0; n > 0 && before <= windowMM; n-- {
		before += m.travel(n - 1).Length()
	}
	return n
}

// settled is how many moves have the limit that they keep, whatever comes after.
func (m *maker) settled() int {
	n := m.back(len(m.in.Moves))
	if m.begun >= 0 {
		n = min(n, m.begun)
	}
	return n
}

func (m *maker) holdBack() {
	if m.begun >= 0 {
		m.limits.holdBack(m.travel, m.in.Moves, m.begun, len(m.in.Moves))
	}
	m.begun = -1
}
