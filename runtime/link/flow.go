package link

import (
	"math"
	"strconv"
	"time"

	"wend/runtime/gate"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

// entry is one thing that a program asks for.
type entry struct {
	gate.Item
	label
	message string // of a pause
}

// flying is a move that was sent and is not known to be drawn.
type flying struct {
	entry
	from, to geom.Point // machine mm
	stretch  stretch
	acked    bool
}

// How much may be on its way, in seconds.
const (
	inFlightS = 1.0 // of motion
	staleS    = 0.6 // a report older than that is no ground for sending more
)

// flow is what is on its way.
type flow struct {
	pitch
	queue int // moves that the board's queue holds
	extra int // index of the last move that was no part of a drawing, below 0

	graceUntil time.Time // until when reports may still speak of a hold
	holding    bool      // the board was asked to hold
	comparing  bool
	more       bool // moves are to come, and nobody waits

	flight  []flying
	along   float64   // mm of flight[0] that surely are drawn
	since   time.Time // of the last report that was compared
	speed   float64   // then
	drained time.Time // when the motors will stand, by the model
	chain   []stretch
	scratch []float64

	// What was measured.
	drawnMoves  int
	drawnMM     float64
	drawnS      float64 // by the speeds that are set
	mostFlightS float64
	starved     int // how often the motors stood, or would have by the model, for want of moves
}

func newFlow(p *machine.Profile) flow {
	return flow{pitch: newPitch(p), queue: p.Board.QueueMoves}
}

// fly adds a move to those that were sent.
func (l *Link) fly(e entry) {
	from, before := l.position.rest, geom.Point{}
	if n := len(l.flight); n > 0 {
		from, before = l.flight[n-1].to, l.flight[n-1].stretch.direction
	}
	to := from
	if e.Kind == gate.Move {
		to = geom.Point{X: e.X, Y: e.Y}
	}
	m := flying{entry: e, from: from, to: to}
	if e.Kind == gate.Move {
		m.stretch = l.model.stretch(from, to, e.FeedMMS, before)
	}
	m.stretch.wait = e.Seconds
	if l.drawnMM > 0 && e.Kind == gate.Move && l.speed > 0 && l.now().After(l.drained) {
		l.starved++
	}
	l.flight = append(l.flight, m)
	l.drained = l.since.Add(duration(l.chainSeconds(nil)))
}

// chainSeconds is how long the moves in flight take from the last report on,
// and one more if there is one.
func (l *Link) chainSeconds(more *entry) float64 {
	l.chain = l.chain[:0]
	for i := range l.flight {
		l.chain = append(l.chain, l.flight[i].stretch)
	}
	speed := l.speed
	if len(l.chain) > 0 {
		l.chain[0].length = max(0, l.chain[0].length-l.along)
		if l.chain[0].length == 0 && len(l.chain) > 1 && l.chain[0].wait == 0 {
			l.chain = append(l.chain[:0], l.chain[1:]...)
		}
	}
	if more != nil {
		from, before := l.position.rest, geom.Point{}
		if n := len(l.flight); n > 0 {
			from, before = l.flight[n-1].to, l.flight[n-1].stretch.direction
		}
		s := stretch{wait: more.Seconds}
		if more.Kind == gate.Move {
			s = l.model.stretch(from, geom.Point{X: more.X, Y: more.Y}, more.FeedMMS, before)
		}
		l.chain = append(l.chain, s)
	}
	var seconds float64
	seconds, l.scratch = l.model.seconds(l.chain, speed, l.scratch)
	return seconds
}

// mayFly tells whether one more move keeps what is in flight within a second.
func (l *Link) mayFly(e *entry) bool {
	now := l.now()
	if len(l.flight) == 0 {
		return !l.board.late()
	}
	if now.Sub(l.since) > duration(staleS) || l.board.late() {
		return false
	}
	ahead := l.since.Add(duration(l.chainSeconds(e))).Sub(now).Seconds()
	if ahead > inFlightS {
		return false
	}
	l.mostFlightS = max(l.mostFlightS, ahead)
	return true
}

// compare holds the last report against the moves in flight: it finds where on
// them the motors are, and raises trouble if they are not.
func (l *Link) compare() {
	if l.board.lines.refusals > 0 {
		return // a shortcut past what was refused is found when the motors stand
	}
	r := &l.board.last
	at := l.board.where()
	now := l.now()
	if r.hasOffset && r.machine && r.offset.Add(l.board.shift).Length() > readingMM {
		l.board.raise(trouble{kind: troubleForgot})
		return
	}
	switch {
	case r.is(stateAlarm):
		return // the alarm itself says more
	case l.now().Before(l.graceUntil) && r.is(stateHold):
		return
	case r.feedPart != 100, !l.holding && !r.is(stateIdle) && !r.is(stateRun):
		// A byte that acts at once came to be on the way.
		l.board.raise(trouble{kind: troubleUnknown, text: r.state})
		return
	case len(l.flight) == 0:
		if d := at.Distance(l.position.rest); d > l.stillMM() {
			l.board.raise(trouble{kind: troubleOff, mm: d})
		}
		return
	case r.is(stateIdle):
		if !l.arrive(at) {
			return
		}
	case !l.advance(at, r):
		d := math.Inf(1)
		for i := range l.flight {
			d = min(d, toSegment(at, l.flight[i].from, l.flight[i].to))
		}
		l.board.raise(trouble{kind: troubleOff, mm: d})
		return
	}
	if r.is(stateIdle) && l.speed > 0 && l.more {
		l.starved++
	}
	l.since, l.speed = now, r.speedMMMin/60
	if r.is(stateIdle) || r.state == stateHeld {
		l.speed = 0
	}
	l.drained = now.Add(duration(l.chainSeconds(nil)))
}

// arrive is compare for motors that stand with an empty queue: at the end of
// the last move that the board had taken. Where its answers were lost, that is
// a later one.
func (l *Link) arrive(at geom.Point) bool {
	taken := -1
	for i := range l.flight {
		if l.flight[i].acked {
			taken = i
		}
	}
	for j := taken; j < len(l.flight); j++ {
		end := l.flight[0].from
		if j >= 0 {
			end = l.flight[j].to
		}
		if at.Distance(end) <= l.stillMM() && (j >= 0 || l.along <= l.pathMM()) {
			l.draw(j + 1)
			l.along = 0
			return true
		}
	}
	t := trouble{kind: troubleOff, mm: math.Inf(1)}
	for i := range l.flight {
		t.mm = min(t.mm, toSegment(at, l.flight[i].from, l.flight[i].to))
	}
	if t.mm <= l.pathMM() {
		t.kind = troubleForgot // moves that it had taken
	}
	l.board.raise(t)
	return false
}

// advance is compare for motors on their way. Where the line passes a place
// twice, the count of the board's queue decides.
func (l *Link) advance(at geom.Point, r *report) bool {
	expected := -1
	if r.freePlaces >= 0 {
		acked := 0
		for i := range l.flight {
			if l.flight[i].acked {
				acked++
			}
		}
		expected = max(0, acked-(l.queue-r.freePlaces))
	}
	best, bestAlong := -1, 0.0
	for i := range l.flight {
		m := &l.flight[i]
		if toSegment(at, m.from, m.to) > l.pathMM() {
			continue
		}
		along := min(max(0, at.Sub(m.from).Dot(m.stretch.direction)), m.stretch.length)
		if i == 0 && along < l.along-2*l.pathMM() {
			continue // motors do not run back
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
	l.draw(best)
	l.along = bestAlong
	return true
}

func distanceOf(i, expected int) int {
	if i > expected {
		return i - expected
	}
	return expected - i
}

// draw takes moves off that are drawn.
func (l *Link) draw(count int) {
	for i := range count {
		m := &l.flight[i]
		if m.index > 0 {
			l.drawnMoves++
			l.drawnMM += m.stretch.length
			l.drawnS += m.seconds()
		}
		l.position.move(m.from, m.to)
	}
	l.flight = append(l.flight[:0], l.flight[count:]...)
}

// toSegment is the distance of a point from a straight piece of line.
func toSegment(p, a, b geom.Point) float64 {
	ab := b.Sub(a)
	square := ab.Dot(ab)
	if square == 0 {
		return p.Distance(a)
	}
	t := max(0, min(1, p.Sub(a).Dot(ab)/square))
	return p.Distance(a.Add(ab.Times(t)))
}

func trimmed(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
