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
	speeds := lineSpeeds(sheet.Points, kept, limits)

	in := &machine.Instructions{Compensated: opts.Compensate, Places: spansOf(whole), Stylus: sheet.Points[0]}
	var clock *clock
	if opts.Times {
		clock = newClock(kept)
	}
	raw := walk(p, sheet, kept, speeds, limits, opts, in, clock)
	if err := ctx.Err(); err != nil {
		return nil, nil, err
	}
	result := &Result{Instructions: in, Kept: len(kept)}
	diagnostics := motorsInArea(p, in)
	feeds := newFeeder(p, in, raw)
	result.Seconds, result.BoundSeconds = drawingTime(p, in, raw, limits, feeds, timingBlock, clock)
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

// lineSpeeds is, for each piece between kept vertices, the largest speed in
// mm/s along it: what the axes allow in its direction, and such that in each
// vertex the slower of the two pieces keeps what the curvature there allows. A
// piece is straight in itself: the larger of what its ends allow will do, but
// after a vertex that allows less than both its neighbours. It reads the line
// before rounding, since the rounding of short pieces would look like curvature.
func lineSpeeds(points []geom.Point, kept []int32, limits axisLimits) []float32 {
	n := len(kept)
	if n < 2 {
		return nil
	}
	speeds := make([]float32, n-1)
	at := func(i int) geom.Point { return points[kept[i]] }
	// curve is what the vertex between two legs allows.
	curve := func(i int, in, out leg) float64 {
		if i < 1 || i+1 >= n {
			return math.Inf(1)
		}
		return limits.curveSpeedSquared(in, out, at(i-1), at(i+1))
	}
	legOf := func(i int) leg {
		if i < 0 || i+1 >= n {
			return leg{}
		}
		return newLeg(at(i), at(i+1))
	}
	inParallel((n-2)/chunk+1, func(c int) {
		from, to := c*chunk, min((c+1)*chunk, n-1)
		leg, next := legOf(from-1), legOf(from)
		before := curve(from-1, legOf(from-2), leg)
		here := curve(from, leg, next)
		for i := from; i < to; i++ {
			leg, next = next, legOf(i+1)
			after := curve(i+1, leg, next)
			most := max(here, after)
			if here <= before && here <= after {
				most = here
			}
			speed := alongOf(limits.speed, leg.Point, leg.length)
			if most < speed*speed {
				speed = math.Sqrt(most)
			}
			speeds[i] = float32(speed)
			before, here = here, after
		}
	})
	return speeds
}

// walk fills in the moves of the motors and gives the largest speed of each,
// in mm/s.
func walk(p *machine.Profile, sheet *plan.Sheet, kept []int32, speeds []float32, limits axisLimits, opts Options, in *machine.Instructions, clock *clock) []float32 {
	step := newStepper(p, opts.Compensate)
	both := newCourses(p, &step, sheet.Points, kept, opts)
	w := &walker{sheet: sheet, kept: kept, courses: both, speeds: speeds, limits: limits, step: step, stops: both.bends()}
	in.Gap, in.EndGap, in.Start = both.gap(), both.endGap(), w.start()

	// Moves are the largest part of a build's memory, and growing would hold them
	// twice; there are seldom fewer than this, and never more.
	room := max(0, len(kept)-1) + both.rests() + len(w.stops)
	in.Moves = make([]machine.Move, 0, room)
	raw := make([]float32, 0, room)
	pauses := sheet.Pauses
	// A spread and as much of the line before and after as its bends are looked
	// at together with.
	begun, after := -1, 0.0
	held := &board{in: in, step: step, limits: limits}
	hold := func() {
		if begun >= 0 {
			limits.holdBack(held.travel, raw, begun, len(in.Moves))
		}
		begun = -1
	}
	w.move = func(to machine.Steps, piece int, speed float64, spread bool) {
		in.Moves = append(in.Moves, machine.Move{To: to, Place: sheet.Place[kept[piece]]})
		raw = append(raw, float32(speed))
		clock.moves(piece)
		switch n := len(raw) - 1; {
		case spread && begun < 0:
			begun, after = n, 0
			for before := 0.0; begun > 0 && before <= windowMM; begun-- {
				before += held.travel(begun - 1).Length()
			}
		case spread:
			after = 0
		case begun >= 0:
			if after += held.travel(n).Length(); after > windowMM {
				hold()
			}
		}
	}
	w.walk(func(i int) {
		for len(pauses) > 0 && pauses[0].Vertex <= int(kept[i]) {
			in.Pauses = append(in.Pauses, machine.Pause{Before: len(in.Moves), Message: pauses[0].Message})
			pauses = pauses[1:]
		}
	})
	hold()
	return raw
}
