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
}

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
	raw := walk(p, sheet, kept, speeds, limits, opts, in)
	if err := ctx.Err(); err != nil {
		return nil, nil, err
	}
	result := &Result{Instructions: in, Kept: len(kept)}
	diagnostics := motorsInArea(p, in)
	slowed := setFeeds(p, in, raw)
	result.Seconds, result.BoundSeconds = drawingTime(p, in, raw, limits, chunk)
	if d, slow := slowed.diagnose(p, in, result.Seconds); slow {
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
// mm/s along it: what the axes allow in its direction, and what the curvature
// at both its ends allows. It reads the line before rounding, since the
// rounding of short pieces would look like curvature.
func lineSpeeds(points []geom.Point, kept []int32, limits axisLimits) []float32 {
	n := len(kept)
	if n < 2 {
		return nil
	}
	speeds := make([]float32, n-1)
	inParallel((n-2)/chunk+1, func(c int) {
		from, to := c*chunk, min((c+1)*chunk, n-1)
		curve := math.Inf(1)
		if from > 0 {
			curve = limits.curveSpeedSquared(points[kept[from-1]], points[kept[from]], points[kept[from+1]])
		}
		for i := from; i < to; i++ {
			a, b := points[kept[i]], points[kept[i+1]]
			next := math.Inf(1)
			if i+2 < n {
				next = limits.curveSpeedSquared(a, b, points[kept[i+2]])
			}
			speed := along(limits.speed, b.Sub(a))
			if least := min(curve, next); least < speed*speed {
				speed = math.Sqrt(least)
			}
			speeds[i], curve = float32(speed), next
		}
	})
	return speeds
}

// motors are both motors on the way along a line.
type motors struct{ x, y takeUp }

func (m *motors) at() machine.Steps { return machine.Steps{X: m.x.motor, Y: m.y.motor} }

func (m *motors) gap() machine.Gap { return machine.Gap{X: m.x.gap, Y: m.y.gap} }

// turn takes up the slack of each axis that reverses on the way to a place, and
// tells whether any does.
func (m *motors) turn(to machine.Steps) bool {
	turnX, turnY := m.x.turns(to.X), m.y.turns(to.Y)
	if turnX {
		m.x.reverse(to.X)
	}
	if turnY {
		m.y.reverse(to.Y)
	}
	return turnX || turnY
}

func (m *motors) follow(to machine.Steps) {
	m.x.follow(to.X)
	m.y.follow(to.Y)
}

// walk fills in the moves of the motors and gives the largest speed of each,
// in mm/s.
func walk(p *machine.Profile, sheet *plan.Sheet, kept []int32, speeds []float32, limits axisLimits, opts Options, in *machine.Instructions) []float32 {
	var drive motors
	if opts.Compensate {
		drive.x = newTakeUp(&p.X, opts.Gap.X)
		drive.y = newTakeUp(&p.Y, opts.Gap.Y)
	}
	step := newStepper(p, opts.Compensate)
	at := step.steps(sheet.Points[0])
	drive.x.motor, drive.y.motor = at.X+drive.x.offset(), at.Y+drive.y.offset()
	in.Gap, in.Start = drive.gap(), drive.at()

	// How often slack is taken up depends on the line. Moves are counted before
	// any is made, since they are the largest part of a build's memory and
	// growing would hold them twice.
	room := 0
	for ahead, i := drive, 1; i < len(kept); i++ {
		to := step.steps(sheet.Points[kept[i]])
		if ahead.turn(to) {
			room++
		}
		last := ahead.at()
		if ahead.follow(to); ahead.at() != last {
			room++
		}
	}
	in.Moves = make([]machine.Move, 0, room)
	raw := make([]float32, 0, room)
	pauses := sheet.Pauses
	last := in.Start
	for i := range kept {
		for len(pauses) > 0 && pauses[0].Vertex <= int(kept[i]) {
			in.Pauses = append(in.Pauses, machine.Pause{Before: len(in.Moves), Message: pauses[0].Message})
			pauses = pauses[1:]
		}
		if i+1 == len(kept) {
			break
		}
		place := sheet.Place[kept[i]]
		to := step.steps(sheet.Points[kept[i+1]])
		if drive.turn(to) {
			rest := drive.at()
			in.Moves = append(in.Moves, machine.Move{To: rest, Place: place})
			raw = append(raw, float32(along(limits.speed, step.travel(last, rest))))
			last = rest
		}
		drive.follow(to)
		if next := drive.at(); next != last {
			in.Moves = append(in.Moves, machine.Move{To: next, Place: place})
			raw = append(raw, speeds[i])
			last = next
		}
	}
	in.EndGap = drive.gap()
	return raw
}
