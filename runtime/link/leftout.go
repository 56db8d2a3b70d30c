package link

import (
	"fmt"
	"math"
	"slices"

	"wend/lang/diag"
	"wend/runtime/gate"
	"wend/runtime/geom"
)

// A line that the board refused is missing from what it draws: from the end of
// the move before, the motors go straight to the end of the move behind, and the
// answer that says so may come when they have. So whenever a line was refused,
// the motors are held, and unless it is certain that they have not come to the
// gap, they are led back over the drawn line to before it, and the line is drawn
// from there. Then nothing of the line is missing; but where the motors left it,
// a stroke may stay on the sheet that does not belong there.
//
// Which line it was is not taken from the count of answers: some may be lost or
// doubled. Three things are sure. The board says a refusal before any report of a
// place behind it, so what was drawn or queued at the last report before it was
// taken. The bytes that wait in the receive buffer of a standing board say which
// lines it has not read. And each line that it took is one place in its queue. All
// refusals that agree with these and with where the motors stand are gone through,
// and what counts is the worst of them.

// detour is where the motors stand after a refusal, and what to do about it.
type detour struct {
	drawn int          // moves in flight that surely are drawn
	went  []geom.Point // ends of the moves that led from there to where the motors stand
	back  []geom.Point // ends of the moves that lead back over them; none: go on
	way   []geom.Point // the same as a way of the motors, with the slack
	offMM float64      // how far a stroke beside the line may be from it
}

// refusal is a way in which the motors may have come to where they stand: of the
// moves before the one under way, some were refused.
type refusal struct {
	at      int   // the move under way
	skipped []int // moves before it, in order
	from    int   // the corner of the line from which the move under way began
}

// leftOut finds the standing motors on the moves in flight, or on the shortcuts
// past refused ones; false if they are on none.
func (f *flow) leftOut(at geom.Point) (detour, bool) {
	corners := make([]geom.Point, 0, len(f.flight)+1)
	corners = append(corners, f.position.rest)
	for i := range f.flight {
		corners = append(corners, f.flight[i].to)
	}
	all, whole := f.refusals(at, corners)
	if len(all) == 0 {
		return detour{}, false
	}
	d := detour{drawn: len(f.flight)}
	last, from, passed := -1, len(corners), false
	for _, r := range all {
		if r.from == r.at {
			last = max(last, r.at)
		}
		from = min(from, r.from)
		d.drawn = min(d.drawn, r.at)
		if len(r.skipped) > 0 {
			d.drawn, passed = min(d.drawn, r.skipped[0]), true
		}
	}
	if !passed && last == d.drawn {
		return d, true
	}
	if last < 0 {
		last = from // beside the line: straight to where the first shortcut left it
	}
	d.went = append(slices.Clone(corners[d.drawn+1:max(last, d.drawn)+1]), at)
	for i := last; i >= d.drawn; i-- {
		d.back = append(d.back, corners[i])
	}
	slack := f.position.flanks
	for i := range d.drawn {
		slack.move(f.position.stepsOf(corners[i+1].Sub(corners[i])))
	}
	d.way = f.position.wayBack(slack, corners[d.drawn], d.went, d.back)
	for _, r := range all {
		drawn := []geom.Point{corners[0]}
		for i := range r.at {
			if !slices.Contains(r.skipped, i) {
				drawn = append(drawn, corners[i+1])
			}
		}
		drawn = append(append(append(drawn, at), d.way...), corners[d.drawn+1:]...)
		for _, slack := range f.position.flanks.extremes() {
			d.offMM = max(d.offMM, apart(f.position.strokes(slack, drawn), f.position.strokes(slack, corners)))
		}
	}
	if !whole {
		d.offMM = max(d.offMM, shortcutMM(corners)) // too many to go through
	}
	return d, true
}

// mostRefusals is how many ways are gone through.
const mostRefusals = 600

// refusals are the ways in which the motors may have come to where they stand;
// whole reports whether these are all.
func (f *flow) refusals(at geom.Point, corners []geom.Point) (all []refusal, whole bool) {
	least, most := f.drawnByCount()
	if all, whole = f.agreeing(at, corners, least, most, f.board.lines.refusals); len(all) > 0 {
		return all, whole
	}
	// Where an answer was doubled, more was sent than the buffer holds, and two
	// lines may have become one.
	return f.agreeing(at, corners, 0, len(f.flight), f.board.lines.refusals+1)
}

// agreeing are the ways that agree with where the motors stand, with how many
// moves are drawn, from least to most, and with how many were refused.
func (f *flow) agreeing(at geom.Point, corners []geom.Point, least, most, refused int) (all []refusal, whole bool) {
	// A board that is held may have nothing left to draw.
	idle := f.board.last.is(stateIdle) || f.board.last.freePlaces == f.queue
	tried := 0
	for i := 0; i <= len(f.flight); i++ {
		if i == len(f.flight) && !idle && i > 0 {
			break
		}
		for count := max(0, i-most); count <= min(i-least, refused); count++ {
			f.choose(i, count, func(skipped []int) bool {
				tried++
				r := refusal{at: i, skipped: slices.Clone(skipped), from: i}
				for k := len(skipped) - 1; k >= 0 && skipped[k] == r.from-1; k-- {
					r.from--
				}
				if f.standsOn(at, corners, r.from, i, idle) {
					all = append(all, r)
				}
				return tried < mostRefusals
			})
			if tried >= mostRefusals {
				return all, false
			}
		}
	}
	return all, true
}

// standsOn reports whether motors that came from a corner and are on their way to
// the end of a move may stand at a place; those with an empty queue stand at the
// corner.
func (f *flow) standsOn(at geom.Point, corners []geom.Point, from, move int, idle bool) bool {
	if idle || move == len(f.flight) {
		return at.Distance(corners[from]) <= f.position.stillMM() && (from > 0 || f.along <= f.position.pathMM())
	}
	a, b := corners[from], corners[move+1]
	back := -2 * f.position.pathMM() // motors do not run back
	if from == 0 {
		back += f.along
	}
	direction := b.Sub(a)
	if length := direction.Length(); length > 0 {
		direction = direction.Times(1 / length)
	}
	return geom.SegmentDistance(a, b, at) <= f.position.pathMM() && at.Sub(a).Dot(direction) >= back
}

// choose goes through the ways to choose so many refused moves from those before
// one, less those that were taken for sure, as long as each wants more.
func (f *flow) choose(before, count int, each func([]int) (more bool)) {
	chosen := make([]int, 0, count)
	var next func(from int) bool
	next = func(from int) bool {
		if len(chosen) == count {
			return each(chosen)
		}
		for i := from; i <= before-(count-len(chosen)); i++ {
			chosen = append(chosen, i)
			if !next(i + 1) {
				return false
			}
			chosen = chosen[:len(chosen)-1]
		}
		return true
	}
	next(f.accepted)
}

// drawnByCount is how few and how many of the moves in flight are drawn: those
// that the board has read, less those that it refused and those in its queue.
func (f *flow) drawnByCount() (least, most int) {
	r := &f.board.last
	read, exact := f.read()
	if !exact || r.freePlaces < 0 || f.waits() {
		return 0, len(f.flight)
	}
	most = read - f.board.lines.refusals - (f.queue - r.freePlaces)
	if r.freePlaces == 0 {
		return most - 1, most // one line may stand between the buffer and the queue
	}
	return most, most
}

// read is how many of the moves in flight the board has taken out of its receive
// buffer; false where its report does not say.
func (f *flow) read() (moves int, exact bool) {
	if f.board.last.freeBytes < 0 {
		return 0, false
	}
	unread := f.board.mostFree - f.board.last.freeBytes
	moves = len(f.flight)
	for unread > 0 && moves > 0 {
		moves--
		unread -= len(f.flight[moves].Line.String()) + 1
	}
	return moves, unread == 0
}

// waits reports whether something in flight is no motion: it takes a place in the
// board's queue for itself, or none.
func (f *flow) waits() bool {
	return slices.ContainsFunc(f.flight, func(m flying) bool { return m.stretch.length == 0 })
}

// backAhead are the ends of the moves that come next and are no part of the
// drawing.
func (d *drawing) backAhead() []geom.Point {
	var back []geom.Point
	for _, e := range d.ahead {
		if e.index > 0 || e.Kind != gate.Move {
			break
		}
		back = append(back, geom.Point{X: e.X, Y: e.Y})
	}
	return back
}

// marked says that a drawing is complete but for a stroke beside its line.
func (d *drawing) marked() error {
	if d.offMM <= d.l.position.seenMM() {
		return nil
	}
	return &diag.Fault{Code: "line-marked", Args: diag.Args{
		"mm": fmt.Sprintf("%.2f", math.Ceil(d.offMM*100)/100), "x": short(d.offAt.X), "y": short(d.offAt.Y),
	}}
}
