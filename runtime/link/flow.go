package link

import (
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

// flow is what is on its way: moves that were sent to the board and move the
// position as they are drawn. It knows nothing of modes and operators.
type flow struct {
	board    *board
	position *position
	model    model
	queue    int // moves that the board's queue holds
	extra    int // index of the last move that was no part of a drawing, below 0

	graceUntil time.Time // until when reports may still speak of a hold
	holding    bool      // the board was asked to hold
	comparing  bool
	more       bool // moves are to come, and nobody waits

	flight   []flying
	accepted int       // of flight, so many surely were in the board's queue before any refusal
	along    float64   // mm of flight[0] that surely are drawn
	since    time.Time // of the last report that was compared
	speed    float64   // then
	drained  time.Time // when the motors will stand, by the model
	chain    []stretch
	scratch  []float64

	// What was measured.
	drawnMoves  int
	drawnMM     float64
	drawnS      float64 // by the speeds that are set
	mostFlightS float64
	starved     int // how often the motors stood, or would have by the model, for want of moves
}

func newFlow(p *machine.Profile, b *board, at *position) *flow {
	return &flow{board: b, position: at, model: newModel(p), queue: p.Board.QueueMoves}
}

// fly adds a move to those that were sent.
func (f *flow) fly(e entry) {
	from, before := f.position.rest, geom.Point{}
	if n := len(f.flight); n > 0 {
		from, before = f.flight[n-1].to, f.flight[n-1].stretch.direction
	}
	to := from
	if e.Kind == gate.Move {
		to = geom.Point{X: e.X, Y: e.Y}
	}
	m := flying{entry: e, from: from, to: to}
	if e.Kind == gate.Move {
		m.stretch = f.model.stretch(from, to, e.FeedMMS, before)
	}
	m.stretch.wait = e.Seconds
	if f.drawnMM > 0 && e.Kind == gate.Move && f.speed > 0 && f.board.now().After(f.drained) {
		f.starved++
	}
	f.flight = append(f.flight, m)
	f.drained = f.since.Add(duration(f.chainSeconds(nil)))
}

// chainSeconds is how long the moves in flight take from the last report on,
// and one more if there is one.
func (f *flow) chainSeconds(more *entry) float64 {
	f.chain = f.chain[:0]
	for i := range f.flight {
		f.chain = append(f.chain, f.flight[i].stretch)
	}
	speed := f.speed
	if len(f.chain) > 0 {
		f.chain[0].length = max(0, f.chain[0].length-f.along)
		if f.chain[0].length == 0 && len(f.chain) > 1 && f.chain[0].wait == 0 {
			f.chain = append(f.chain[:0], f.chain[1:]...)
		}
	}
	if more != nil {
		from, before := f.position.rest, geom.Point{}
		if n := len(f.flight); n > 0 {
			from, before = f.flight[n-1].to, f.flight[n-1].stretch.direction
		}
		s := stretch{wait: more.Seconds}
		if more.Kind == gate.Move {
			s = f.model.stretch(from, geom.Point{X: more.X, Y: more.Y}, more.FeedMMS, before)
		}
		f.chain = append(f.chain, s)
	}
	var seconds float64
	seconds, f.scratch = f.model.seconds(f.chain, speed, f.scratch)
	return seconds
}

// mayFly reports whether one more move keeps what is in flight within a second.
func (f *flow) mayFly(e *entry) bool {
	now := f.board.now()
	if len(f.flight) == 0 {
		return !f.board.late()
	}
	if now.Sub(f.since) > duration(staleS) || f.board.late() {
		return false
	}
	ahead := f.since.Add(duration(f.chainSeconds(e))).Sub(now).Seconds()
	if ahead > inFlightS {
		return false
	}
	f.mostFlightS = max(f.mostFlightS, ahead)
	return true
}

// sent is the last move of the drawing that is in flight; false if there is none,
// or if the motors are led back over others.
func (f *flow) sent() (index int, any bool) {
	for i := range f.flight {
		if f.flight[i].index < 0 {
			return 0, false
		}
		index = max(index, f.flight[i].index)
	}
	return index, index > 0
}

// clear forgets what was sent: it is drawn, or never will be.
func (f *flow) clear() { f.flight, f.accepted = f.flight[:0], 0 }

// taken notes that the board has a move.
func (f *flow) taken(index int) {
	for i := range f.flight {
		if f.flight[i].index == index {
			f.flight[i].acked = true
			return
		}
	}
}

// draw takes moves off that are drawn.
func (f *flow) draw(count int) {
	for i := range count {
		m := &f.flight[i]
		if m.index > 0 {
			f.drawnMoves++
			f.drawnMM += m.stretch.length
			f.drawnS += m.seconds()
		}
		f.position.move(m.from, m.to)
	}
	f.flight = append(f.flight[:0], f.flight[count:]...)
	f.accepted = max(0, f.accepted-count)
}

// extras are moves that are no part of the drawing, from where the motors rest
// through some places.
func (f *flow) extras(way []geom.Point, speedMMS float64) ([]entry, error) {
	items, err := f.position.aside(way, speedMMS)
	if err != nil {
		return nil, err
	}
	entries := make([]entry, 0, len(items))
	for _, item := range items {
		f.extra--
		entries = append(entries, entry{Item: item, label: label{index: f.extra}})
	}
	return entries, nil
}
