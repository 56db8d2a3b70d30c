package link

import (
	"math"

	"wend/runtime/geom"
)

// reported holds a report against what was sent.
func (f *flow) reported() {
	if f.comparing {
		f.compare()
	}
}

// compare holds the last report against the moves in flight: it finds where on
// them the motors are, and raises trouble if they are not.
func (f *flow) compare() {
	if f.board.lines.refusals > 0 {
		return // a shortcut past what was refused is found when the motors stand
	}
	r := &f.board.last
	at := f.board.where()
	now := f.board.now()
	if r.hasOffset && r.machine && r.offset.Add(f.board.shift).Length() > readingMM {
		f.board.raise(trouble{kind: troubleForgot})
		return
	}
	switch {
	case r.is(stateAlarm):
		return // the alarm itself says more
	case f.board.now().Before(f.graceUntil) && r.is(stateHold):
		return
	case r.feedPart != 100, !f.holding && !r.is(stateIdle) && !r.is(stateRun):
		// A byte that acts at once came to be on the way.
		f.board.raise(trouble{kind: troubleUnknown, text: r.state})
		return
	case len(f.flight) == 0:
		if d := at.Distance(f.position.rest); d > f.position.stillMM() {
			f.board.raise(trouble{kind: troubleOff, mm: d})
		}
		return
	case r.is(stateIdle):
		if !f.arrive(at) {
			return
		}
	case !f.advance(at, r):
		d := math.Inf(1)
		for i := range f.flight {
			d = min(d, geom.SegmentDistance(f.flight[i].from, f.flight[i].to, at))
		}
		f.board.raise(trouble{kind: troubleOff, mm: d})
		return
	}
	if r.is(stateIdle) && f.speed > 0 && f.more {
		f.starved++
	}
	f.since, f.speed = now, r.speedMMMin/60
	if r.is(stateIdle) || r.state == stateHeld {
		f.speed = 0
	}
	f.drained = now.Add(duration(f.chainSeconds(nil)))
}

// arrive is compare for motors that stand with an empty queue: at the end of
// the last move that the board had taken. Where its answers were lost, that is
// a later one.
func (f *flow) arrive(at geom.Point) bool {
	taken := -1
	for i := range f.flight {
		if f.flight[i].acked {
			taken = i
		}
	}
	for j := taken; j < len(f.flight); j++ {
		end := f.flight[0].from
		if j >= 0 {
			end = f.flight[j].to
		}
		if at.Distance(end) <= f.position.stillMM() && (j >= 0 || f.along <= f.position.pathMM()) {
			f.draw(j + 1)
			f.along = 0
			return true
		}
	}
	t := trouble{kind: troubleOff, mm: math.Inf(1)}
	for i := range f.flight {
		t.mm = min(t.mm, geom.SegmentDistance(f.flight[i].from, f.flight[i].to, at))
	}
	if t.mm <= f.position.pathMM() {
		t.kind = troubleForgot // moves that it had taken
	}
	f.board.raise(t)
	return false
}

// advance is compare for motors on their way. Where the line passes a place
// twice, the count of the board's queue decides.
func (f *flow) advance(at geom.Point, r *report) bool {
	expected := -1
	if r.freePlaces >= 0 {
		acked := 0
		for i := range f.flight {
			if f.flight[i].acked {
				acked++
			}
		}
		expected = max(0, acked-(f.queue-r.freePlaces))
	}
	first, best, bestAlong := -1, -1, 0.0
	for i := range f.flight {
		m := &f.flight[i]
		if geom.SegmentDistance(m.from, m.to, at) > f.position.pathMM() {
			continue
		}
		along := min(max(0, at.Sub(m.from).Dot(m.stretch.direction)), m.stretch.length)
		if i == 0 && along < f.along-2*f.position.pathMM() {
			continue // motors do not run back
		}
		if first < 0 {
			first = i
		}
		if best < 0 || distanceOf(i, expected) < distanceOf(best, expected) {
			best, bestAlong = i, along
		}
		if expected < 0 || i >= expected {
			break
		}
	}
	if best < 0 {
		return false
	}
	if r.freePlaces >= 0 && !f.waits() {
		// At a corner the move before may still be counted.
		f.accepted = max(f.accepted, min(first+f.queue-r.freePlaces-1, len(f.flight)))
	}
	f.draw(best)
	f.along = bestAlong
	return true
}

func distanceOf(i, expected int) int {
	if i > expected {
		return i - expected
	}
	return expected - i
}

// reconcile finds the standing motors on the moves in flight, and drops those
// that are drawn; otherwise it gives how far off they are, in mm.
func (f *flow) reconcile(at geom.Point) (bool, float64) {
	if len(f.flight) == 0 {
		mm := at.Distance(f.position.rest)
		return mm <= f.position.stillMM(), mm
	}
	if f.board.last.is(stateIdle) {
		// The queue is empty: the motors stand at the end of a move, and what
		// was taken after it would have been drawn.
		for j := len(f.flight) - 1; j >= -1; j-- {
			end := f.flight[0].from
			if j >= 0 {
				end = f.flight[j].to
			}
			if at.Distance(end) <= f.position.stillMM() {
				f.draw(j + 1)
				f.along = 0
				return true, 0
			}
			if j >= 0 && f.flight[j].acked && f.flight[j].stretch.length > 0 {
				break
			}
		}
		return false, f.fromTheLine(at)
	}
	for i := range f.flight {
		m := &f.flight[i]
		along := at.Sub(m.from).Dot(m.stretch.direction)
		if away := geom.SegmentDistance(m.from, m.to, at); away <= f.position.pathMM() && !(i == 0 && along < f.along-2*f.position.pathMM()) {
			// Just past a corner the next move is nearer; to take it for the one
			// before would forget the corner's last step in the slack. Where the line
			// folds back on itself by some steps neither is nearer than rounding makes
			// it: from the one before, going on passes the fold anew, and the slack
			// comes out right whichever it was.
			if i+1 < len(f.flight) {
				if next := &f.flight[i+1]; geom.SegmentDistance(next.from, next.to, at) < away-f.position.roundedMM() {
					continue
				}
			}
			f.draw(i)
			f.along = max(0, along)
			return true, 0
		}
	}
	return false, f.fromTheLine(at)
}

// fromTheLine is how far a place is from what was sent, in mm.
func (f *flow) fromTheLine(at geom.Point) float64 {
	mm := at.Distance(f.position.rest)
	for i := range f.flight {
		mm = min(mm, geom.SegmentDistance(f.flight[i].from, f.flight[i].to, at))
	}
	return mm
}

// offBy is the trouble of motors that stand where nothing led them: off the line,
// or on it where they cannot have stopped, as after a board has lost its queue.
func (f *flow) offBy(mm float64) *trouble {
	if mm <= f.position.pathMM() {
		return &trouble{kind: troubleForgot}
	}
	return &trouble{kind: troubleOff, mm: mm}
}
