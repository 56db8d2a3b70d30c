package link

import (
	"fmt"
	"math"

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
// a stroke stays on the sheet that does not belong there.
//
// Which line it was is not taken from the count of answers: some may be lost or
// doubled. The board says a refusal before any report of a place behind it, so
// what was drawn up to the last report before it is right.

// detour is where the motors stand after a refusal, and what to do about it.
type detour struct {
	drawn int          // moves in flight that surely are drawn
	went  []geom.Point // ends of the moves that led to where the motors stand
	back  []geom.Point // ends of the moves that lead back over them; none: go on
	offMM float64      // how far a stroke beside the line may be from it
}

// leftOut finds the standing motors on the moves in flight, or on the shortcuts
// past refused ones; false if they are on none.
func (f *flow) leftOut(at geom.Point) (detour, bool) {
	n := len(f.flight)
	if n == 0 {
		return detour{}, at.Distance(f.position.rest) <= f.position.stillMM()
	}
	v := make([]geom.Point, 0, n+1)
	v = append(v, f.flight[0].from)
	for i := range f.flight {
		v = append(v, f.flight[i].to)
	}
	on := f.movesAt(at)
	if len(on) == 1 && f.beforeTheGap(at, v, on[0]) {
		return detour{drawn: on[0]}, true
	}
	// shortcut gives how far the way past refused moves may be off.
	shortcut := func(from, to int) float64 {
		off := 0.0
		for _, skipped := range v[from+1 : to] {
			off = max(off, toSegment(skipped, v[from], v[to]))
		}
		return off
	}
	var d detour
	found, last := false, 0
	for _, i := range on {
		found, last = true, max(last, i)
	}
	first, same := -1, true
	for from := 0; from < n; from++ {
		for to := from + 2; to <= min(n, from+1+f.board.lines.refusals); to++ {
			switch {
			case to <= last: // it may lie behind
				d.offMM = max(d.offMM, shortcut(from, to))
			case toSegment(at, v[from], v[to]) <= f.position.pathMM():
				d.offMM = max(d.offMM, shortcut(from, to))
				if first < 0 {
					first = from
				}
				same = same && first == from
			}
		}
	}
	switch {
	case found:
		d.went = append(append(d.went, v[1:last+1]...), at)
		for i := last; i >= 0; i-- {
			d.back = append(d.back, v[i])
		}
	case first < 0:
		return d, false
	case same && f.board.lines.refusals == 1:
		// Up to the gap everything is drawn.
		d.drawn, d.went, d.back = first, []geom.Point{at}, []geom.Point{v[first]}
	default:
		// A shortcut before this one may lie behind.
		for from := 0; from < first; from++ {
			for to := from + 2; to <= min(first, from+1+f.board.lines.refusals); to++ {
				d.offMM = max(d.offMM, shortcut(from, to))
			}
		}
		d.went = append(append(d.went, v[1:first+1]...), at)
		for i := first; i >= 0; i-- {
			d.back = append(d.back, v[i])
		}
	}
	return d, true
}

// movesAt are the moves in flight on which the standing motors may be; with an
// empty queue, those that come next.
func (f *flow) movesAt(at geom.Point) []int {
	var on []int
	if f.board.last.is(stateIdle) {
		for i := 0; i <= len(f.flight); i++ {
			end := f.flight[0].from
			if i > 0 {
				end = f.flight[i-1].to
			}
			if at.Distance(end) <= f.position.stillMM() && (i > 0 || f.along <= f.position.pathMM()) {
				on = append(on, i)
			}
		}
		return on
	}
	for i := range f.flight {
		m := &f.flight[i]
		along := at.Sub(m.from).Dot(m.stretch.direction)
		if toSegment(at, m.from, m.to) <= f.position.pathMM() && !(i == 0 && along < f.along-2*f.position.pathMM()) {
			on = append(on, i)
		}
	}
	return on
}

// beforeTheGap reports whether the motors, within move i or before it with an
// empty queue, surely have not passed a refused line: then so many moves fewer
// wait in the board's queue than were sent.
func (f *flow) beforeTheGap(at geom.Point, v []geom.Point, i int) bool {
	r := &f.board.last
	if r.freePlaces <= 0 {
		return false // lines may wait that were not taken yet
	}
	for k := range f.flight {
		if f.flight[k].stretch.length == 0 {
			return false // a wait takes a place for itself or none
		}
	}
	waiting := f.queue - r.freePlaces
	if r.is(stateIdle) {
		return waiting == 0 && len(f.flight)-i == f.board.lines.refusals
	}
	within := at.Distance(v[i]) > 2*f.position.pathMM() && at.Distance(v[i+1]) > 2*f.position.pathMM()
	return within && len(f.flight)-i-waiting == f.board.lines.refusals
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
