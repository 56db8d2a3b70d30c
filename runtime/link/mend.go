package link

import (
	"context"
	"fmt"
	"time"

	"wend/lang/diag"
	"wend/runtime/geom"
)

// mend looks at a trouble: the motors are held, and the board is asked.
func (d *drawing) mend(ctx context.Context) error {
	l := d.l
	t := *l.board.trouble
	if !t.mends() {
		return d.halted(ctx, t.fault())
	}
	if d.mendedAt == d.moves {
		d.inARow++
	} else {
		d.inARow, d.mendedAt = 1, d.moves
	}
	if d.inARow > mostMended {
		return d.stop(ctx, t.fault())
	}
	l.board.forgetTrouble()
	heldBefore := l.mode == Held
	// Reports on the way down are compared later, where two agree.
	l.comparing = false
	err := d.stand(ctx)
	l.comparing = true
	if err != nil {
		return d.halted(ctx, err)
	}
	l.board.forgetTrouble()
	at := l.board.where()
	if l.board.lines.refusals > 0 {
		return d.mendRefused(ctx, at, t.fault(), heldBefore)
	}
	if on, mm := d.reconcile(at); !on {
		off := l.offBy(mm)
		if t.kind == troubleOff && off.kind == troubleOff {
			off = &t
		}
		return d.halted(ctx, off.fault())
	}
	if err := d.rejoin(ctx, at, detour{}); err != nil {
		return d.halted(ctx, err)
	}
	d.mended++
	d.op.Mended(t.fault())
	l.board.forgetTrouble()
	return nil
}

// mendRefused goes on after refused lines. Where a stroke beside the line is to
// be seen, an operator is asked first.
func (d *drawing) mendRefused(ctx context.Context, at geom.Point, why *diag.Fault, held bool) error {
	l := d.l
	gap, found := l.leftOut(at)
	if !found {
		off := l.offBy(l.fromTheLine(at))
		return d.halted(ctx, off.fault())
	}
	d.leave(gap)
	if err := d.rejoin(ctx, at, gap); err != nil {
		return d.halted(ctx, err)
	}
	l.board.forgetTrouble()
	if gap.offMM <= l.position.seenMM() {
		d.mended++
		d.op.Mended(why)
		return nil
	}
	why.Hint = fmt.Sprintf("a stroke of up to %.2f mm beside the line stays to be seen; resume leads the stylus back to where the line was left and draws on, stop keeps the position", gap.offMM)
	if !held {
		var err error
		if l.mode, err = l.mode.next(holds); err != nil {
			return err
		}
	}
	if !d.op.Holds("", why, d.place()) {
		return d.stop(ctx, why)
	}
	return nil
}

// leave takes what is drawn before a gap off, and remembers what stays to be
// seen.
func (d *drawing) leave(gap detour) {
	l := d.l
	l.draw(gap.drawn)
	d.count()
	l.along = 0
	if gap.offMM > d.offMM {
		_, d.offAt, _ = l.Where()
		d.offMM = gap.offMM
	}
}

// offBy is the trouble of motors that stand where nothing led them: off the line,
// or on it where they cannot have stopped, as after a board has lost its queue.
func (l *Link) offBy(mm float64) *trouble {
	if mm <= l.pathMM() {
		return &trouble{kind: troubleForgot}
	}
	return &trouble{kind: troubleOff, mm: mm}
}

// fromTheLine is how far a place is from what was sent, in mm.
func (l *Link) fromTheLine(at geom.Point) float64 {
	mm := at.Distance(l.position.rest)
	for i := range l.flight {
		mm = min(mm, toSegment(at, l.flight[i].from, l.flight[i].to))
	}
	return mm
}

// reconcile finds the standing motors on the moves in flight, and drops those
// that are drawn; otherwise it gives how far off they are, in mm.
func (d *drawing) reconcile(at geom.Point) (bool, float64) {
	l := d.l
	defer d.count()
	if len(l.flight) == 0 {
		mm := at.Distance(l.position.rest)
		return mm <= l.stillMM(), mm
	}
	if l.board.last.is(stateIdle) {
		// The queue is empty: the motors stand at the end of a move, and what
		// was taken after it would have been drawn.
		for j := len(l.flight) - 1; j >= -1; j-- {
			end := l.flight[0].from
			if j >= 0 {
				end = l.flight[j].to
			}
			if at.Distance(end) <= l.stillMM() {
				l.draw(j + 1)
				l.along = 0
				return true, 0
			}
			if j >= 0 && l.flight[j].acked && l.flight[j].stretch.length > 0 {
				break
			}
		}
		return false, l.fromTheLine(at)
	}
	for i := range l.flight {
		m := &l.flight[i]
		along := at.Sub(m.from).Dot(m.stretch.direction)
		if away := toSegment(at, m.from, m.to); away <= l.pathMM() && !(i == 0 && along < l.along-2*l.pathMM()) {
			// Just past a corner the next move is nearer; to take it for the one
			// before would forget the corner's last step in the slack.
			if i+1 < len(l.flight) {
				if next := &l.flight[i+1]; toSegment(at, next.from, next.to) < away {
					continue
				}
			}
			l.draw(i)
			l.along = max(0, along)
			return true, 0
		}
	}
	return false, l.fromTheLine(at)
}

// rejoin resets the standing board and gives it the line again from where it
// stands, after the way back if there is one.
func (d *drawing) rejoin(ctx context.Context, at geom.Point, gap detour) error {
	l := d.l
	l.comparing = false
	defer func() { l.comparing = true }()
	again := make([]entry, 0, len(l.flight)+len(d.ahead))
	for i := range l.flight {
		again = append(again, l.flight[i].entry)
	}
	speed := l.position.fastest()
	if len(l.flight) > 0 && l.flight[0].FeedMMS > 0 {
		speed = l.flight[0].FeedMMS
	}
	l.flight = l.flight[:0]
	way := l.position.wayBack(gap.went, gap.back)
	for _, p := range append(gap.went, at) {
		l.position.move(l.position.rest, p)
	}
	l.along = 0
	d.ahead = append(again, d.ahead...)
	if len(way) > 0 {
		back, err := l.extras(way, speed)
		if err != nil {
			return err
		}
		d.ahead = append(back, d.ahead...)
		if err := d.intendBack(); err != nil {
			return err
		}
	}
	boardAt := l.board.last.at
	if err := l.board.reset(ctx); err != nil {
		return err
	}
	// What follows was made by the gate already, for a way from anywhere on the
	// line before it; only the statement of the place is new.
	program := *l.position.gate
	if err := l.position.gate.Rejoin(at.X, at.Y); err != nil {
		return err
	}
	err := l.state(ctx)
	*l.position.gate = program
	if err != nil {
		return err
	}
	if l.board.last.machine && l.board.last.at.Distance(boardAt) > l.stillMM() {
		return &diag.Fault{Code: "board-forgot"}
	}
	l.since, l.speed = l.now(), 0
	l.board.polling, l.board.unanswered = l.board.reportS, time.Time{}
	l.holding, l.board.movedAt = false, l.now()
	return nil
}
