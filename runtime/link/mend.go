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
	if err := d.unkept; err != nil {
		d.unkept = nil
		return d.stop(ctx, err)
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
	l.flow.comparing = false
	err := d.stand(ctx)
	l.flow.comparing = true
	if err != nil {
		return d.halted(ctx, err)
	}
	l.board.forgetTrouble()
	at := l.board.where()
	if l.board.lines.refusals > 0 {
		return d.mendRefused(ctx, at, t.fault(), heldBefore)
	}
	on, mm := l.flow.reconcile(at)
	if d.count(); !on {
		off := l.flow.offBy(mm)
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
	gap, found := l.flow.leftOut(at)
	if !found {
		off := l.flow.offBy(l.flow.fromTheLine(at))
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
	l.flow.draw(gap.drawn)
	d.count()
	l.flow.along = 0
	if gap.offMM > d.offMM {
		_, d.offAt, _ = l.Where()
		d.offMM = gap.offMM
	}
}

// rejoin resets the standing board and gives it the line again from where it
// stands, after the way back if there is one.
func (d *drawing) rejoin(ctx context.Context, at geom.Point, gap detour) error {
	l := d.l
	l.flow.comparing = false
	defer func() { l.flow.comparing = true }()
	again := make([]entry, 0, len(l.flow.flight)+len(d.ahead))
	for i := range l.flow.flight {
		again = append(again, l.flow.flight[i].entry)
	}
	speed := l.position.fastest()
	if len(l.flow.flight) > 0 && l.flow.flight[0].FeedMMS > 0 {
		speed = l.flow.flight[0].FeedMMS
	}
	l.flow.clear()
	for _, p := range append(gap.went, at) {
		l.position.move(l.position.rest, p)
	}
	l.flow.along = 0
	d.ahead = append(again, d.ahead...)
	if len(gap.way) > 0 {
		back, err := l.flow.extras(gap.way, speed)
		if err != nil {
			return err
		}
		d.ahead = append(back, d.ahead...)
		if err := d.intendBack(); err != nil {
			return err
		}
	} else if err := d.onTheLine(); err != nil {
		return err
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
	if l.board.last.machine && l.board.last.at.Distance(boardAt) > l.position.stillMM() {
		return &diag.Fault{Code: "board-forgot"}
	}
	l.flow.since, l.flow.speed = l.now(), 0
	l.board.polling, l.board.unanswered = l.board.reportS, time.Time{}
	l.flow.holding, l.board.movedAt = false, l.now()
	return nil
}
